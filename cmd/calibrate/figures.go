package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"ashtally/cmd/calibrate/coverage"
	"ashtally/plots"
)

// coverages are the drawings of a calibration: of each figure the default
// interval by world, and each method where there are several.
func coverages(cells []coverage.Cell, scores [][]coverage.Score) []plots.Coverage {
	var list []plots.Coverage
	add := func(c plots.Coverage) {
		if len(c.Rows) > 0 {
			list = append(list, c)
		}
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

// empty is a drawing without rows.
func (d calibrated) empty(name, title string) plots.Coverage {
	c := plots.Coverage{Name: name, Title: title, Confidence: 0.95, Low: coverage.LeastCovered, High: d.Most()}
	for _, n := range d.Sizes {
		c.Sizes = append(c.Sizes, fmt.Sprintf("n = %d", n))
	}
	return c
}

// byWorld shows the default interval in each world.
func (d calibrated) byWorld(name, title string) plots.Coverage {
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
func (d calibrated) byMethod(name, title string) plots.Coverage {
	drawing := d.empty(name, title)
	for _, method := range d.Methods {
		for at, n := range d.Sizes {
			for i, c := range d.cells {
				if c.Figure.Name != d.Name || c.N != n || !c.Judged() || c.Small() {
					continue
				}
				if j := slices.IndexFunc(d.scores[i], func(s coverage.Score) bool { return s.Method == method }); j >= 0 {
					addCoverage(&drawing, method, drawing.Sizes[at], c, d.scores[i][j])
				}
			}
		}
	}
	return drawing
}

// addCoverage adds a mark to the row of the group and label.
func addCoverage(drawing *plots.Coverage, group, label string, c coverage.Cell, s coverage.Score) {
	at := slices.IndexFunc(drawing.Rows, func(r plots.CoverageRow) bool { return r.Group == group && r.Label == label })
	if at < 0 {
		at = len(drawing.Rows)
		drawing.Rows = append(drawing.Rows, plots.CoverageRow{Group: group, Label: label})
	}
	drawing.Rows[at].Points = append(drawing.Rows[at].Points, plots.CoveragePoint{
		Size: slices.Index(c.Figure.Sizes, c.N), Coverage: s.Coverage(), Small: c.Verdict(s) == coverage.Small,
	})
}

// writeFigure draws one as SVG and PNG.
func writeFigure(dir string, c plots.Coverage) error {
	f, err := c.Figure()
	if err != nil {
		return fmt.Errorf("draw: %w", err)
	}
	at := filepath.Join(dir, f.Name)
	return errors.Join(writeFile(at+".svg", f.WriteSVG), writeFile(at+".png", f.WritePNG))
}
