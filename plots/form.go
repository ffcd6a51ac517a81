package plots

import (
	"errors"
	"fmt"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// A Role is what a colour is for; the palette gives it a value on light and
// on dark paper.
type Role = canvas.Role

// The roles. Accent is the colour where there is one series, First to Fourth
// tell several apart, Limit is for a line that something is compared with.
const (
	Ink    = canvas.Ink
	Muted  = canvas.Muted
	Accent = canvas.Accent
	First  = canvas.First
	Second = canvas.Second
	Third  = canvas.Third
	Fourth = canvas.Fourth
	Limit  = canvas.Limit
)

// A Scale is how values lie along an axis.
type Scale = axis.Kind

// The scales. Auto is linear where the largest estimate is at most ten times
// the smallest, else square-root; logarithmic where they differ by more than a
// thousandfold and none is 0. Limits do not count: they may reach anywhere.
const (
	Auto       = axis.Auto
	Linear     = axis.Linear
	SquareRoot = axis.SquareRoot
	Log        = axis.Log
)

// A Layout is one of the widths in which every form is drawn.
type Layout int

// The layouts: the width of a page of text, that of a telephone, and one for
// two or three figures side by side.
const (
	Wide   Layout = iota // 700 pixels, 185 mm in print
	Narrow               // 330 pixels, 87 mm in print
	Half                 // 460 pixels, 122 mm in print
	layouts
)

var layoutWidth = [layouts]float64{Wide: 700, Narrow: 330, Half: 460}

var layoutSuffix = [layouts]string{Narrow: "-narrow", Half: "-half"}

// About names a figure and says in words what it shows. None of it is drawn.
type About struct {
	// Name is the base name of the figure's files and the start of the ids in
	// its SVG: small letters, digits and hyphens.
	Name string
	// Title says what the figure shows, at best the finding.
	Title string
	// Caption says how to read the figure.
	Caption string
	// Alt is the text alternative: one sentence with the main number.
	Alt string
}

// Stylesheet is the CSS for a page that holds figures written by
// [Figure.Inline]: the font 'Ashtally Sans' as data, the palette as variables
// named after the roles (--plot-ink, --plot-accent ...; dark where the reader
// prefers it, light in print), and the classes within ".plot".
func Stylesheet() string { return canvas.Stylesheet() }

// SVG is the figure as a file of its own, with its colours on light and on
// dark paper and its words as outlines, so that it looks the same in every
// viewer.
func (f Figure) SVG(l Layout) ([]byte, error) {
	return f.write(l, func(d *canvas.Drawing) ([]byte, error) { return d.SVG(f.words(l)) })
}

// Inline is the figure as an svg element for a page that has the [Stylesheet],
// its words as text that can be searched.
func (f Figure) Inline(l Layout) ([]byte, error) {
	return f.write(l, func(d *canvas.Drawing) ([]byte, error) { return d.Inline(f.words(l)) })
}

// PNG is the figure on light paper with 300 dots per inch.
func (f Figure) PNG(l Layout) ([]byte, error) { return f.write(l, (*canvas.Drawing).PNG) }

// Alike reports whether two figures are drawn alike, whatever their words beside it.
func (f Figure) Alike(other Figure, l Layout) bool {
	return f.drawn[l] != nil && other.drawn[l] != nil && f.drawn[l].Equal(other.drawn[l])
}

func (f Figure) write(l Layout, write func(*canvas.Drawing) ([]byte, error)) ([]byte, error) {
	if l < 0 || l >= layouts || f.drawn[l] == nil {
		return nil, ErrEmpty
	}
	b, err := write(f.drawn[l])
	if err != nil {
		return nil, fmt.Errorf("plots: figure %s: %w", f.Name, err)
	}
	return b, nil
}

// words is the text of the SVG; ids differ between the layouts, which may
// stand in one page.
func (f Figure) words(l Layout) canvas.Words {
	return canvas.Words{ID: f.Name + layoutSuffix[l], Title: f.Title, Desc: f.Alt}
}

// tallest bounds the height of a drawing, in pixels: three printed pages.
const tallest = 3600.0

var errTall = errors.New("too many rows or panels for one figure")

// figure draws a form in all layouts. Whatever goes wrong is an error: a
// figure that cannot be drawn must not end a run.
func (a About) figure(draw func(s *sheet)) (f Figure, err error) {
	if !goodName.MatchString(a.Name) {
		return Figure{}, fmt.Errorf("plots: %q is no name for a figure: want small letters, digits and hyphens", a.Name)
	}
	defer func() {
		if r := recover(); r != nil {
			f, err = Figure{}, fmt.Errorf("plots: figure %s: %v", a.Name, r)
		}
	}()
	f = Figure{Name: a.Name, Title: canvas.Clean(a.Title), Caption: canvas.Clean(a.Caption), Alt: canvas.Clean(a.Alt)}
	for l := range layouts {
		s := newSheet(layoutWidth[l])
		draw(s)
		if s.Height > tallest {
			return Figure{}, fmt.Errorf("plots: figure %s: %w", a.Name, errTall)
		}
		f.drawn[l] = s.Drawing
	}
	return f, nil
}

// fault is an error that names the figure.
func (a About) fault(format string, args ...any) error {
	return fmt.Errorf("plots: figure %s: %w", a.Name, fmt.Errorf(format, args...))
}

// A sheet is the drawing of a form in one layout.
type sheet struct {
	*canvas.Drawing
	narrow bool      // there is no room for two columns
	wide   bool      // there is room for several
	lanes  []float64 // heights of the lanes drawn so far
}

func newSheet(width float64) *sheet {
	return &sheet{Drawing: &canvas.Drawing{Width: width}, narrow: width < 400, wide: width >= 600}
}

// edge keeps ink off the edge, where a browser's rounding could cut it.
const edge = 2.0

// The fonts: names and values, the same in bold, and whatever is smaller.
var (
	nameFont  = canvas.Font{Size: 13}
	boldFont  = canvas.Font{Size: 13, Bold: true}
	smallFont = canvas.Font{Size: 12}
)

var (
	gridLine = canvas.Style{Line: canvas.Faint, Width: 1}
	axisLine = canvas.Style{Line: canvas.Rule, Width: 1}
)

// words writes like Text, but moves what would leave the sheet.
func (s *sheet) words(x, y float64, text string, f canvas.Font, r Role, align float64) {
	text = f.Fit(text, s.Width-2*edge)
	w := f.Width(text)
	from := min(max(x-align*w, edge), s.Width-edge-w)
	s.Text(from, y, text, f, r, canvas.Left)
}
