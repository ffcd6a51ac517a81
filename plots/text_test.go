package plots

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"Ridge", "Ridge"},
		{"  two  words\n", "two words"},
		{"a\x00b\x1bc\x7fd\u0085e", "a b c d e"},
		{"no\u00a0break", "no break"},
		{"\u202Eturned\u2066\u200B", "turned"},
		{"soft\u00adhyphen", "softhyphen"},
		{"می\u200cخواهم", "می\u200cخواهم"}, // a joiner that is part of the spelling
		{"\xff\xfe", "\uFFFD"},
		{"\uFFFF", "\uFFFD"},
		{"<&>\"'", "<&>\"'"},
		{"", ""},
	} {
		if got := clean(c.in); got != c.want {
			t.Errorf("clean(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func TestNamed(t *testing.T) {
	if got := named(" \n"); got != "(no name)" {
		t.Errorf("got %q", got)
	}
}

// TestWidth checks measured widths against the advance widths of Arial, in
// 1/2048 of the size: 1139 for a digit and 569 for a space (from memory).
// Liberation Sans has the same, or a browser's Arial would not fit.
func TestWidth(t *testing.T) {
	style := textStyle{size: 10}
	for _, c := range []struct {
		text  string
		units float64
	}{{"0", 1139}, {"00", 2 * 1139}, {"0 0", 2*1139 + 569}, {"", 0}} {
		if got, want := style.width(c.text), c.units/2048*10; math.Abs(got-want) > 0.01 {
			t.Errorf("width of %q = %v, want %v", c.text, got, want)
		}
	}
}

func TestFit(t *testing.T) {
	style := textStyle{size: 10}
	dots := style.width("…")
	digit := style.width("0")
	for _, c := range []struct {
		text  string
		width float64
		want  string
	}{
		{"0000", 4*digit + 0.01, "0000"},
		{"0000", 3*digit + dots - 0.01 - digit, "0…"},
		{"0000", 2*digit + dots + 0.01, "00…"},
		{"00, 0000", 3*digit + dots + 0.01, "00…"}, // no comma before the dots
	} {
		if got := style.fit(c.text, c.width); got != c.want {
			t.Errorf("fit(%q, %.2f) = %q, want %q", c.text, c.width, got, c.want)
		}
	}
}

func TestWrap(t *testing.T) {
	style := textStyle{size: 10}
	width := style.width("North slope,")
	for _, c := range []struct {
		text string
		want string // lines divided by |
	}{
		{"Ridge", "Ridge"},
		{"North slope, east", "North slope,|east"},
		{"North slopes east", "North|slopes east"},
		{"Northslopeseastandwest", "Northslopes|eastandw…"},
		{"North slope, east and a good deal more", "North slope,|east and…"},
	} {
		got := strings.Join(style.wrap(c.text, width+0.01, 2), "|")
		if got != c.want {
			t.Errorf("wrap(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}

func TestTextFitsAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clean(rapid.String().Draw(t, "s"))
		width := rapid.Float64Range(15, 200).Draw(t, "width")
		lines := nameText.wrap(s, width, 2)
		if len(lines) > 2 {
			t.Fatalf("%d lines", len(lines))
		}
		for _, line := range lines {
			if !utf8.ValidString(line) {
				t.Fatalf("%q is no text", line)
			}
			if utf8.RuneCountInString(line) > 2 && nameText.width(line) > width {
				t.Fatalf("%q is wider than %v", line, width)
			}
		}
		letters := strings.ReplaceAll(strings.Join(lines, ""), " ", "")
		if !strings.HasSuffix(letters, "…") && letters != strings.ReplaceAll(s, " ", "") {
			t.Fatalf("%q lost something of %q without saying so", lines, s)
		}
	})
}
