package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"

	"ashtally/cmd/calibrate/coverage"
	"ashtally/plots"
)

// coverages are the drawings of a calibration: of each figure the default
// interval by world, and each method where there are several.
func coverages(cells []coverage.Cell, scores [][]coverage.Score) []plots.Rows {
	var list []plots.Rows
	add := func(c plots.Rows) {
		list = append(list, parts(c)...)
	}
	for _, f := range coverage.Figures() {
		d := calibrated{f, cells, scores}
		switch f.Name {
		case "plots":
			add(d.byWorld("coverage-by-world", "Coverage of the default interval by world"))
			add(d.byMethod("coverage-by-method", "Coverage of each method, a mark for each world"))
		case "areas":
			add(d.byWorld("areas-by-world", "Coverage of the default interval of areas by world"))
		case "lines":
			add(d.byWorld("lines-by-world", "Coverage of the default interval along lines by world"))
			add(d.byMethod("lines-by-method", "Coverage of each method along lines, a mark for each world"))
		case "ratios":
			add(d.byWorld("ratios-by-world", "Coverage of the interval of ratios by world"))
		case "adaptive":
			add(d.byWorld("adaptive-by-world", "Coverage of the default interval of adaptive cluster plots by world"))
		case "changes":
			add(d.byWorld("changes-by-world", "Coverage of the interval of changes by world"))
		case "crops":
			add(d.byWorld("crops-by-world", "Coverage of the interval of crops by world"))
		case "corrected":
			add(d.byWorld("corrected-by-world", "Coverage of the interval of corrected densities by world"))
		}
	}
	return list
}

// calibrated is a figure with all cells of the calibration and their scores.
type calibrated struct {
	coverage.Figure
	cells  []coverage.Cell
	scores [][]coverage.Score
}

// series tell the sizes of samples apart, the smallest first.
var series = []plots.Series{
	{Role: plots.Fourth, Shape: plots.Wedge}, {Role: plots.Second, Shape: plots.Triangle}, {Role: plots.Third, Shape: plots.Square},
	{Role: plots.First, Shape: plots.Circle}, {Role: plots.Ink, Shape: plots.Diamond}, {Role: plots.Muted, Shape: plots.Circle},
}

// nominal is the confidence level of the intervals.
const nominal = 95.0 // %

// empty is a drawing without rows: a scale with the band that coverages are to lie
// in.
func (d calibrated) empty(name, title string) plots.Rows {
	low, high := 100*coverage.LeastCovered, 100*d.Most()
	f := plots.Rows{
		About: plots.About{
			Name: name, Title: title,
			Caption: fmt.Sprintf("Share of nominal 95 %% intervals that covered the true value in simulated surveys. The band is %.3g to %.3g %%. "+
				"Hollow marks are samples too small for the band, each of which carries its warning.", low, high),
		},
		Axis:      plots.Axis{Label: "coverage of 95 % intervals", Suffix: " %", From: 90, To: 100},
		Rules:     []plots.Line{{At: nominal, Label: "nominal"}},
		Spans:     []plots.Span{{From: low, To: high, Role: plots.Muted}},
		Together:  true,
		WeakLabel: "too small a sample for the band",
	}
	for i, n := range d.Sizes {
		of := series[i]
		of.Label = fmt.Sprintf("n = %d", n)
		f.Series = append(f.Series, of)
	}
	return f
}

// byWorld shows the default interval in each world.
func (d calibrated) byWorld(name, title string) plots.Rows {
	drawing := d.empty(name, title)
	for i, c := range d.cells {
		if c.Figure.Name != d.Name {
			continue
		}
		for _, s := range d.scores[i] {
			if s.Method == d.Default {
				addCoverage(&drawing, c.World.Family, c.Label(), c, s)
			}
		}
	}
	return drawing
}

