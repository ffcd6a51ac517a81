package pipeline

import (
	"fmt"
	"slices"

	"ashtally/plots"
	"ashtally/stats/calibrate"
	"ashtally/stats/density"
)

// coverageFigure is a figure of coverage without rows.
func coverageFigure(name, title string) plots.Coverage {
	c := plots.Coverage{Name: name, Title: title, Confidence: 0.95, Low: calibrate.LeastCovered, High: calibrate.MostCovered}
	for _, n := range calibrate.Sizes {
		c.Sizes = append(c.Sizes, fmt.Sprintf("n = %d", n))
	}
	return c
}

// coverageByWorld shows the default interval in each world.
func coverageByWorld(cells []calibrate.Cell, scores [][]calibrate.Score) plots.Coverage {
	figure := coverageFigure("coverage-by-world", "Coverage of the default interval by world")
	for i, c := range cells {
		label := c.World.Name
		if c.Systematic != "" {
			label += ", " + c.Systematic
		}
		for _, s := range scores[i] {
			if s.Method != density.DefaultMethod {
				continue
			}
			addCoverage(&figure, c.World.Family, label, c, s)
		}
	}
	return figure
}

// coverageByMethod shows each method over all worlds without a layout, in a
// row for each size.
func coverageByMethod(cells []calibrate.Cell, scores [][]calibrate.Score) plots.Coverage {
	figure := coverageFigure("coverage-by-method", "Coverage of each method, a mark for each world")
	for _, method := range density.Methods() {
		for at, n := range calibrate.Sizes {
			for i, c := range cells {
				if c.Systematic != "" || c.N != n || n < calibrate.LeastUnits || c.Finds() < calibrate.LeastFinds {
					continue
				}
				j := slices.IndexFunc(scores[i], func(s calibrate.Score) bool { return s.Method == method })
				addCoverage(&figure, method, figure.Sizes[at], c, scores[i][j])
			}
		}
	}
	return figure
}

// addCoverage adds a mark to the row of the group and label.
func addCoverage(figure *plots.Coverage, group, label string, c calibrate.Cell, s calibrate.Score) {
	at := slices.IndexFunc(figure.Rows, func(r plots.CoverageRow) bool { return r.Group == group && r.Label == label })
	if at < 0 {
		at = len(figure.Rows)
		figure.Rows = append(figure.Rows, plots.CoverageRow{Group: group, Label: label})
	}
	figure.Rows[at].Points = append(figure.Rows[at].Points, plots.CoveragePoint{
		Size: slices.Index(calibrate.Sizes, c.N), Coverage: s.Coverage(), Small: c.Verdict(s) == calibrate.Small,
	})
}
