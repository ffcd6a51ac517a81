// Package plots draws the figures of the report: plain numbers in, SVG and PNG
// out. It knows nothing of surveys, tables or files, and imports nothing else
// of this module.
//
// # Forms
//
// A form is a struct of labels, numbers and marks without any word of a
// domain. Its Figure method checks it and draws it [Wide], [Narrow] and [Half]; the
// [Figure] is then had as a file ([Figure.SVG], [Figure.PNG]) or as an
// element of a page ([Figure.Inline] with the [Stylesheet]), on light and dark
// paper alike:
//
//	figure, err := plots.Rows{About: about, Axis: axis, Rows: rows}.Figure()
//	...
//	svg, err := figure.Inline(plots.Narrow)
//
// The forms, each with an example in its comment:
//
//   - [Rows]: estimates with intervals, the numbers printed beside them;
//     several marks a row, headings, reference lines, columns of text. With
//     Bars it draws bars from 0, for shares and chances against a limit; with
//     Together it draws many marks a row and prints nothing.
//   - [Chain]: a number and what becomes of it, bars joined step by step.
//   - [Multiples]: rows of marks in several panels on one scale.
//   - [Chart]: curves with bands, steps, histograms, points, over numbers,
//     dates or names; one panel or several.
//   - [Calendar]: spells of days with onset, peak and end.
//   - [Map]: outlines and places, symbols sized by a value or numbered units.
//
// What they share: [About] names the figure and holds its words (Alt is one
// sentence with the main number); an [Axis] says what values are and how they
// lie, and chooses a square-root or logarithmic scale itself where they differ
// more than tenfold; a [Mark] is an estimate with its interval; a [Role] is
// what a colour is for. Which series has which role and [Shape] is the
// caller's to say, once for all figures.
//
// Rules of all forms. NaN draws nothing; limits that are both NaN are no
// interval ([Bare], [Along]), both 0 around another value an error. A limit that is NaN or infinite on
// one side is an open side, the only thing an arrow stands for; a line that is
// crossed by two strokes goes on to a limit that lies over three times (on a
// logarithmic scale thirty times) beyond all others. A mark of nothing found is
// hollow. Numbers are printed as the caller writes them, or
// with about three significant digits. An infinite or negative value where it
// has no place, limits out of order, and nothing to draw ([ErrEmpty]) are
// errors; nothing panics. Words are cut with an ellipsis or wrapped, and never
// cover each other: in a file they are outlines, and in a page they are text
// in the font of the stylesheet, held to its widths in any other.
package plots
