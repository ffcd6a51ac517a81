package plausible

import (
	"testing"

	"pgregory.net/rapid"
)

// Distances by hand, and the two textbook pairs of Wagner & Fischer's and of
// Levenshtein's distance: kitten to sitting 3, Saturday to Sunday 3.
func TestEditDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"kitten", "sitting", 3}, {"saturday", "sunday", 3},
		{"ca", "ac", 1},  // a transposition
		{"ca", "abc", 3}, // where no part is edited twice; 2 otherwise (Damerau)
		{"morrel", "morel", 1}, {"englemann", "engelmann", 1}, {"åsen", "asen", 1},
	} {
		if got := EditDistance([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestEditDistanceIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-e]{0,6}`)
		a, b := []rune(word.Draw(t, "a")), []rune(word.Draw(t, "b"))
		d := EditDistance(a, b)
		if back := EditDistance(b, a); d != back {
			t.Errorf("%d there and %d back", d, back)
		}
		if (d == 0) != (string(a) == string(b)) || d > max(len(a), len(b)) || d < max(len(a)-len(b), len(b)-len(a)) {
			t.Errorf("%q to %q: %d", string(a), string(b), d)
		}
	})
}

func TestAlike(t *testing.T) {
	for _, pair := range [][2]string{
		{"black morrel", "black morel"}, {"Black Morel", "black morel"}, {"Douglas fir", "Douglas-fir"},
		{"lodgpole pine", "lodgepole pine"}, {"lodge pole pine", "lodgepole pine"}, {"Engleman spruce", "Engelmann spruce"},
		{"P5", "P05"}, {"site 01", "Site-1"}, {"Okofor", "Okafor"}, {"R.T.", "RT"}, {"P. contorta", "Pinus contorta"},
		{"black morels", "black morel"},
	} {
		a, b := NewName(pair[0]), NewName(pair[1])
		if !a.Alike(b) || !b.Alike(a) {
			t.Errorf("%q and %q are not alike", pair[0], pair[1])
		}
	}
	for _, pair := range [][2]string{
		{"black morel", "black morel"}, {"black morel", "burn morel"}, {"red pine", "jack pine"}, {"P11", "P12"}, {"P1-2", "P12"},
		{"paper birch", "water birch"}, {"white fir", "white pine"}, {"LN", "LM"}, {"Anna", "Anne"}, {"S01", "L01"},
		{"Morchella", "Morchella elata"}, {"north", "south"}, {"", "-"}, {"burn", "barn"}, {"Pinus contorta", "Picea contorta"},
	} {
		a, b := NewName(pair[0]), NewName(pair[1])
		if a.Alike(b) || b.Alike(a) {
			t.Errorf("%q and %q are alike", pair[0], pair[1])
		}
	}
	if Misread("LO1") != Misread("L01") || Misread("Pl2") != Misread("P12") || Misread("P11") == Misread("P12") {
		t.Error("letters are not read as digits")
	}
}
