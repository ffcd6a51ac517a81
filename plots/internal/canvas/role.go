package canvas

import (
	"fmt"
	"image/color"
	"strings"
)

// A Role is what a colour is for. The palette gives it a value on light and on
// dark paper.
type Role uint8

// The roles. First to Fourth tell series apart; Accent is the colour where
// there is one series; Limit is for a line that something is held against.
const (
	None Role = iota // nothing is drawn
	Ink
	Muted
	Rule  // axes and reference lines
	Faint // grid
	Paper
	Accent
	First
	Second
	Third
	Fourth
	Limit
	roles
)

var roleNames = [roles]string{"none", "ink", "muted", "rule", "faint", "paper", "accent", "first", "second", "third", "fourth", "limit"}

// palette is the light and the dark value of each role. Lines and marks have a
// contrast of 4.5 to 1 and more against their paper, so that words may have
// the colour of their series (WCAG 2.2, 1.4.3); role_test.go computes it, and
// how far the series lie apart for the colour-blind.
var palette = [roles][2]uint32{
	Ink:    {0x1b1f23, 0xe8eaed},
	Muted:  {0x566069, 0xa9b2ba},
	Rule:   {0x868f97, 0x77818a},
	Faint:  {0xe2e5e8, 0x2d343b},
	Paper:  {0xffffff, 0x14181c},
	Accent: {0x0b7d6b, 0x63d8c6},
	First:  {0x1450d2, 0x6c97ff},
	Second: {0xbe490b, 0xf6b868},
	Third:  {0x8d2a93, 0xe06fbe},
	Fourth: {0x3d434a, 0xd3d8dd},
	Limit:  {0xa3121b, 0xff6a6a},
}

func (r Role) String() string {
	if r >= roles {
		return "none"
	}
	return roleNames[r]
}

// Color is the value of the role on light or dark paper.
func (r Role) Color(dark bool) color.NRGBA {
	if r >= roles {
		r = None
	}
	i := 0
	if dark {
		i = 1
	}
	v := palette[r][i]
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}
}

func (r Role) hex(dark bool) string {
	c := r.Color(dark)
	return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
}

// variables declares the palette as CSS variables.
func variables(dark bool) string {
	var b strings.Builder
	for r := Ink; r < roles; r++ {
		fmt.Fprintf(&b, "--plot-%s:%s;", r, r.hex(dark))
	}
	return b.String()
}

// Opacities of areas that lie under others: a band or a bar behind its
// interval, and the ground of a map.
const soft, pale = 0.24, 0.11

// classes gives each role its class for areas (a-) and for lines (l-).
func classes() string {
	var b strings.Builder
	for r := Ink; r < roles; r++ {
		fmt.Fprintf(&b, ".plot .a-%[1]s{fill:var(--plot-%[1]s)}.plot .l-%[1]s{stroke:var(--plot-%[1]s)}", r)
	}
	return b.String()
}