// byMethod shows each method over all worlds that have a goal, in a row for
// each size.
func (d calibrated) byMethod(name, title string) plots.Rows {
	drawing := d.empty(name, title)
	for _, method := range d.Methods {
		for at, n := range d.Sizes {
			for i, c := range d.cells {
				if c.Figure.Name != d.Name || c.N != n || !c.Judged() || c.Small() {
					continue
				}
				if j := slices.IndexFunc(d.scores[i], func(s coverage.Score) bool { return s.Method == method }); j >= 0 {
					addCoverage(&drawing, method, drawing.Series[at].Label, c, d.scores[i][j])
				}
			}
		}
	}
	return drawing
}

// addCoverage adds a mark to the row of the group and label. Rows of a group stand
// under its name.
func addCoverage(drawing *plots.Rows, group, label string, c coverage.Cell, s coverage.Score) {
	head := slices.IndexFunc(drawing.Rows, func(r plots.Row) bool { return r.Heading && r.Label == group })
	if head < 0 {
		head = len(drawing.Rows)
		drawing.Rows = append(drawing.Rows, plots.Row{Label: group, Heading: true})
	}
	at := head + 1
	for at < len(drawing.Rows) && !drawing.Rows[at].Heading && drawing.Rows[at].Label != label {
		at++
	}
	if at == len(drawing.Rows) || drawing.Rows[at].Heading {
		drawing.Rows = slices.Insert(drawing.Rows, at, plots.Row{Label: label})
	}
	mark := plots.Bare(100 * s.Coverage())
	mark.Series, mark.Weak = slices.Index(c.Figure.Sizes, c.N), c.Verdict(s) == coverage.Small
	drawing.Rows[at].Marks = append(drawing.Rows[at].Marks, mark)
}

// mostRows is how many rows a figure has: about two printed pages.
const mostRows = 80

// parts divides a drawing into figures of so many rows, each of which begins with the
// name of its first group. One without rows has none.
func parts(drawing plots.Rows) []plots.Rows {
	var list []plots.Rows
	var head plots.Row
	for _, r := range drawing.Rows {
		if r.Heading {
			head = r
		}
		at := len(list) - 1
		if at < 0 || len(list[at].Rows) >= mostRows {
			at++
			part := drawing
			part.Rows = nil
			if at > 0 {
				part.Name = fmt.Sprintf("%s-%d", drawing.Name, at+1)
			}
			if !r.Heading {
				part.Rows = []plots.Row{head}
			}
			if at > 0 {
				list[at-1].Rows = withoutLastHeading(list[at-1].Rows)
			}
			list = append(list, part)
		}
		list[at].Rows = append(list[at].Rows, r)
	}
	for i := range list {
		list[i].Alt = alt(list[i])
	}
	return list
}

func withoutLastHeading(rows []plots.Row) []plots.Row {
	if last := len(rows) - 1; rows[last].Heading {
		return rows[:last]
	}
	return rows
}

// alt is the text alternative: the range of the coverages.
func alt(drawing plots.Rows) string {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range drawing.Rows {
		for _, m := range r.Marks {
			if !m.Weak {
				low, high = min(low, m.Value), max(high, m.Value)
			}
		}
	}
	if low > high {
		return drawing.Title + ": all samples are too small for the band."
	}
	return fmt.Sprintf("%s: %.3g to %.3g %% where samples are large enough; the numbers stand in the tables.", drawing.Title, low, high)
}

// writeFigure draws one as SVG and PNG.
func writeFigure(dir string, form plots.Rows) error {
	f, err := form.Figure()
	if err != nil {
		return fmt.Errorf("draw: %w", err)
	}
	svg, errSVG := f.SVG(plots.Wide)
	png, errPNG := f.PNG(plots.Wide)
	if err := errors.Join(errSVG, errPNG); err != nil {
		return err
	}
	at := filepath.Join(dir, f.Name)
	return errors.Join(os.WriteFile(at+".svg", svg, 0o644), os.WriteFile(at+".png", png, 0o644))
}
