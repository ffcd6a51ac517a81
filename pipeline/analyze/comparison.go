package analyze

import (
	"cmp"
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
	"ashtally/stats/multiple"
	"ashtally/stats/permute"
)

// The comparisons of results/comparison.
const (
	HostToSapro       = "host-associated to saprotrophic"
	UndeterminedShare = "undetermined share of all"
)

// family is a set of comparisons that are read together, and whose p-values
// are therefore adjusted together.
type family struct {
	about string // "strata": what the comparisons of the family run over
	rows  []ComparisonRow
}

// comparisons holds host-associated against saprotrophic finds, method by
// method: on the whole land, by stratum, by years since fire, by tree, and by
// tree within years; and says what share the crew could not call.
func (s *Season) comparisons(elements []fieldwork.UnitSeason, t *transect.Lines) ([]ComparisonRow, error) {
	c := s.Subgroups()
	var rows []ComparisonRow
	for _, method := range s.Methods() {
		if method == AddedMethod {
			continue
		}
		var b comparer
		if method == LineMethod {
			b = comparer{season: s, method: method, crossings: c, lines: t}
			for _, f := range t.Domains {
				b.frames = append(b.frames, t.Counted(f))
			}
			b.countFrames()
		} else {
			b = comparer{season: s, method: method, crossings: c, frames: s.Domains(method, elements)}
			b.countFrames()
		}
		for _, f := range b.families() {
			rows = append(rows, adjusted(f)...)
		}
		rows = append(rows, b.undetermined()...)
		if b.err != nil {
			return nil, b.err
		}
	}
	return rows, nil
}

// comparer makes the rows of one method.
type comparer struct {
	season    *Season
	method    string
	crossings fieldwork.Subgroups
	frames    []fieldwork.Domain
	counts    []fieldwork.Counts
	lines     *transect.Lines // nil for other methods
	err       error           // the first of a ratio along lines
}

func (b *comparer) countFrames() {
	for _, f := range b.frames {
		b.counts = append(b.counts, b.crossings.Count(f))
	}
}

func (b *comparer) families() []family {
	years := fieldwork.YearClasses(b.frames)
	trees := b.trees()
	land, strata := family{}, family{about: "strata"}
	over := b.season.PooledStratum(b.frames)
	land.rows = append(land.rows, b.ratio(over, All, All))
	for _, name := range b.strata() {
		strata.rows = append(strata.rows, b.ratio(name, All, All))
	}
	byYears, byTree, byBoth := family{about: "years since fire"}, family{about: "trees"}, family{about: "trees within years since fire"}
	for _, y := range years {
		byYears.rows = append(byYears.rows, b.ratio(over, y, All))
	}
	for _, t := range trees {
		byTree.rows = append(byTree.rows, b.ratio(over, All, t))
	}
	for _, y := range years {
		for _, t := range trees {
			byBoth.rows = append(byBoth.rows, b.ratio(over, y, t))
		}
	}
	return []family{land, strata, byYears, byTree, byBoth}
}

// trees lists those that were recorded with any find.
func (b *comparer) trees() []string {
	var trees []string
	for _, c := range b.crossings.List {
		if c.Mode == All && c.Taxon == All && c.Tree != All {
			trees = append(trees, c.Tree)
		}
	}
	return trees
}

// strata lists those of the survey, in their order, searched or not.
func (b *comparer) strata() []string {
	names := make([]string, len(b.season.Strata))
	for i, s := range b.season.Strata {
		names[i] = s.Name
	}
	return names
}

// members returns the frames of a stratum, or of all, in a class of years.
func (b *comparer) members(stratum, years string) []int {
	var members []int
	for i, f := range b.frames {
		if f.Years == years && (fieldwork.OverStrata(stratum) || b.season.Strata[f.Stratum].Name == stratum) {
			members = append(members, i)
		}
	}
	return members
}

// parts returns the counts of two crossings on the same units, by stratum.
func (b *comparer) parts(members []int, first, base fieldwork.Subgroup) []compare.Part {
	at, over := slices.Index(b.crossings.List, first), slices.Index(b.crossings.List, base)
	parts := make([]compare.Part, len(members))
	for j, i := range members {
		f := b.frames[i]
		parts[j] = compare.Part{
			Stratum: b.season.CollapsedWith(f), LandHa: b.season.Strata[f.Stratum].AreaHa, AreaHa: f.AreaHa, Cluster: f.Clusters,
			A: fieldwork.Dense(make([]float64, len(f.Units)), b.counts[i][at]),
			B: fieldwork.Dense(make([]float64, len(f.Units)), b.counts[i][over]),
		}
	}
	return parts
}

