package plots

import (
	"fmt"
	"math"
	"strings"
)

// SelectionRatios shows the use of each tree against what it offers, on a
// logarithmic axis around 1.
type SelectionRatios struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals, simultaneous over the trees.
	Confidence float64
	// Offered says what is taken for available: "stems".
	Offered string
	// Land and Units hold the trees over all the land and within units. Either
	// may be empty.
	Land, Units []SelectionRatio
}

// SelectionRatio is the use of a tree against what it offers.
type SelectionRatio struct {
	Tree string
	// Value is the used share over the available one; NaN where it cannot be had.
	Value, Lower, Upper float64
	// Used and Available are shares; NaN where not known.
	Used, Available float64
	Finds           int
	// Note is drawn in place of a ratio that cannot be had.
	Note string
}

// Figure draws the ratios. It returns an error where there are none or one
// cannot be true.
func (s SelectionRatios) Figure() (Figure, error) {
	if err := checkConfidence(s.Confidence); err != nil {
		return Figure{}, err
	}
	f := forest{abreast: 1, limits: "tree not used, or alone: limit only", axis: valueAxis{
		title: "Selection ratio: used share : available share", log: true, reference: 1,
		low: "used less than offered", high: "used more",
	}}
	panel := forestPanel{heads: []string{"Finds", "Used", "Avail-\nable", "Ratio\n(" + percent(s.Confidence) + " interval)"}}
	var extents []extent
	for i, section := range s.sections() {
		if len(section.rows) == 0 {
			continue
		}
		f.rows = append(f.rows, forestRow{name: section.heading, strong: true, apart: i > 0 && len(extents) > 0})
		for _, row := range section.rows {
			if err := row.check(); err != nil {
				return Figure{}, err
			}
			extents = append(extents, row.extent())
			panel.lanes = append(panel.lanes, row.lane())
			f.rows = append(f.rows, forestRow{name: named(row.Tree), lanes: make([]string, 1)})
		}
	}
	if len(extents) == 0 {
		return Figure{}, ErrEmpty
	}
	f.lo, f.hi = logDomain(extents, f.axis.reference)
	f.panels = []forestPanel{panel}
	figure := Figure{Name: s.Name, Title: s.Title, Caption: s.caption(), Alt: s.alt()}
	return forestFigure(figure, "selection-ratios", "Use of hosts against what they offer", f, nil, nil)
}

type selectionSection struct {
	heading string
	rows    []SelectionRatio
}

func (s SelectionRatios) sections() []selectionSection {
	return []selectionSection{{"Over all the land", s.Land}, {"Within each unit", s.Units}}
}

func (r SelectionRatio) check() error {
	if err := r.extent().check(); err != nil {
		return fmt.Errorf("plots: selection ratio of %s: %w", named(r.Tree), err)
	}
	if r.Finds < 0 || r.Used < 0 || r.Used > 1+1e-9 || r.Available < 0 || r.Available > 1+1e-9 {
		return fmt.Errorf("plots: selection ratio of %s: finds or shares are none", named(r.Tree))
	}
	return nil
}

func (r SelectionRatio) extent() extent {
	return Ratio{Value: r.Value, Lower: r.Lower, Upper: r.Upper}.extent()
}

func (r SelectionRatio) note() string {
	x := r.extent()
	switch {
	case x.bounded() || x.value > 0:
		return ""
	case clean(r.Note) != "":
		return clean(r.Note)
	case x.value == 0:
		return "not used"
	}
	return "no ratio"
}

func (r SelectionRatio) lane() lane {
	share := func(v float64) string {
		if math.IsNaN(v) {
			return "–"
		}
		return number(100*v) + "\u00a0%"
	}
	x, cell := r.extent(), "–"
	switch limits := x.limits(); {
	case r.note() != "":
	case x.onlyLimits():
		cell = limits
	case limits == "":
		cell = number(x.value)
	default:
		cell = number(x.value) + " (" + limits + ")"
	}
	return lane{
		extent: x, note: r.note(), mark: mark{shape: circle, color: blue},
		cells: []string{count(r.Finds), share(r.Used), share(r.Available), cell},
	}
}

func (s SelectionRatios) caption() string {
	return fmt.Sprintf("The share of host-associated finds that stood by a tree, divided by its share of the live %s of all hosts, with %s confidence intervals that hold together, on a logarithmic axis. "+
		"At 1 a tree has the finds that its share would give it. Within each unit the finds are held against that unit’s own trees.", clean(s.Offered), percent(s.Confidence))
}

func (s SelectionRatios) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Selection ratios of hosts, used share over share of live %s.", clean(s.Offered))
	for _, section := range s.sections() {
		divide := " " + section.heading + ": "
		for _, r := range section.rows {
			say := sayExtent(r.extent(), s.Confidence)
			if note := r.note(); note != "" {
				say = note
			}
			fmt.Fprintf(&b, "%s%s, %s (%s)", divide, named(r.Tree), say, plural(r.Finds, "find"))
			divide = "; "
		}
		if len(section.rows) > 0 {
			b.WriteString(".")
		}
	}
	return b.String()
}
