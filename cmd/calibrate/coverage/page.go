package coverage

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// WritePage writes the published page: what was done, and of each figure the
// cells in which the default interval leaves its goal, and every score.
func WritePage(w io.Writer, samples int, seed uint64, cells []Cell, scores [][]Score) error {
	p := page{cells: cells, scores: scores}
	fmt.Fprintf(&p, pageHead, samples, seed, samples, seed)
	p.summary()
	for _, f := range Figures() {
		if p.has(f) {
			p.part(f)
		}
	}
	_, err := p.WriteTo(w)
	return err
}

// page is the page in the making.
type page struct {
	bytes.Buffer
	cells  []Cell
	scores [][]Score
}

func (p *page) has(f Figure) bool {
	for _, c := range p.cells {
		if c.Figure.Name == f.Name {
			return true
		}
	}
	return false
}

// count is how many cells of a figure came to each verdict, and in how many
// that left the goal most samples said so.
type count struct {
	of   map[Verdict]int
	said int
}

func (p *page) count(f Figure, each func(c Cell, s Score)) count {
	n := count{of: map[Verdict]int{}}
	for i, c := range p.cells {
		if c.Figure.Name != f.Name || !c.Judged() {
			continue
		}
		for _, s := range p.scores[i] {
			v := c.Verdict(s)
			n.of[v]++
			if v == Wide || v == Misses {
				each(c, s)
			}
			if v == Wide && s.WideShare() > 0.5 || v == Misses && s.WarnedShare() > 0.5 {
				n.said++
			}
		}
	}
	return n
}

func (n count) judged() int { return n.of[Holds] + n.of[Wide] + n.of[Misses] }

// summary is a line for each figure.
func (p *page) summary() {
	fmt.Fprintf(p, "\n## In short\n\nSaid so: over half of the samples were warned of limits too near, or told that they are on the safe side, "+
		"as the misses ask.\n\n| figure | default | pieces, finds from | worlds and sizes | hold %.2f to %.2f, areas %.3f | hold more | hold less "+
		"| of the two, said so |\n|---|---|---|--:|--:|--:|--:|--:|\n", LeastCovered, MostCovered, Areas().Most())
	for _, f := range Figures() {
		if !p.has(f) {
			continue
		}
		n := p.count(f, func(Cell, Score) {})
		fmt.Fprintf(p, "| %s | %s | %d, %g | %d | %d | %d | %d | %d |\n", f.Title, f.Default, f.LeastPieces,
			f.LeastFinds, n.judged(), n.of[Holds], n.of[Wide], n.of[Misses], n.said)
	}
}

// part writes one figure.
func (p *page) part(f Figure) {
	fmt.Fprintf(p, "\n# %s\n\n%s", f.Title, f.About)
	p.missed(f)
	p.widths(f)
	family, layout := "", false
	for i, c := range p.cells {
		if c.Figure.Name != f.Name {
			continue
		}
		if c.World.Family != family {
			family, layout = c.World.Family, c.Systematic != ""
			p.head(family, layout, c.Methods)
		}
		fmt.Fprintf(p, "| %s | %d | %.0f |", c.World.Name, c.N, c.Finds())
		if layout {
			fmt.Fprintf(p, " %s |", c.Systematic)
		}
		for _, s := range p.scores[i] {
			fmt.Fprintf(p, " %s |", s)
		}
		p.WriteString("\n")
	}
}

func (p *page) head(family string, layout bool, methods []string) {
	more, rule := "", ""
	if layout {
		more, rule = " variance |", "---|"
	}
	fmt.Fprintf(p, "\n## World: %s\n\n| world | n | finds |%s", family, more)
	for _, m := range methods {
		fmt.Fprintf(p, " %s |", m)
	}
	fmt.Fprintf(p, "\n|---|--:|--:|%s%s\n", rule, strings.Repeat("---|", len(methods)))
}

// missed lists the cells in which the default interval leaves its goal.
func (p *page) missed(f Figure) {
	var rows strings.Builder
	n := p.count(f, func(c Cell, s Score) {
		fmt.Fprintf(&rows, "| %s | %d | %.3f | %.3f | %.0f | %.0f | %.2f | %.2f |\n", c.Label(), c.N, s.Coverage(), s.StandardError(),
			1000*s.LowShare(), 1000*s.HighShare(), s.WarnedShare(), s.WideShare())
	})
	fmt.Fprintf(p, "\n## Where %s leaves %.2f to %.3g\n\nOf %d worlds and sizes with n from %d and %g expected finds it keeps to the goal in "+
		"%d, holds the truth more often in %d and less often in %d.\n\n",
		f.Default, LeastCovered, f.Most(), n.judged(), f.LeastPieces, f.LeastFinds, n.of[Holds], n.of[Wide], n.of[Misses])
	if rows.Len() > 0 {
		fmt.Fprintf(p, "| world | n | coverage | standard error | misses below | above | warned | said wide |\n|---|--:|--:|--:|--:|--:|--:|--:|\n%s", rows.String())
	}
}

// Label names the world of a cell, with the variance of its layout.
func (c Cell) Label() string {
	if c.Systematic == "" {
		return c.World.Name
	}
	return c.World.Name + ", " + c.Systematic
}

// String is a cell of the page.
func (s Score) String() string {
	width := "open"
	if s.MedianWidth > 0 {
		width = fmt.Sprintf("%.2f", s.MedianWidth)
	}
	if r := s.Ratio(); r > 0 {
		width += fmt.Sprintf(" x%.2f", r)
	}
	if s.Open > 0 {
		width += fmt.Sprintf(", %.1f %% open", 100*s.OpenShare())
	}
	return fmt.Sprintf("%.3f (%.0f, %.0f) %s", s.Coverage(), 1000*s.LowShare(), 1000*s.HighShare(), width)
}
