// Package canvas holds a drawing as a list of lines, areas and words, and
// writes it as SVG or PNG. Colours are roles of one palette, with a value for
// light and one for dark paper. Words are measured with the font that is
// embedded in the SVG and that draws the PNG.
//
// Lengths are CSS pixels, 1/96 inch, from the top left corner downwards.
package canvas
