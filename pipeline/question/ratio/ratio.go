// Package ratio is the question of how host-associated and saprotrophic finds compare,
// counted on the same units, and what share of the finds was called neither.
package ratio

import (
	"context"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
	"ashtally/stats/multiple"
	"ashtally/stats/permute"
	"ashtally/stats/strata"
)

// Answer is the ratios of modes and the undetermined shares.
type Answer struct{ rows []Row }

// Tables are results/comparison.
func (a Answer) Tables() []result.Table { return []result.Table{table.Of(a.rows)} }

// Warnings are the types of warnings of its rows.
func Warnings() []stats.WarningTypes {
	return append(transect.AllWarnings(), compare.Warnings, permute.Warnings, strata.Warnings)
}

// The comparisons of results/comparison.
const (
	hostToSapro       = "host-associated to saprotrophic"
	undeterminedShare = "undetermined share of all"
)

// Ask estimates the ratio of host-associated to saprotrophic density by each method:
// in the survey area, by stratum, by years since fire, by tree, and by tree within
// years; and the share of the finds whose mode was left undetermined.
func Ask(_ context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	var a Answer
	seasons, subgroups := s.UnitSeasons(), s.Subgroups().OfAllTaxa()
	for _, method := range s.DrawnMethods() {
		e := &estimator{Season: s, method: method, subgroups: subgroups}
		if method == result.Line {
			e.lines = known.Lines
			for _, d := range e.lines.Domains {
				e.domains = append(e.domains, e.lines.Counted(d))
			}
		} else {
			e.domains = s.Domains(method, seasons)
		}
		for _, d := range e.domains {
			e.counts = append(e.counts, subgroups.Count(d))
		}
		if err := e.families(); err != nil {
			return Answer{}, err
		}
		e.undetermined()
		a.rows = append(a.rows, e.rows...)
	}
	fieldwork.InFileOrder(s, a.rows, func(r *Row) (string, string) { return r.Comparison + r.Method, r.Stratum })
	return a, nil
}

// estimator makes the rows of one method.
type estimator struct {
	*fieldwork.Season
	method    string
	subgroups fieldwork.Subgroups
	domains   []fieldwork.Domain
	counts    []fieldwork.Counts // of the domains
	lines     *transect.Lines    // nil for other methods
	rows      []Row
}

// families adds the ratios, each family of comparisons adjusted together.
func (e *estimator) families() error {
	over, years, trees := e.PooledStratum(e.domains), fieldwork.YearClasses(e.domains), e.trees()
	type comparison struct{ stratum, years, tree string }
	var byStratum, byYears, byTree, byBoth []comparison
	for _, s := range e.Strata {
		byStratum = append(byStratum, comparison{s.Name, result.All, result.All})
	}
	for _, y := range years {
		byYears = append(byYears, comparison{over, y, result.All})
		for _, t := range trees {
			byBoth = append(byBoth, comparison{over, y, t})
		}
	}
	for _, t := range trees {
		byTree = append(byTree, comparison{over, result.All, t})
	}
	for _, family := range []struct {
		over string
		of   []comparison
	}{
		{"", []comparison{{over, result.All, result.All}}}, {"strata", byStratum}, {"years since fire", byYears},
		{"trees", byTree}, {"trees within years since fire", byBoth},
	} {
		var rows []Row
		for _, c := range family.of {
			r, err := e.ratio(c.stratum, c.years, c.tree)
			if err != nil {
				return err
			}
			rows = append(rows, r)
		}
		result.Adjust(rows, multiple.ByHolm, family.over, func(r *Row) (column.Float, *column.Float, *string) {
			return r.P, &r.PAdjusted, &r.Adjustment
		})
		e.rows = append(e.rows, rows...)
	}
	return nil
}

// trees lists those that were recorded with any find.
func (e *estimator) trees() []string {
	var trees []string
	for _, c := range e.subgroups.List {
		if c.Mode == result.All && c.Taxon == result.All && c.Tree != result.All {
			trees = append(trees, c.Tree)
		}
	}
	return trees
}

// members are the places of the domains of a stratum, or of all, in a class of years.
func (e *estimator) members(stratum, years string) []int {
	var members []int
	for i, d := range e.domains {
		if d.Years == years && (fieldwork.OverStrata(stratum) || e.Strata[d.Stratum].Name == stratum) {
			members = append(members, i)
		}
	}
	return members
}

