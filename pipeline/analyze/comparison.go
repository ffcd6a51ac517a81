package analyze

import (
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
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
func (s *Season) comparisons(elements []element) []ComparisonRow {
	c := s.crossings()
	var rows []ComparisonRow
	for _, method := range s.methods() {
		if method == LineMethod || method == AddedMethod {
			continue
		}
		b := comparer{season: s, method: method, crossings: c, frames: s.frames(method, elements)}
		b.countFrames()
		for _, f := range b.families() {
			rows = append(rows, adjusted(f)...)
		}
		rows = append(rows, b.undetermined()...)
	}
	return rows
}

// comparer makes the rows of one method.
type comparer struct {
	season    *Season
	method    string
	crossings crossings
	frames    []frame
	counts    []sparse
}

func (b *comparer) countFrames() {
	for _, f := range b.frames {
		b.counts = append(b.counts, b.crossings.count(f))
	}
}

func (b *comparer) families() []family {
	years := yearClasses(b.frames)
	trees := b.trees()
	land, strata := family{}, family{about: "strata"}
	land.rows = append(land.rows, b.ratio(All, All, All))
	for _, name := range b.strata() {
		strata.rows = append(strata.rows, b.ratio(name, All, All))
	}
	byYears, byTree, byBoth := family{about: "years since fire"}, family{about: "trees"}, family{about: "trees within years since fire"}
	for _, y := range years {
		byYears.rows = append(byYears.rows, b.ratio(All, y, All))
	}
	for _, t := range trees {
		byTree.rows = append(byTree.rows, b.ratio(All, All, t))
	}
	for _, y := range years {
		for _, t := range trees {
			byBoth.rows = append(byBoth.rows, b.ratio(All, y, t))
		}
	}
	return []family{land, strata, byYears, byTree, byBoth}
}

// trees lists those that were recorded with any find.
func (b *comparer) trees() []string {
	var trees []string
	for _, c := range b.crossings.list {
		if c.mode == All && c.taxon == All && c.tree != All {
			trees = append(trees, c.tree)
		}
	}
	return trees
}

// strata lists those of the survey, in their order, searched or not.
func (b *comparer) strata() []string {
	names := make([]string, len(b.season.strata))
	for i, s := range b.season.strata {
		names[i] = s.name
	}
	return names
}

// members returns the frames of a stratum, or of all, in a class of years.
func (b *comparer) members(stratum, years string) []int {
	var members []int
	for i, f := range b.frames {
		if f.years == years && (stratum == All || b.season.strata[f.stratum].name == stratum) {
			members = append(members, i)
		}
	}
	return members
}

// parts returns the counts of two crossings on the same units, by stratum.
func (b *comparer) parts(members []int, first, base crossing) []compare.Part {
	at, over := slices.Index(b.crossings.list, first), slices.Index(b.crossings.list, base)
	parts := make([]compare.Part, len(members))
	for j, i := range members {
		f := b.frames[i]
		parts[j] = compare.Part{
			LandHa: b.season.strata[f.stratum].landHa, AreaHa: f.areaHa, Cluster: f.clusters,
			A: dense(make([]float64, len(f.elements)), b.counts[i][at]),
			B: dense(make([]float64, len(f.elements)), b.counts[i][over]),
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
	parts := b.parts(members, crossing{survey.HostAssociated, tree, All}, crossing{survey.Saprotrophic, tree, All})
	r := compare.Ratio(parts, b.season.settings.Confidence)
	row.P = column.Finite(r.P)
	return b.filled(row, members, parts, r.Estimate)
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
		parts := b.parts(members, crossing{survey.Undetermined, All, All}, pooled)
		rows = append(rows, b.filled(row, members, parts, compare.Share(parts, b.season.settings.Confidence)))
	}
	share(All, All)
	for _, name := range b.strata() {
		share(name, All)
	}
	for _, y := range yearClasses(b.frames) {
		share(All, y)
	}
	return rows
}

func (b *comparer) without(row ComparisonRow, stratum string) ComparisonRow {
	reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched in %s", b.method, stratum)}
	return b.filled(row, nil, nil, stats.Missing(b.season.settings.Confidence, 0, reason))
}

func (b *comparer) filled(row ComparisonRow, members []int, parts []compare.Part, e stats.Estimate) ComparisonRow {
	var first, base float64
	for _, p := range parts {
		first += total(p.A)
		base += total(p.B)
	}
	row.Units = column.Count(sumFrames(b.frames, members).units)
	row.FirstFinds, row.BaseFinds = column.Count(int(first)), column.Count(int(base))
	row.Estimate, row.Warnings = figures(e), slices.Clip(e.Warnings)
	if row.Stratum == All {
		row.Warnings = append(row.Warnings, b.season.missedWarning(b.method, b.frames, row.Years)...)
	}
	return row
}

// adjusted fills in the adjusted p-values of a family by Holm's method. A
// comparison without a p-value is not one of the family.
func adjusted(f family) []ComparisonRow {
	var at []int
	var p []float64
	for i, row := range f.rows {
		if row.P.Known {
			at, p = append(at, i), append(p, row.P.Value)
		}
	}
	about := fmt.Sprintf("holm over %d %s", len(p), f.about)
	if len(p) == 1 {
		about = "none, a single comparison"
	}
	for j, value := range compare.Holm(p) {
		row := &f.rows[at[j]]
		row.PAdjusted, row.Adjustment = column.Finite(value), about
	}
	return f.rows
}
