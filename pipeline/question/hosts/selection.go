package hosts

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/selection"
)

// The scales at which use is compared with availability.
const (
	overArea    = "land"         // shares of the area: which units are used counts too
	withinUnits = "within units" // each unit's finds with that unit's own trees
)

// selections asks for a part of the land and each scale whether a host has more of
// the host-associated finds than its share of what trees offer.
func selections(s *fieldwork.Season, p fieldwork.Part, offered offers) []SelectionRow {
	trees := offered.trees
	sample, doubts := useAndOffer(s, p, offered)
	var rows []SelectionRow
	for _, scale := range []string{overArea, withinUnits} {
		rows = append(rows, selectionBy(s, p, scale, trees, sample, doubts)...)
	}
	return rows
}

// selectionBy are the selection ratios of each host in a part of the area.
func selectionBy(s *fieldwork.Season, p fieldwork.Part, scale string, trees []string, sample selection.Sample, doubts []stats.Warning) []SelectionRow {
	row := SelectionRow{Method: p.Method, Stratum: p.Stratum, Years: p.Years, Scale: scale, Availability: s.Settings.Selection.Availability}
	if len(trees) == 0 {
		row.Tree = result.All
		row.Ratio = result.Of(stats.Missing(s.Settings.Confidence, 0, noHostTrees))
		row.Warnings = append([]stats.Warning{noHostTrees}, p.Warnings...)
		return []SelectionRow{row}
	}
	compare := selection.Estimated
	if scale == withinUnits {
		compare = selection.Within
	}
	r := compare(sample, s.Settings.Confidence)
	var rows []SelectionRow
	for i, tree := range trees {
		c := r.Classes[i]
		row := row
		row.Tree, row.Units, row.Sites = tree, column.Count(r.Units), column.Count(r.Clusters)
		row.Finds, row.AllFinds = column.Count(int(c.Finds)), column.Count(int(r.Finds))
		row.Used, row.Available, row.Ratio = result.Of(c.Used), result.Of(c.Available), result.Of(c.Ratio)
		row.Standardised, row.P, row.PAdjusted = column.Finite(c.Standardised), column.Finite(c.P), column.Finite(c.PAdjusted)
		row.ChiSquare, row.G, row.TestDF = column.Finite(r.Test.ChiSquare), column.Finite(r.Test.G), column.Finite(r.Test.DF)
		row.Overdispersion, row.TestP, row.TestPG = column.Finite(r.Test.Overdispersion), column.Finite(r.Test.P), column.Finite(r.Test.PG)
		row.Warnings = stats.Distinct(c.Ratio.Warnings, doubts, r.Warnings, p.Warnings)
		if r.Finds == 0 { // then what was left out is the reason
			row.Warnings = stats.Distinct(doubts, c.Ratio.Warnings, p.Warnings)
		}
		rows = append(rows, row)
	}
	return rows
}

var noHostTrees = selection.NothingAvailable.With("no tree is recorded in any unit or named as a host, so there is nothing for finds to select")

// useAndOffer counts the host-associated finds of each tree and what each
// offers alive, in the units of which that is known.
func useAndOffer(s *fieldwork.Season, p fieldwork.Part, offered offers) (selection.Sample, []stats.Warning) {
	trees := offered.trees
	var noList, noMeasure int
	var finds int64
	part, index := p.Subset(func(i int) bool {
		unit := s.UnitOf[p.Units[i].Unit.ID]
		_, listed := offered.byUnit[unit]
		switch {
		case !listed:
			noList++
		case offered.incomplete[unit]:
			noMeasure++
		default:
			return true
		}
		for _, n := range hostFinds(s, p.Units[i], trees) {
			finds += int64(n)
		}
		return false
	})
	sample := selection.Sample{Design: part.Design, Used: make([][]float64, len(trees)), Available: make([][]float64, len(trees))}
	for i := range trees {
		sample.Used[i], sample.Available[i] = make([]float64, len(part.Units)), make([]float64, len(part.Units))
	}
	for i, e := range p.Units {
		at := index[i]
		if at < 0 {
			continue
		}
		scale := 1.0
		if s.Settings.Selection.Availability == survey.Cover { // percent of the unit's ground
			scale = p.Design.AreaHa[i]
		}
		for t, n := range hostFinds(s, e, trees) {
			sample.Used[t][at] = n
			sample.Available[t][at] = scale * offered.byUnit[s.UnitOf[e.Unit.ID]][t]
		}
	}
	var doubts []stats.Warning
	if noList+noMeasure > 0 {
		doubts = append(doubts, treesNotRecorded.With(
			"%d units have no row in trees, and %d no %s of a live host; they are left out, with %d host-associated finds",
			noList, noMeasure, measureName(s.Settings.Selection.Availability), finds))
	}
	return sample, doubts
}

// measureName names a measure of availability in a sentence.
func measureName(availability string) string {
	switch availability {
	case survey.BasalArea:
		return "basal area"
	case survey.Cover:
		return "cover"
	}
	return "number of stems"
}

// offers is what each unit with rows in trees has of each live host by the survey's
// measure, and the units of which some of it is missing.
type offers struct {
	trees      []string
	byUnit     map[int][]float64
	incomplete map[int]bool
}

func offersOf(s *fieldwork.Season) offers {
	o := offers{s.HostTrees(), map[int][]float64{}, map[int]bool{}}
	for t := range s.Hosts.Trees() {
		if o.byUnit[t.Unit] == nil {
			o.byUnit[t.Unit] = make([]float64, len(o.trees))
		}
		i := slices.Index(o.trees, t.Tree)
		if i < 0 || t.Alive.Known && !t.Alive.Value {
			continue
		}
		amount := t.Stems
		switch s.Settings.Selection.Availability {
		case survey.BasalArea:
			amount = t.BasalAreaM2
		case survey.Cover:
			amount = t.CoverPercent
		}
		o.incomplete[t.Unit] = o.incomplete[t.Unit] || !amount.Known
		o.byUnit[t.Unit][i] += amount.Value
	}
	return o
}

// hostFinds counts the host-associated fruit bodies of a unit-season by tree.
func hostFinds(s *fieldwork.Season, e fieldwork.UnitSeason, trees []string) []float64 {
	finds := make([]float64, len(trees))
	for _, c := range e.Counts {
		g := s.Groups[c.Group]
		if i := slices.Index(trees, g.Tree); g.Mode == survey.HostAssociated && i >= 0 {
			finds[i] += float64(c.N)
		}
	}
	return finds
}
