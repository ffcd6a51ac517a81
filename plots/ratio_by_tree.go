package plots

import (
	"fmt"
	"math"
	"strings"
)

// RatioByTree shows the ratio of host-associated to saprotrophic density on a
// logarithmic axis around 1: a row for each tree species, each number of years
// since fire, and all finds.
type RatioByTree struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Trees, Years and All are drawn in this order, from top to bottom. Any may
	// be empty.
	Trees, Years, All []Ratio
}

// Ratio is a ratio of host-associated to saprotrophic density.
type Ratio struct {
	// Label is the tree, the years since fire, or what all finds are.
	Label string
	// Value is the ratio: 0 or +Inf where only one mode was found, NaN where
	// the ratio cannot be had.
	Value float64
	// Lower and Upper are the confidence limits. NaN for no limit: on one side
	// an arrow, on both an open mark. 0 below and +Inf above are no limits
	// either.
	Lower, Upper float64
	// Units is the number of plots or transects.
	Units int
	// HostFinds and SaproFinds are the fruit bodies of each mode.
	HostFinds, SaproFinds int
	// Note is drawn in place of a ratio that cannot be had: the reason, in a
	// few words.
	Note string
}

// ratioSection is rows under a heading; without one they are set apart.
type ratioSection struct {
	heading string
	rows    []Ratio
}

// Figure draws the ratios. It returns an error where there are none or one
// cannot be true.
func (r RatioByTree) Figure() (Figure, error) {
	if err := checkConfidence(r.Confidence); err != nil {
		return Figure{}, err
	}
	sections, err := r.sections()
	if err != nil {
		return Figure{}, err
	}
	f := forest{abreast: 1, tightly: true, limits: "one mode not found: limit only", axis: valueAxis{
		title: "Density ratio, host-associated : saprotrophic", log: true, reference: 1,
		low: "more saprotrophic", high: "more host-associated",
	}}
	panel := forestPanel{heads: []string{"Units", "Host\nfinds", "Sapro\nfinds", "Ratio\n(" + percent(r.Confidence) + " interval)"}}
	var extents []extent
	for i, section := range sections {
		if section.heading != "" {
			f.rows = append(f.rows, forestRow{name: section.heading, strong: true, apart: i > 0})
		}
		for k, row := range section.rows {
			extents = append(extents, row.extent())
			panel.lanes = append(panel.lanes, row.lane())
			f.rows = append(f.rows, forestRow{
				name: row.Label, lanes: make([]string, 1),
				strong: section.heading == "", apart: section.heading == "" && i > 0 && k == 0,
			})
		}
	}
	f.lo, f.hi = logDomain(extents, f.axis.reference)
	f.panels = []forestPanel{panel}
	figure := Figure{Name: r.Name, Title: r.Title, Caption: r.caption(), Alt: r.alt(sections)}
	return forestFigure(figure, "ratio-by-tree", "Host-associated to saprotrophic ratio by tree", f, nil, nil)
}

// sections copies and checks the rows.
func (r RatioByTree) sections() ([]ratioSection, error) {
	var sections []ratioSection
	for _, section := range []ratioSection{{"Tree", r.Trees}, {"Years since fire", r.Years}, {"", r.All}} {
		if len(section.rows) == 0 {
			continue
		}
		rows := make([]Ratio, len(section.rows))
		for i, row := range section.rows {
			row.Label = named(row.Label)
			if err := row.check(); err != nil {
				return nil, err
			}
			rows[i] = row
		}
		sections = append(sections, ratioSection{section.heading, rows})
	}
	if len(sections) == 0 {
		return nil, ErrEmpty
	}
	return sections, nil
}

func (r Ratio) check() error {
	if err := r.extent().check(); err != nil {
		return fmt.Errorf("plots: ratio of %s: %w", r.Label, err)
	}
	if r.Units < 0 || r.HostFinds < 0 || r.SaproFinds < 0 {
		return fmt.Errorf("plots: ratio of %s: %d units, %d or %d finds are negative", r.Label, r.Units, r.HostFinds, r.SaproFinds)
	}
	return nil
}

func (r Ratio) extent() extent {
	x := extent{r.Value, r.Lower, r.Upper}
	noLower := math.IsNaN(x.lower) || x.lower <= 0
	noUpper := math.IsNaN(x.upper) || math.IsInf(x.upper, 1)
	if noLower && noUpper { // limits that say nothing
		x.lower, x.upper = math.NaN(), math.NaN()
	}
	return x
}

// note is what is written where nothing can be drawn.
func (r Ratio) note() string {
	x := r.extent()
	if x.bounded() || (x.value > 0 && !math.IsInf(x.value, 1)) {
		return ""
	}
	if note := clean(r.Note); note != "" {
		return note
	}
	switch {
	case r.HostFinds == 0 && r.SaproFinds == 0:
		return "no finds"
	case r.HostFinds == 0:
		return "no host-associated finds"
	case r.SaproFinds == 0:
		return "no saprotrophic finds"
	}
	return "no ratio"
}

func (r Ratio) lane() lane {
	return lane{
		extent: r.extent(), note: r.note(), mark: mark{shape: circle, color: ink},
		cells: []string{count(r.Units), count(r.HostFinds), count(r.SaproFinds), r.cell()},
	}
}

// cell writes the ratio and its interval.
func (r Ratio) cell() string {
	x := r.extent()
	limits := x.limits()
	switch {
	case r.note() != "":
		return "–"
	case x.onlyLimits():
		return limits
	case limits == "":
		return number(x.value)
	}
	return number(x.value) + " (" + limits + ")"
}

func (r RatioByTree) caption() string {
	return fmt.Sprintf("Host-associated density divided by saprotrophic density, with %s confidence interval, on a logarithmic axis. "+
		"At 1 both are equal. An arrow goes on without a limit, or to the limit in the last column.", percent(r.Confidence))
}

func (r RatioByTree) alt(sections []ratioSection) string {
	var b strings.Builder
	b.WriteString("Ratio of host-associated to saprotrophic density.")
	for _, section := range sections {
		divide := " "
		if section.heading != "" {
			divide = fmt.Sprintf(" %s: ", section.heading)
		}
		for _, row := range section.rows {
			fmt.Fprintf(&b, "%s%s, %s", divide, row.Label, row.sentence(r.Confidence))
			divide = "; "
		}
		b.WriteString(".")
	}
	return b.String()
}

// sentence says the ratio in words.
func (r Ratio) sentence(confidence float64) string {
	x, interval := r.extent(), "no interval"
	if limits := x.limits(); limits != "" {
		interval = percent(confidence) + " interval " + limits
	}
	counts := fmt.Sprintf("%s, %s host-associated and %s saprotrophic finds", plural(r.Units, "unit"), count(r.HostFinds), count(r.SaproFinds))
	switch note := r.note(); {
	case note != "":
		return fmt.Sprintf("%s (%s)", note, counts)
	case x.onlyLimits():
		return fmt.Sprintf("%s (%s)", interval, counts)
	}
	return fmt.Sprintf("%s (%s; %s)", number(x.value), interval, counts)
}
