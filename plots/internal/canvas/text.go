package canvas

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A Font is the sans-serif of the figures at a size, in pixels. Letters are
// set without kerning, so that digits stand in columns and a width is the sum
// of the advances everywhere.
type Font struct {
	Size float64
	Bold bool
}

// em is the resolution at which outlines and advances are read.
const em = 2048

// A glyph is the outline of a character and the way to the next, in em, the
// outline from the base line upwards.
type glyph struct {
	known   bool
	advance float64
	outline []Op
}

// A typeface reads the glyphs of a font file once.
type typeface struct {
	mu     sync.Mutex
	font   *sfnt.Font
	buffer sfnt.Buffer
	glyphs map[rune]glyph
}

var faces = [2]func() *typeface{
	sync.OnceValue(func() *typeface { return newTypeface(liberationsansregular.TTF) }),
	sync.OnceValue(func() *typeface { return newTypeface(liberationsansbold.TTF) }),
}

func newTypeface(ttf []byte) *typeface {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("canvas: the embedded font: " + err.Error())
	}
	return &typeface{font: f, glyphs: map[rune]glyph{}}
}

func (f Font) face() *typeface {
	if f.Bold {
		return faces[1]()
	}
	return faces[0]()
}

// glyph returns the glyph of r; for a character that the font lacks a box
// that is as wide as it is high, the width of an ideograph.
func (t *typeface) glyph(r rune) glyph {
	t.mu.Lock()
	defer t.mu.Unlock()
	g, ok := t.glyphs[r]
	if !ok {
		g = t.read(r)
		t.glyphs[r] = g
	}
	return g
}

func (t *typeface) read(r rune) glyph {
	i, err := t.font.GlyphIndex(&t.buffer, r)
	if err != nil || i == 0 {
		box := []Op{{Kind: Move, X: 0.1}, {Kind: Line, X: 0.9}, {Kind: Line, X: 0.9, Y: 0.7}, {Kind: Line, X: 0.1, Y: 0.7}, {Kind: Close},
			{Kind: Move, X: 0.16, Y: 0.06}, {Kind: Line, X: 0.16, Y: 0.64}, {Kind: Line, X: 0.84, Y: 0.64}, {Kind: Line, X: 0.84, Y: 0.06}, {Kind: Close}}
		return glyph{advance: 1, outline: box}
	}
	advance, err := t.font.GlyphAdvance(&t.buffer, i, fixed.I(em), font.HintingNone)
	if err != nil {
		return glyph{advance: 1}
	}
	segments, err := t.font.LoadGlyph(&t.buffer, i, fixed.I(em), nil)
	if err != nil {
		return glyph{advance: 1}
	}
	return glyph{known: true, advance: float64(advance) / 64 / em, outline: outline(segments)}
}

// outline is a glyph's outline in em, upwards.
func outline(segments sfnt.Segments) []Op {
	at := func(p fixed.Point26_6) (x, y float64) { return float64(p.X) / 64 / em, -float64(p.Y) / 64 / em }
	var ops []Op
	for _, s := range segments {
		x, y := at(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if ops != nil {
				ops = append(ops, Op{Kind: Close})
			}
			ops = append(ops, Op{Kind: Move, X: x, Y: y})
		case sfnt.SegmentOpLineTo:
			ops = append(ops, Op{Kind: Line, X: x, Y: y})
		case sfnt.SegmentOpQuadTo:
			toX, toY := at(s.Args[1])
			ops = append(ops, Op{Kind: Quad, X: toX, Y: toY, X1: x, Y1: y})
		}
	}
	return append(ops, Op{Kind: Close})
}

// Width is how wide s is drawn.
func (f Font) Width(s string) float64 {
	face, width := f.face(), 0.0
	for _, r := range s {
		width += face.glyph(r).advance
	}
	return width * f.Size
}

// Widest is the width of the widest of the strings.
func (f Font) Widest(s ...string) float64 {
	w := 0.0
	for _, s := range s {
		w = max(w, f.Width(s))
	}
	return w
}

// Line is the height from one line of text to the next.
func (f Font) Line() float64 { return f.Size * 1.25 }

// Heights above and below the base line that letters fill, in em.
const (
	ascent   = 0.74
	descent  = 0.22
	capitals = 0.69 // height of capitals and digits
)

// longest bounds what is measured of one name, in bytes; no label is as long.
const longest = 300

// Clean makes text from data fit to be drawn on one line and written to XML:
// what is no text is replaced or left out, spaces are single.
func Clean(s string) string {
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

// split divides s where it would become wider than width. The head has at
// least one character.
func (f Font) split(s string, width float64) (head, tail string) {
	face, end, so := f.face(), 0, 0.0
	for i, r := range s {
		next := i + utf8.RuneLen(r)
		so += face.glyph(r).advance * f.Size
		if i > 0 && (next > longest || so > width) {
			break
		}
		end = next
	}
	return s[:end], s[end:]
}

// Fit cuts s with an ellipsis so that it is no wider than width.
func (f Font) Fit(s string, width float64) string {
	const ellipsis = "…"
	if f.Width(s) <= width && len(s) <= longest {
		return s
	}
	if f.Width(ellipsis) > width {
		return ""
	}
	head, _ := f.split(s, width-f.Width(ellipsis))
	if f.Width(head+ellipsis) > width {
		return ellipsis
	}
	return strings.TrimRight(head, " ,;") + ellipsis
}

// Wrap sets s in lines no wider than width, at most so many, the last one cut
// where s is longer. Lines break at spaces, or within a word that is wider
// than a line.
func (f Font) Wrap(s string, width float64, lines int) []string {
	var out []string
	for len(out) < lines-1 {
		head, tail := f.split(s, width)
		if tail == "" {
			break
		}
		if i := strings.LastIndexAny(head, " "); i > 0 && tail[0] != ' ' {
			head, tail = head[:i], head[i:]+tail
		} else if i := strings.LastIndexAny(head, "-/"); i > 0 && tail[0] != ' ' {
			head, tail = head[:i+1], head[i+1:]+tail
		}
		out = append(out, strings.TrimRight(head, " "))
		s = strings.TrimLeft(tail, " ")
	}
	return append(out, f.Fit(s, width))
}
