package plots

import (
	"errors"
	"regexp"

	"ashtally/plots/internal/canvas"
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
	// Alt is the text alternative of the SVG: one sentence with the main number.
	Alt string

	drawn [layouts]*canvas.Drawing
}

// ErrEmpty is returned where there is nothing to draw.
var ErrEmpty = errors.New("plots: nothing to draw")

var goodName = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)
