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
//
// # Figures that are no forms yet
//
// What follows is about [DensityByStratum], [DensityByModeAndTree], [RatioByTree],
// [ObserversShares] and [Coverage].
//
// Each kind of figure is a struct of the same name, filled by the caller and
// turned into a [Figure] by its Figure method, which copies and checks what it
// was given. A Figure is then written as often as wanted:
//
//	figure, err := plots.DensityByStratum{Unit: "fruit bodies per hectare", Strata: rows}.Figure()
//	...
//	err = figure.WriteSVG(w)
//
// The same numbers give the same bytes. Numbers that cannot be had are NaN: an
// estimate without an interval is an open mark, an estimate that is missing is
// its reason in words, and a limit missing on one side only is an arrow. An
// infinite estimate, a negative density or crossed limits are errors.
//
// # Theme
//
// All figures are 174 mm wide, the width of two journal columns, and as high
// as their rows need. Lengths in the code are points, measured from the top
// left corner. theme.go holds every size and colour:
//
//   - Text is Liberation Sans, 9 pt for ticks, counts and notes, 10 pt for
//     names, bold for what stands over or apart. PNG files are drawn with it;
//     SVG files ask for it, then for Arial and Helvetica, whose letters are as
//     wide, so that one measurement fits all.
//   - Colours are from the colour-blind-safe set of Okabe and Ito (2008), the
//     lightest left out. A colour always comes with a shape of its own, and a
//     method or mode has the same pair in every figure (marks.go).
//   - Axes of densities are linear from 0 unless the caller asks for a
//     logarithmic one, or leaves it to the numbers ([AutoAxis]).
//   - The grid is light and runs along the value axis only; there is no box.
//     Ticks are round numbers, as many as their labels leave room for.
//   - An axis reaches as far as the intervals do. Where a few intervals are far
//     longer than all others, they are cut with an arrow and their end is
//     written as a number (domain.go).
//   - Names from the data are stripped of control characters, wrapped to two
//     lines and cut with an ellipsis; the text alternative has them whole.
package plots
