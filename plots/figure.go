package plots

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"

	"ashtally/plots/internal/canvas"

	"gonum.org/v1/plot/vg"
)

// A Figure is drawn and ready to be written. Only the Figure methods of this
// package make one.
type Figure struct {
	// Name is the base name of the figure's files, and the start of the ids in
	// its SVG: small letters, digits and hyphens.
	Name string
	// Title says what the figure shows. It is not drawn.
	Title string
	// Caption says how to read the figure. It is not drawn.
	Caption string
	// Alt says in full sentences what the figure shows, every estimate with
	// its interval. It is the text alternative of the SVG.
	Alt string

	height float64 // points
	paint  func(pen)

	drawn [layouts]*canvas.Drawing // of a form
}

// ErrEmpty is returned where there is nothing to draw.
var ErrEmpty = errors.New("plots: nothing to draw")

var goodName = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// newFigure completes a figure: defaults for its name and title where the
// caller gave none, and text made safe.
func newFigure(f Figure, name, title string) (Figure, error) {
	if f.Name == "" {
		f.Name = name
	}
	if f.Title = clean(f.Title); f.Title == "" {
		f.Title = title
	}
	if !goodName.MatchString(f.Name) {
		return Figure{}, fmt.Errorf("plots: %q is no name for a figure: want small letters, digits and hyphens", f.Name)
	}
	return f, nil
}

// WriteSVG writes the figure as one SVG element, without an XML prologue, so
// that it stands as a file of its own and within an HTML page alike. It names
// its size in print; CSS can give it any other.
func (f Figure) WriteSVG(w io.Writer) error {
	if f.paint == nil {
		return ErrEmpty
	}
	var svg bytes.Buffer
	if err := f.writeSVG(&svg); err != nil {
		return fmt.Errorf("plots: figure %s: %w", f.Name, err)
	}
	_, err := svg.WriteTo(w)
	return err
}

// WritePNG writes the figure as a PNG of 200 dots per inch that knows its size
// in print.
func (f Figure) WritePNG(w io.Writer) error {
	if f.paint == nil {
		return ErrEmpty
	}
	var png bytes.Buffer
	if err := f.writePNG(&png); err != nil {
		return fmt.Errorf("plots: figure %s: %w", f.Name, err)
	}
	_, err := png.WriteTo(w)
	return err
}

// size is the width and height for a canvas.
func (f Figure) size() (w, h vg.Length) {
	return vg.Length(figureWidth), vg.Length(f.height)
}

// draw paints the figure on paper. Paper is painted too, or a figure within a
// dark page could not be read.
func (f Figure) draw(c vg.Canvas) {
	p := pen{canvas: c, height: f.height}
	p.rect(0, 0, figureWidth, f.height, paper)
	f.paint(p)
}
