package ingest

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// gridPlot is what adaptive cluster plots are checked by.
type gridPlot struct {
	added   column.Bool
	network string
	round   bool
}

// gridPlotOf notes how a plot came into the sample. A stratum with a plot that
// says so is one of adaptive cluster plots.
func gridPlotOf(l *line, row *survey.Plot, u *unit) {
	u.grid = gridPlot{added: row.Added, network: row.Network, round: row.RadiusM.Known}
	if row.Network != "" && !row.Added.Known {
		l.fault("added", "is empty, and the plot is of the network "+phrase.Quote(row.Network),
			"write no if it was drawn at random, yes if it was added beside another")
	}
	if l.clean() && u.stratum != nil && row.Added.Known {
		u.stratum.adaptive = true
	}
}

// countTarget adds a find to what may have met the threshold.
func (r *reading) countTarget(l *line, row *survey.Find, v *visit) {
	targets := r.folder.Settings.Taxa.Target
	switch {
	case !l.clean():
		v.partly = true
	case len(targets) == 0 || slices.Contains(targets, row.Taxon):
		v.target += row.Bodies()
	}
}

// adaptive checks the strata of adaptive cluster plots, whose estimate rests on
// every plot having come in by the rule.
func (a *acrossRows) adaptive() {
	grids := map[*stratum][]*unit{}
	drawnIn := map[string]*stratum{} // a network to a stratum where a plot of it was drawn
	for _, u := range a.known.unitOrder {
		if u.aside || u.kind != plotKind || u.stratum == nil || !u.stratum.adaptive {
			continue
		}
		grids[u.stratum] = append(grids[u.stratum], u)
		if u.grid.network != "" && !u.grid.added.Value {
			drawnIn[u.grid.network] = u.stratum
		}
	}
	a.thresholdSaid(len(grids) > 0)
	for _, s := range a.known.stratumOrder {
		if plots := grids[s]; len(plots) > 0 {
			a.gridWhole(s, plots)
			a.networksDrawn(s, plots, drawnIn)
			a.thresholdMet(plots)
		}
	}
}

// thresholdSaid holds the settings to whether there are adaptive plots at all.
func (a *acrossRows) thresholdSaid(adaptive bool) {
	said := a.folder.Settings.Adaptive.Threshold > 0
	if said == adaptive {
		return
	}
	f := survey.Fault{Place: survey.Place{File: settingsName, Line: a.folder.lines.line("adaptive", "threshold")}, Name: "adaptive.threshold",
		Problem: "is not said, and the plots say whether they were added",
		Remedy:  "say from how many fruit bodies on the plots beside one were added, so that the networks can be held to it"}
	if said {
		f.Problem, f.Remedy = "is said, and no plot says whether it was added", "fill in the column added of the plots, or remove the key"
	}
	a.notice(f)
}

// gridWhole holds the plots of a stratum to be all of one grid: every one says
// how it came in, some were drawn, and all are of one size.
func (a *acrossRows) gridWhole(s *stratum, plots []*unit) {
	silent := slices.Clone(plots)
	silent = slices.DeleteFunc(silent, func(u *unit) bool { return u.grid.added.Known })
	if len(silent) > 0 {
		a.block(survey.Fault{Place: a.placeOf(silent[0].spot), Name: "added",
			Problem: fmt.Sprintf("is empty, and other plots of %s have it; %d plots are like this one", phrase.Quote(s.name), len(silent)),
			Remedy:  "write no for a plot that was drawn at random, yes for one that was added beside another"})
	}
	if !slices.ContainsFunc(plots, func(u *unit) bool { return !u.grid.added.Value }) {
		a.block(survey.Fault{Place: a.placeOf(plots[0].spot), Name: "added",
			Problem: "every plot of " + phrase.Quote(s.name) + " was added, and none was drawn",
			Remedy:  "write no for the plots that were drawn at random; without any there is no estimate"})
	}
	a.gridEqual(s, plots)
}

// By how much the plots of a grid may differ in area. A hundredth is a tape; a
// tenth is a grid laid along slopes, whose plots count as equal with a notice.
const (
	areaTape  = 0.01
	areaSlope = 0.1
)

