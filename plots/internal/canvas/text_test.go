package canvas

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestWidth checks advances against the table hmtx of Liberation Sans 2.1.4,
// read with fonttools: digits 1139, "i" 455 and "W" 1933 of 2048; in bold "i"
// 569.
func TestWidth(t *testing.T) {
	for _, c := range []struct {
		font Font
		text string
		want float64
	}{
		{Font{Size: 20.48}, "1", 11.39},
		{Font{Size: 20.48}, "11", 22.78}, // no kerning: digits stand in columns
		{Font{Size: 20.48}, "iW", 23.88},
		{Font{Size: 20.48, Bold: true}, "i", 5.69},
		{Font{Size: 10}, "北", 10}, // not in the font
		{Font{Size: 10}, "", 0},
	} {
		if got := c.font.Width(c.text); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%q at %v: %v wide, want %v", c.text, c.font, got, c.want)
		}
	}
}

func TestFitAndWrap(t *testing.T) {
	f := Font{Size: 13}
	rapid.Check(t, func(t *rapid.T) {
		s := Clean(rapid.String().Draw(t, "s"))
		width := rapid.Float64Range(0, 300).Draw(t, "width")
		if got := f.Fit(s, width); f.Width(got) > width {
			t.Fatalf("Fit gives %q, %v wide", got, f.Width(got))
		}
		for _, line := range f.Wrap(s, width, 3) {
			if runes := len([]rune(line)); f.Width(line) > width && runes > 1 {
				t.Fatalf("Wrap gives %q, %v wide", line, f.Width(line))
			}
		}
	})
	if got := strings.Join(f.Wrap("Engelmann spruce and fir", 110, 2), "|"); got != "Engelmann spruce|and fir" {
		t.Errorf("wrapped to %s", got)
	}
	if got := f.Wrap("quillet-severe", 60, 2); got[0] != "quillet-" || got[1] != "severe" {
		t.Errorf("wrapped to %q, want the break after the hyphen", got)
	}
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		" a \t b\n": "a b", "a\u202eb": "ab", "\x00x": "x", "\xff": "\uFFFD", "": "",
	} {
		if got := Clean(in); got != want {
			t.Errorf("Clean(%q) is %q, want %q", in, got, want)
		}
	}
}
