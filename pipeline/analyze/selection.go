package analyze

import (
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/selection"
)

// The scales at which use is held against availability.
const (
	OverLand    = "land"         // the shares of the land: which units are used counts too
	WithinUnits = "within units" // each unit's finds against that unit's own trees
)

// selections asks for each method, part of the land and scale whether a host
// has more of the host-associated finds than its share of what trees offer.
func (s *Season) selections(elements []fieldwork.UnitSeason) []SelectionRow {
	var rows []SelectionRow
	for _, method := range s.DrawnMethods() {
		for _, g := range s.Parts(method, elements) {
			for _, scale := range []string{OverLand, WithinUnits} {
				rows = append(rows, s.selectionIn(g, scale)...)
			}
		}
	}
	return rows
}

func (s *Season) selectionIn(g fieldwork.Part, scale string) []SelectionRow {
	trees := s.HostTrees()
	sample, doubts := s.useAndOffer(g, trees)
	row := SelectionRow{Method: g.Method, Stratum: g.Stratum, Years: g.Years, Scale: scale, Availability: s.Settings.Selection.Availability}
	if len(trees) == 0 {
		row.Tree = All
		row.Ratio = figures(stats.Missing(s.Settings.Confidence, 0, noHostTrees))
		row.Warnings = append([]stats.Warning{noHostTrees}, g.Warnings...)
		return []SelectionRow{row}
	}
	compare := selection.Estimated
	if scale == WithinUnits {
		compare = selection.Within
	}
	r := compare(sample, s.Settings.Confidence)
	var rows []SelectionRow
	for i, tree := range trees {
		c := r.Classes[i]
		row := row
		row.Tree, row.Units, row.Sites = tree, column.Count(r.Units), column.Count(r.Clusters)
		row.Finds, row.AllFinds = column.Count(int(c.Finds)), column.Count(int(r.Finds))
		row.Used, row.Available, row.Ratio = figures(c.Used), figures(c.Available), figures(c.Ratio)
		row.Standardised, row.P, row.PAdjusted = column.Finite(c.Standardised), column.Finite(c.P), column.Finite(c.PAdjusted)
		row.ChiSquare, row.G, row.TestDF = column.Finite(r.Test.ChiSquare), column.Finite(r.Test.G), column.Finite(r.Test.DF)
		row.Overdispersion, row.TestP, row.TestPG = column.Finite(r.Test.Overdispersion), column.Finite(r.Test.P), column.Finite(r.Test.PG)
		row.Warnings = stats.Distinct(c.Ratio.Warnings, doubts, r.Warnings, g.Warnings)
		if r.Finds == 0 { // then what was left out is the reason
			row.Warnings = stats.Distinct(doubts, c.Ratio.Warnings, g.Warnings)
		}
		rows = append(rows, row)
	}
	return rows
}

var noHostTrees = stats.Warning{Code: "nothing-available", Text: "no tree is recorded in any unit or named as a host, so there is nothing for finds to select"}

// useAndOffer counts the host-associated finds of each tree and what each
// offers alive, in the units of which that is known.
func (s *Season) useAndOffer(g fieldwork.Part, trees []string) (selection.Sample, []stats.Warning) {
	offer, incomplete := s.offers(trees)
	var noList, noMeasure int
	var finds int64
	part, index := g.Subset(func(i int) bool {
		unit := s.UnitOf[g.Units[i].Unit.ID]
		_, listed := offer[unit]
		switch {
		case !listed:
			noList++
		case incomplete[unit]:
			noMeasure++
		default:
			return true
		}
		for _, n := range s.hostFinds(g.Units[i], trees) {
			finds += int64(n)
		}
		return false
	})
	sample := selection.Sample{Design: part.Design, Used: make([][]float64, len(trees)), Available: make([][]float64, len(trees))}
	for i := range trees {
		sample.Used[i], sample.Available[i] = make([]float64, len(part.Units)), make([]float64, len(part.Units))
	}
	for i, e := range g.Units {
		at := index[i]
		if at < 0 {
			continue
		}
		scale := 1.0
		if s.Settings.Selection.Availability == survey.Cover { // percent of the unit's ground
			scale = g.Design.AreaHa[i]
		}
		for t, n := range s.hostFinds(e, trees) {
			sample.Used[t][at] = n
			sample.Available[t][at] = scale * offer[s.UnitOf[e.Unit.ID]][t]
		}
	}
	var doubts []stats.Warning
	if noList+noMeasure > 0 {
		doubts = append(doubts, stats.Warning{Code: "trees-not-recorded", Text: fmt.Sprintf(
			"%d units have no row in trees, and %d no %s of a live host; they are left out, with %d host-associated finds",
			noList, noMeasure, measureName(s.Settings.Selection.Availability), finds)})
	}
	return sample, doubts
}

func measureName(availability string) string {
	switch availability {
	case survey.BasalArea:
		return "basal area"
	case survey.Cover:
		return "cover"
	}
	return "number of stems"
}

// offers gives what each unit with rows in trees has of each live host by the
// survey's measure, and the units of which some of it is missing.
func (s *Season) offers(trees []string) (offer map[int][]float64, incomplete map[int]bool) {
	offer, incomplete = map[int][]float64{}, map[int]bool{}
	for _, t := range s.Hosts.Trees {
		if offer[t.Unit] == nil {
			offer[t.Unit] = make([]float64, len(trees))
		}
		i := slices.Index(trees, t.Tree)
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
		incomplete[t.Unit] = incomplete[t.Unit] || !amount.Known
		offer[t.Unit][i] += amount.Value
	}
	return offer, incomplete
}

// hostFinds counts the host-associated fruit bodies of an element by tree.
func (s *Season) hostFinds(e fieldwork.UnitSeason, trees []string) []float64 {
	finds := make([]float64, len(trees))
	for _, c := range e.Counts {
		g := s.Groups[c.Group]
		if i := slices.Index(trees, g.Tree); g.Mode == survey.HostAssociated && i >= 0 {
			finds[i] += float64(c.N)
		}
	}
	return finds
}