func (a *acrossRows) gridEqual(s *stratum, plots []*unit) {
	least := slices.MinFunc(plots, func(a, b *unit) int { return cmp.Compare(a.areaM2, b.areaM2) })
	most := slices.MaxFunc(plots, func(a, b *unit) int { return cmp.Compare(a.areaM2, b.areaM2) })
	f := survey.Fault{Place: a.placeOf(most.spot),
		Problem: fmt.Sprintf("the plots of %s are of one grid and differ in area: %s has %s m2 (%s), %s has %s m2", phrase.Quote(s.name),
			phrase.Quote(least.name), phrase.Decimal(hundredths(least.areaM2)), a.where(least.spot),
			phrase.Quote(most.name), phrase.Decimal(hundredths(most.areaM2)))}
	switch apart := most.areaM2 - least.areaM2; {
	case apart > areaSlope*least.areaM2:
		f.Remedy = "mend the sizes, or make strata of those that are equal: the chance to come into the sample is only known for equal plots"
		a.block(f)
	case apart > areaTape*least.areaM2:
		f.Remedy = "they count as equal, with their mean area"
		a.notice(f)
	}
	if i := slices.IndexFunc(plots, func(u *unit) bool { return u.grid.round }); i >= 0 {
		a.notice(survey.Fault{Place: a.placeOf(plots[i].spot), Name: "radius_m",
			Problem: "the plots of " + phrase.Quote(s.name) + " are of one grid, and round plots leave gaps between them",
			Remedy:  "the stratum counts as if they filled it; lay square ones next time"})
	}
}

func hundredths(m2 float64) float64 { return math.Round(m2*100) / 100 }

// networksDrawn holds every network of a stratum to have a plot that was drawn.
// A network that reaches over a stratum's border is cut there.
func (a *acrossRows) networksDrawn(s *stratum, plots []*unit, drawnIn map[string]*stratum) {
	here := map[string]bool{}
	for _, u := range plots {
		if !u.grid.added.Value {
			here[u.grid.network] = true
		}
	}
	for _, u := range plots {
		name := u.grid.network
		if name == "" || here[name] {
			continue
		}
		here[name] = true // one word on each
		f := survey.Fault{Place: a.placeOf(u.spot), Name: "network"}
		if other := drawnIn[name]; other != nil {
			f.Problem = fmt.Sprintf("the network %s has no drawn plot in %s, only in %s", phrase.Quote(name), phrase.Quote(s.name), phrase.Quote(other.name))
			f.Remedy = "strata are drawn apart, so its plots here count in no estimate"
			a.notice(f)
			continue
		}
		f.Problem = "no plot of the network " + phrase.Quote(name) + " was drawn"
		f.Remedy = "a network comes into the sample by a drawn plot: write no under added for it, or mend the network's name"
		a.block(f)
	}
}

// thresholdMet holds the plots to the threshold, by the target taxa on the
// first day they were searched: then the neighbours were added, or not.
func (a *acrossRows) thresholdMet(plots []*unit) {
	threshold := a.folder.Settings.Adaptive.Threshold
	if _, lost := a.known.lost[survey.Finds.Name]; lost || threshold == 0 {
		return
	}
	for _, u := range plots {
		n, ok := a.known.firstDay(u)
		met := float64(n) >= threshold
		if !ok || met == (u.grid.network != "") {
			continue
		}
		f := survey.Fault{Place: a.placeOf(u.spot), Name: "network"}
		found := fmt.Sprintf("the plot %s held %d of the target taxa on its first day", phrase.Quote(u.name), n)
		if met {
			f.Problem = fmt.Sprintf("is empty, and %s, which meets the threshold of %s", found, phrase.Decimal(threshold))
			f.Remedy = "name its network, a name of its own if no plot beside it met the threshold, and add the plots beside it that were searched; " +
				"or mend adaptive.threshold in " + settingsName
		} else {
			f.Problem = fmt.Sprintf("is %s, and %s, under the threshold of %s", phrase.Quote(u.grid.network), found, phrase.Decimal(threshold))
			f.Remedy = "leave network empty for a plot that did not meet it; or mend the finds, or adaptive.threshold in " + settingsName
		}
		a.block(f)
	}
}

// firstDay is how many of the target taxa a unit held on the first day it was
// searched, all passes together; not ok where that is not known whole.
func (k *known) firstDay(u *unit) (n int64, ok bool) {
	if !u.visited() || u.lost != nil {
		return 0, false
	}
	visits := k.visitsOf(u)
	first := slices.MinFunc(visits, func(a, b *visit) int { return cmp.Compare(a.day, b.day) }).day
	for _, v := range visits {
		if v.day != first {
			continue
		}
		if v.aside || v.partly {
			return 0, false
		}
		n += v.target
	}
	return n, true
}
