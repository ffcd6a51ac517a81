// Package plots draws the figures of the report: plain numbers in, SVG and PNG
// out. It knows nothing of surveys, tables or files, and imports nothing else
// of this module.
//
// # Use
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
//
// # A new figure
//
// One file: the input struct, its checks, the text alternative, and a paint
// function that composes the shared pieces: pen (lines, curves, areas, text),
// scale (linear or logarithmic, with ticks), mark, extent (an estimate and its
// limits), valueAxis (grid, labels, title), forest (rows of estimates along
// one or more panels), grid (panels side by side), key (what a mark means). A
// band is a polygon under its curve; a scatter is marks on two scales. Add a
// sample to sample_test.go: the tests of goldens, layout and form run over all
// of them.
package plots
