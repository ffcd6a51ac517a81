package plots

import (
	"image/color"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"
)

// longestName bounds what is measured of one name, in bytes; no label is as
// long.
const longestName = 200

type textStyle struct {
	size  float64
	bold  bool
	color color.Color
}

var fontCache = sync.OnceValue(func() *font.Cache {
	return font.NewCache(liberation.Collection())
})

func (t textStyle) face() font.Face {
	f := font.Font{Typeface: "Liberation", Variant: "Sans"}
	if t.bold {
		f.Weight = xfont.WeightBold
	}
	return fontCache().Lookup(f, vg.Length(t.size))
}

// width is how wide s is drawn, in points. A character that the font lacks
// counts as wide as it is high: a browser takes it from another font, where
// that is the width of an ideograph.
func (t textStyle) width(s string) float64 {
	face, foreign := t.face(), 0
	own := strings.Map(func(r rune) rune {
		if hasGlyph(face, r) {
			return r
		}
		foreign++
		return -1
	}, s)
	return face.Width(own).Points() + float64(foreign)*t.size
}

// hasGlyph reports whether the font can draw r.
func hasGlyph(face font.Face, r rune) bool {
	if r < unicode.MaxASCII {
		return true
	}
	var buffer sfnt.Buffer
	i, err := face.Face.GlyphIndex(&buffer, r)
	return err == nil && i != 0
}

// widest is the width of the widest of the strings.
func (t textStyle) widest(s ...string) float64 {
	w := 0.0
	for _, s := range s {
		w = max(w, t.width(s))
	}
	return w
}

// clean makes text from the data fit to be drawn on one line and written to
// XML: what is no text is replaced or left out, spaces are single.
func clean(s string) string {
	s = strings.Map(plain, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Join(strings.Fields(s), " ")
}

// plain maps a character to itself, or to what is drawn for it; -1 drops it.
func plain(r rune) rune {
	const joiner, nonJoiner = '\u200D', '\u200C' // part of the spelling in some scripts
	switch {
	case unicode.IsSpace(r), unicode.IsControl(r):
		return ' '
	case r == joiner, r == nonJoiner:
		return r
	case unicode.Is(unicode.Cf, r): // could turn the direction of a whole line
		return -1
	case r&0xFFFE == 0xFFFE: // XML has no such characters
		return '\uFFFD'
	}
	return r
}

// named is clean, with a word for a name of nothing.
func named(s string) string {
	if s = clean(s); s == "" {
		return "(no name)"
	}
	return s
}

// split divides s where it would become wider than width. The head has at
// least one character.
func (t textStyle) split(s string, width float64) (head, tail string) {
	end := 0
	for i, r := range s {
		next := i + utf8.RuneLen(r)
		if i > 0 && (next > longestName || t.width(s[:next]) > width) {
			break
		}
		end = next
	}
	return s[:end], s[end:]
}

// fit cuts s with an ellipsis so that it is no wider than width.
func (t textStyle) fit(s string, width float64) string {
	const ellipsis = "…"
	if _, rest := t.split(s, width); rest == "" {
		return s
	}
	head, _ := t.split(s, width-t.width(ellipsis))
	return strings.TrimRight(head, " ,;") + ellipsis
}

// wrap sets s in lines no wider than width, at most lines of them, the last
// one cut where s is longer.
func (t textStyle) wrap(s string, width float64, lines int) []string {
	var out []string
	for len(out) < lines-1 {
		head, tail := t.split(s, width)
		if tail == "" {
			break
		}
		if i := strings.LastIndexByte(head, ' '); i > 0 && tail[0] != ' ' {
			head, tail = head[:i], head[i:]+tail
		}
		out = append(out, head)
		s = strings.TrimLeft(tail, " ")
	}
	return append(out, t.fit(s, width))
}

// balance is wrap to two lines of about the same width.
func (t textStyle) balance(s string, width float64) []string {
	const step = 4.0
	lines := t.wrap(s, width, 2)
	for len(lines) == 2 {
		width -= step
		narrower := t.wrap(s, width, 2)
		if strings.Join(narrower, " ") != s {
			break // a word was split or cut
		}
		lines = narrower
	}
	return lines
}