// parts are the counts of two subgroups on the same units, by stratum.
func (e *estimator) parts(members []int, first, base fieldwork.Subgroup) []compare.Part {
	at, over := slices.Index(e.subgroups.List, first), slices.Index(e.subgroups.List, base)
	parts := make([]compare.Part, len(members))
	for j, i := range members {
		d := e.domains[i]
		parts[j] = compare.Part{
			Stratum: e.CollapsedWith(d), LandHa: e.Strata[d.Stratum].AreaHa, AreaHa: d.AreaHa, Cluster: d.Clusters,
			A: fieldwork.Dense(make([]float64, len(d.Units)), e.counts[i][at]),
			B: fieldwork.Dense(make([]float64, len(d.Units)), e.counts[i][over]),
		}
	}
	return parts
}

// ratio is the row of host-associated to saprotrophic density in one part.
func (e *estimator) ratio(stratum, years, tree string) (Row, error) {
	row := Row{Comparison: hostToSapro, Method: e.method, Stratum: stratum, Years: years, Tree: tree}
	members := e.members(stratum, years)
	if len(members) == 0 {
		return e.unsampled(row), nil
	}
	host := fieldwork.Subgroup{Mode: survey.HostAssociated, Tree: tree, Taxon: result.All}
	sapro := fieldwork.Subgroup{Mode: survey.Saprotrophic, Tree: tree, Taxon: result.All}
	parts := e.parts(members, host, sapro)
	r := compare.Ratio(parts, e.Settings.Confidence)
	if e.lines != nil {
		var err error
		if r, err = e.lines.Ratio(r, fieldwork.Pick(e.domains, members), e.subgroups, host, sapro); err != nil {
			return row, err
		}
	}
	var warnings []stats.Warning
	row.Tested, warnings = e.tested(parts, r.P)
	r.Warnings = stats.AppendNewCodes(slices.Clip(r.Warnings), warnings...)
	return e.filled(row, members, parts, r.Estimate), nil
}

// tested is the sign-flip test of the differences between sites. It does not hold where
// the modes have detection functions of their own, and counts have another ratio than
// densities.
func (e *estimator) tested(parts []compare.Part, wald float64) (result.Tested, []stats.Warning) {
	if e.lines != nil && e.lines.Depends() {
		return result.ByWald(wald), nil
	}
	r := compare.Signs(parts, permute.Options{Seed: e.Settings.Seed, Replicates: e.Settings.Compare.Replicates})
	return result.BySigns(r.P, r.SE, wald, r.Exact, result.AllSigns, result.DrawnSigns), r.Warnings
}

// undetermined adds the share of the finds that the crew called neither mode, which the
// ratio leaves out.
func (e *estimator) undetermined() {
	over := e.PooledStratum(e.domains)
	e.share(over, result.All)
	for _, s := range e.Strata {
		e.share(s.Name, result.All)
	}
	for _, y := range fieldwork.YearClasses(e.domains) {
		e.share(over, y)
	}
}

func (e *estimator) share(stratum, years string) {
	row := Row{Comparison: undeterminedShare, Method: e.method, Stratum: stratum, Years: years, Tree: result.All}
	members := e.members(stratum, years)
	if len(members) == 0 {
		e.rows = append(e.rows, e.unsampled(row))
		return
	}
	parts := e.parts(members, fieldwork.Subgroup{Mode: survey.Undetermined, Tree: result.All, Taxon: result.All}, fieldwork.AllFinds)
	share := compare.Share(parts, e.Settings.Confidence)
	if e.lines != nil {
		share.Warnings = append(slices.Clip(share.Warnings), e.lines.SeenAlike()...)
	}
	e.rows = append(e.rows, e.filled(row, members, parts, share))
}

// unsampled is a row of a stratum that the method did not reach.
func (e *estimator) unsampled(row Row) Row {
	return e.filled(row, nil, nil, stats.Missing(e.Settings.Confidence, 0, stats.NoUnits.With("no %s was searched in %s", e.method, row.Stratum)))
}

// filled puts counts and estimate into a row.
func (e *estimator) filled(row Row, members []int, parts []compare.Part, of stats.Estimate) Row {
	var first, base float64
	for _, p := range parts {
		first += fieldwork.Sum(p.A)
		base += fieldwork.Sum(p.B)
	}
	row.Units = column.Count(fieldwork.UnitsIn(fieldwork.Pick(e.domains, members)))
	row.FirstFinds, row.BaseFinds = column.Count(int(first)), column.Count(int(base))
	row.Ratio, row.Warnings = result.Of(of), slices.Clip(of.Warnings)
	if fieldwork.OverStrata(row.Stratum) {
		row.Warnings = append(row.Warnings, e.NotReached(e.method, e.domains, row.Years)...)
	}
	return row
}
