package samplesize

import (
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/planning"
	"ashtally/stats/planning/allocation"
)

// Wanted is the precision that a survey is to report: one of CV and Width.
type Wanted struct {
	CV float64 // coefficient of variation of the density
	// Width is (upper - lower) / estimate of the interval.
	Width      float64
	Confidence float64 // of that interval; 0: 0.95
	Interval   string  // one of density.Methods; empty: its default
	Chance     float64 // that the survey reports no more than that; 0: 0.8
}

// DefaultChance is that of the zero Wanted, by analogy with the usual power (common
// practice, no source).
const DefaultChance = 0.8

func (w Wanted) settled() Wanted {
	if w.Confidence == 0 {
		w.Confidence = 0.95
	}
	if w.Chance == 0 {
		w.Chance = DefaultChance
	}
	switch {
	case !(w.CV >= 0) || !(w.Width >= 0) || (w.CV > 0) == (w.Width > 0):
		panic("samplesize: one of a coefficient of variation and a width is wanted")
	case !(w.Confidence > 0 && w.Confidence < 1) || !(w.Chance > 0 && w.Chance < 1):
		panic("samplesize: a confidence or a chance outside of (0, 1)")
	}
	return w
}

// Options say how surveys are simulated.
type Options struct {
	Seed uint64
	// Surveys is how many are simulated; 0: 1000 for a CV, with which a chance of
	// 0.8 is known to 0.013, and 300 for a width, each of which has to be estimated.
	Surveys int
}

// Point is a number of units with what it gives.
type Point struct {
	Units     int
	PerStrata []int // units by stratum
	Hours     float64
	// CV is the expected one, by the formula, in the middle of what is known.
	CV float64
	// Low, Median and High are what surveys report, CV or width: of a tenth it is
	// less than Low, of a tenth more than High. +Inf: nothing can be reported.
	Low, Median, High float64
	// Chance is that what is reported is no more than is wanted; SE its standard
	// error by simulation.
	Chance, SE float64
}

// Plan is the number of units for a wanted precision, or why there is none.
type Plan struct {
	// Chosen is the smallest number of units that gives the wanted chance. Without
	// one it is the largest number possible, and None says what keeps it from that;
	// nil where nothing does.
	Chosen Point
	None   *stats.Warning
	// Formula is the number of units that expects the wanted CV in the middle of what
	// is known, and so gives it to about half of all surveys at best: 0 where a width
	// is wanted or where no number does.
	Formula  int
	Curve    []Point // by number of units, Chosen among them
	Warnings []stats.Warning
}

// For plans a survey. Reports are simulated for populations drawn from what is known,
// with CV and width as package density estimates them.
//
// Special cases: without populations there is no plan, for the reason of the Drawer. A
// stratum that holds a single unit has no variance, and so nothing is in reach. A
// precision that is out of reach within the strata or MostHours has the plan of the
// most that they allow, with its chance, and the reason. It panics on an invalid
// design or Wanted, or where strata and populations differ in number.
func For(known planning.Drawer, d Design, w Wanted, o Options) Plan {
	return plan(known, d, w, o, 0)
}

// With is the plan of a survey whose number of units is given: Chosen is that number,
// within what the strata hold and the least numbers allow, with the chance that it
// gives. MostHours is no limit to it.
func With(units int, known planning.Drawer, d Design, w Wanted, o Options) Plan {
	d.MostHours = 0
	return plan(known, d, w, o, units)
}

// plan plans a survey, with a number of units where one is given.
func plan(known planning.Drawer, d Design, w Wanted, o Options, units int) Plan {
	d, w = d.settled(), w.settled()
	if reason := known.Reason(); reason != nil {
		return Plan{None: reason, Chosen: nothing()}
	}
	plan := Plan{Warnings: known.Limitations(d.UnitHa), Chosen: nothing()}
	typical := known.Typical()
	s := d.sequence(typical)
	if plan.None = d.lone(s); plan.None != nil {
		return plan
	}
	t := &trial{Design: d, wanted: w, Options: o.settled(w), known: known, typical: typical, sequence: s}
	if w.CV > 0 {
		plan.Formula = total(d.Units(typical, w.CV))
	}
	most := d.most(s)
	chosen, reached := min(max(units, s.Least()), most), true
	if units == 0 {
		chosen, reached = t.search(most)
	}
	plan.Curve = t.curve(chosen, most)
	plan.Chosen = plan.Curve[slices.IndexFunc(plan.Curve, func(p Point) bool { return p.Units == chosen })]
	if !reached {
		reason := t.outOfReach(plan.Chosen)
		plan.None = &reason
	}
	plan.Warnings = append(plan.Warnings, d.whole(s.At(chosen))...)
	return plan
}

func nothing() Point {
	nan := math.NaN()
	return Point{CV: nan, Low: nan, Median: nan, High: nan, Chance: nan, SE: nan, Hours: nan}
}

func total(units []int) int {
	n := 0
	for _, u := range units {
		n += u
	}
	return n
}

// lone is the reason where a stratum cannot hold two units, or the hours do not
// suffice for the least number of them.
func (d Design) lone(s *allocation.Sequence) *stats.Warning {
	var w stats.Warning
	for h := range d.Strata {
		if d.holds(h) < 2 {
			w = planning.OutOfReach.With("%s has room for %d units of %.3g ha, and a variance needs two; take smaller units, or join it with another stratum",
				d.name(h), d.holds(h), d.UnitHa)
			return &w
		}
	}
	if least := s.At(0); d.MostHours > 0 && d.Hours(least) > d.MostHours {
		w = planning.OutOfReach.With("%d units, the least number for a variance in each stratum, take %.3g hours, and there are %.3g",
			total(least), d.Hours(least), d.MostHours)
		return &w
	}
	return nil
}

func (d Design) name(h int) string {
	if n := d.Strata[h].Name; n != "" {
		return "stratum " + n
	}
	return "a stratum"
}

// whole warns of strata that are searched whole, or nearly.
func (d Design) whole(units []int) []stats.Warning {
	var all []stats.Warning
	for h, n := range units {
		if searched := float64(n) * d.UnitHa; searched > 0.5*d.Strata[h].LandHa {
			all = append(all, planning.WholeStratum.With("the plan searches %.0f %% of %s; units that must not overlap or lie by the edge may not find room",
				100*searched/d.Strata[h].LandHa, d.name(h)))
		}
	}
	return all
}

// outOfReach says what keeps a survey from the precision. That is not the area: the
// finite population factor of a stratum searched whole is 0.
func (t *trial) outOfReach(p Point) stats.Warning {
	what := "a plan"
	if p.Units < mostUnits {
		what = "the field time"
	}
	figure := "coefficient of variation"
	if t.wanted.Width > 0 {
		figure = "interval width"
	}
	return planning.OutOfReach.With("%s allows at most %d units, which give the wanted %s with probability %.2g, not %.2g",
		what, p.Units, figure, p.Chance, t.wanted.Chance)
}