func (b *comparer) ratio(stratum, years, tree string) ComparisonRow {
	row := ComparisonRow{Comparison: HostToSapro, Method: b.method, Stratum: stratum, Years: years, Tree: tree}
	members := b.members(stratum, years)
	if len(members) == 0 {
		return b.without(row, stratum)
	}
	host, sapro := fieldwork.Subgroup{Mode: survey.HostAssociated, Tree: tree, Taxon: All}, fieldwork.Subgroup{Mode: survey.Saprotrophic, Tree: tree, Taxon: All}
	parts := b.parts(members, host, sapro)
	r := compare.Ratio(parts, b.season.Settings.Confidence)
	if b.lines != nil {
		var err error
		r, err = b.lines.Ratio(r, fieldwork.Pick(b.frames, members), b.crossings, host, sapro)
		b.err = cmp.Or(b.err, err)
	}
	var doubts []stats.Warning
	row.Tested, doubts = b.tested(parts, r.P)
	r.Warnings = stats.AppendNewCodes(slices.Clip(r.Warnings), doubts...)
	return b.filled(row, members, parts, r.Estimate)
}

// tested asks the signs of sites whether there is a difference. They cannot
// tell where the two kinds are not seen alike, and counts have another ratio
// than densities.
func (b *comparer) tested(parts []compare.Part, wald float64) (result.Tested, []stats.Warning) {
	if b.lines != nil && b.lines.Depends() {
		return result.ByWald(wald), nil
	}
	s := b.season.Settings
	r := compare.Signs(parts, permute.Options{Seed: s.Seed, Replicates: s.Compare.Replicates})
	return result.BySigns(r.P, r.SE, wald, r.Exact, result.AllSigns, result.DrawnSigns), r.Warnings
}

// undetermined gives the share of the finds that the crew could not call: what
// the ratio leaves out.
func (b *comparer) undetermined() []ComparisonRow {
	var rows []ComparisonRow
	share := func(stratum, years string) {
		row := ComparisonRow{Comparison: UndeterminedShare, Method: b.method, Stratum: stratum, Years: years, Tree: All}
		members := b.members(stratum, years)
		if len(members) == 0 {
			rows = append(rows, b.without(row, stratum))
			return
		}
		parts := b.parts(members, fieldwork.Subgroup{Mode: survey.Undetermined, Tree: All, Taxon: All}, fieldwork.AllFinds)
		rows = append(rows, b.filled(row, members, parts, b.shareOf(parts)))
	}
	over := b.season.PooledStratum(b.frames)
	share(over, All)
	for _, name := range b.strata() {
		share(name, All)
	}
	for _, y := range fieldwork.YearClasses(b.frames) {
		share(over, y)
	}
	return rows
}

func (b *comparer) shareOf(parts []compare.Part) stats.Estimate {
	e := compare.Share(parts, b.season.Settings.Confidence)
	if b.lines != nil {
		e.Warnings = append(slices.Clip(e.Warnings), b.lines.SeenAlike()...)
	}
	return e
}

func (b *comparer) without(row ComparisonRow, stratum string) ComparisonRow {
	reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched in %s", b.method, stratum)}
	return b.filled(row, nil, nil, stats.Missing(b.season.Settings.Confidence, 0, reason))
}

func (b *comparer) filled(row ComparisonRow, members []int, parts []compare.Part, e stats.Estimate) ComparisonRow {
	var first, base float64
	for _, p := range parts {
		first += fieldwork.Sum(p.A)
		base += fieldwork.Sum(p.B)
	}
	row.Units = column.Count(fieldwork.UnitsIn(fieldwork.Pick(b.frames, members)))
	row.FirstFinds, row.BaseFinds = column.Count(int(first)), column.Count(int(base))
	row.Estimate, row.Warnings = figures(e), slices.Clip(e.Warnings)
	if fieldwork.OverStrata(row.Stratum) {
		row.Warnings = append(row.Warnings, b.season.NotReached(b.method, b.frames, row.Years)...)
	}
	return row
}

// adjusted fills in the adjusted p-values of a family by Holm's method.
func adjusted(f family) []ComparisonRow {
	result.Adjust(f.rows, multiple.ByHolm, f.about, func(r *ComparisonRow) (column.Float, *column.Float, *string) {
		return r.P, &r.PAdjusted, &r.Adjustment
	})
	return f.rows
}
