package plots

import "image/color"

const (
	pointsPerMM = 72 / 25.4

	// figureWidth is two columns of most journals.
	figureWidth = 174 * pointsPerMM

	// pngDPI gives a printed page clean letters and a screen twice its pixels.
	pngDPI = 200

	// margin keeps ink off the edge, where a browser's rounding could cut it.
	margin = 4.0

	nameSize  = 10.0 // names of strata, trees, panels
	smallSize = 9.0  // ticks, counts, notes: the smallest that prints well
	lineStep  = 12.0 // from one line of text to the next

	gridWidth     = 0.5
	axisWidth     = 0.8
	intervalWidth = 1.3

	markRadius  = 3.0
	arrowLength = 5.0
	arrowGutter = arrowLength + 3 // from the end of a scale to a number beside it
	arrowShaft  = arrowLength + 2 // from a number on its line to the end of the scale
)

var (
	paper = gray(0xFF)
	ink   = gray(0x22)
	muted = gray(0x59) // 7 to 1 on white
	faint = gray(0xE2) // grid
	rule  = gray(0x8C) // zero line, reference line, line between parts

	// Of Okabe & Ito (2008), "Color universal design". Orange, yellow and sky
	// blue are left out: lines in them are too light on white paper.
	blue      = color.RGBA{0x00, 0x72, 0xB2, 0xFF}
	vermilion = color.RGBA{0xD5, 0x5E, 0x00, 0xFF}
	green     = color.RGBA{0x00, 0x9E, 0x73, 0xFF}
	purple    = color.RGBA{0xB8, 0x5C, 0x8E, 0xFF} // a shade darker than theirs
)

func gray(level uint8) color.RGBA { return color.RGBA{level, level, level, 0xFF} }

var (
	nameText   = textStyle{size: nameSize, color: ink}
	strongText = textStyle{size: nameSize, bold: true, color: ink}
	smallText  = textStyle{size: smallSize, color: ink}
	mutedText  = textStyle{size: smallSize, color: muted}

	gridStroke = stroke{color: faint, width: gridWidth}
	axisStroke = stroke{color: rule, width: axisWidth}
)
