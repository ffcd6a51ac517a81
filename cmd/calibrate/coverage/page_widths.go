package coverage

import (
	"fmt"
	"slices"
)

// widths are the medians, over the worlds of a figure whose finds suffice, of what
// its methods cover and of their widths over the shortest, by size. Figures
// without a shortest width have none.
func (p *page) widths(f Figure) {
	var rows []string
	for _, n := range f.Sizes {
		row, some := fmt.Sprintf("| %d |", n), false
		for _, method := range f.Methods {
			coverage, ratio := p.medians(f, n, method)
			some = some || ratio > 0
			row += fmt.Sprintf(" %.3f x%.2f |", coverage, ratio)
		}
		if some {
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		return
	}
	p.WriteString("\n## Medians over the worlds\n\nCoverage, and the median width over the shortest that could be had, each the median over " +
		"the worlds with finds enough.\n\n| n |")
	for _, method := range f.Methods {
		fmt.Fprintf(p, " %s |", method)
	}
	p.WriteString("\n|--:|")
	for range f.Methods {
		p.WriteString("---|")
	}
	p.WriteString("\n")
	for _, row := range rows {
		p.WriteString(row + "\n")
	}
}

func (p *page) medians(f Figure, n int, method string) (coverage, ratio float64) {
	var coverages, ratios []float64
	for i, c := range p.cells {
		if c.Figure.Name != f.Name || c.N != n || c.Finds() < f.LeastFinds {
			continue
		}
		for _, s := range p.scores[i] {
			if s.Method != method {
				continue
			}
			coverages = append(coverages, s.Coverage())
			if r := s.Ratio(); r > 0 {
				ratios = append(ratios, r)
			}
		}
	}
	return median(coverages), median(ratios)
}

func median(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	return values[len(values)/2]
}
