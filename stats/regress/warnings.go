package regress

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
)

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	AliasedTerm          = Warnings.New("aliased-term", stats.Note, "A term that cannot be told from others")
	EmptyCell            = Warnings.New("no-finds-in-cell", stats.Coverage, "Levels without finds")
	NotEstimable         = Warnings.New("not-estimable", stats.Unavailable, "Levels that do not occur together")
	FewDF                = Warnings.New("few-df", stats.Coverage, "Few units or sites behind an effect")
	NoJointTest          = Warnings.New("no-joint-test", stats.Unavailable, "A term without Wald’s test")
	NoScoreTest          = Warnings.New("no-score-test", stats.Unavailable, "A difference that cannot be tested")
	FewEffectiveClusters = Warnings.New("few-bear-on-test", stats.Coverage, "A comparison that rests on few units or sites")
	NothingAtPlace       = Warnings.New("no-finds-at-all", stats.Coverage, "A density without finds")
	NoDecline            = Warnings.New("no-decline", stats.Unavailable, "A density that does not fall")
	DeclineOpen          = Warnings.New("decline-open", stats.Coverage, "A time to a tenth without an upper limit")
)

var (
	nothingFound = stats.NoFinds.With("nothing was found in any row, so that every density is 0 and nothing can be compared")
	noClumping   = stats.NoClumping.With("the counts are no more clumped than chance has it, so that k has no bound above and the model is the Poisson one")
	notEstimable = NotEstimable.With("no unit was searched that could tell: the levels asked for do not occur together")
	leftOut      = AliasedTerm.With("the units do not tell this from other terms, so that it is left out")
	notTold      = NotEstimable.With("the model does not tell these two apart, so there is no ratio")
	oneCluster   = stats.OneCluster.With("one unit or site carries the effect: it is fitted by that place alone, nothing is known of how " +
		"far another would differ, and there are no limits")
	zeroVariance = stats.NoVariance.With("the units or sites agree exactly, so that their spread is not believed, and there are no limits")
	tooWide      = stats.TooWide.With("the limits lie more than a factor of %d from the figure: so few units or sites say nothing of it, "+
		"and no limits are given", widest)
	nothingAbove = stats.NoFirstFinds.With("nothing was found of the first: the ratio is 0, and its upper limit sets the most that the " +
		"first may be against the least of the second")
	nothingBelow = stats.NoSecondFinds.With("nothing was found of the second: the ratio has no value, and its lower limit sets the least of " +
		"the first against the most that the second may be")
	nothingToTest   = AliasedTerm.With("the units do not tell this term from the others, so there is nothing to test")
	independentRows = NoScoreTest.With("counts are assumed to be independent, so that there are no clusters for a sign-flip test")
	noInformation   = NoScoreTest.With("nothing was found where this could be told from no difference, so there is no p-value")
	noNullFit       = NoScoreTest.With("the model could not be fitted as if there were no difference, so there is no p-value")
	nothingBoth     = stats.NoFinds.With("nothing was found of either, so there is no ratio")
	nothingHere     = NothingAtPlace.With("nothing was found here: the density is 0, and its upper limit is that of a count of 0 with the " +
		"fitted clumping, too low where sites differ")
)

const (
	// widest is the farthest that a limit may lie from its figure, as a factor;
	// farther limits say only that nothing is known. The same as in compare.
	widest = 1000
	// fewDF follows Pustejovsky & Tipton (2018), who find tests of less than
	// four or five degrees of freedom not to be trusted.
	fewDF = 4
	// fewClusters: at 12, Wald's tests in ERRORS.md, which the limits agree with,
	// reject up to 9 % of what is true at 5 %; the same bound as in compare.
	fewClusters = 15
	// fewEffectiveClusters: see Score.
	fewEffectiveClusters = 10
)

func smallDF(df float64) stats.Warning {
	return FewDF.With("few units or sites contribute to this: it has %.1f degrees of freedom, and under %d the limits and Wald's test may not "+
		"have their nominal level", df, fewDF)
}

func smallClusters(n int) stats.Warning {
	return stats.FewClusters.With("%d independent units or sites are few; under %d limits, and Wald's test, may miss more often than they say", n, fewClusters)
}

func fewEffective(effective float64, clusters int) stats.Warning {
	return FewEffectiveClusters.With("the comparison depends on few of the %d units or sites, as if on %.1f of equal weight: under %d a "+
		"sign-flip test has little power, and a large p is no evidence of equality", clusters, effective, fewEffectiveClusters)
}

// aliasWarnings name the aliased terms, and the terms they are aliased with.
func (f *Fit) aliasWarnings() []stats.Warning {
	out := map[int][]int{} // term to its columns that were left out
	var order []int
	for _, j := range f.all.aliasedColumns() {
		t := f.design.Of[j].Term
		if out[t] == nil {
			order = append(order, t)
		}
		out[t] = append(out[t], j)
	}
	var list []stats.Warning
	for _, t := range order {
		list = append(list, f.aliasWarning(t, out[t]))
	}
	return list
}

func (f *Fit) aliasWarning(term int, columns []int) stats.Warning {
	name := f.design.Term(term).String()
	told := f.aliasedWith(columns)
	if len(columns) == f.columnsOf(term) {
		return AliasedTerm.With("%s cannot be told from %s in these units and is left out", name, told)
	}
	var levels []string
	for _, j := range columns {
		levels = append(levels, f.design.Of[j].String())
	}
	return AliasedTerm.With("of %s, %s cannot be told from %s in these units: no unit was searched that could, and what stands for it is left out",
		name, shortList(levels), told)
}

// aliasedWith names the terms of whose columns some columns are linear combinations.
func (f *Fit) aliasedWith(columns []int) string {
	named := map[int]bool{}
	for _, j := range columns {
		for k, c := range f.all.combination(j) {
			if t := f.design.Of[f.all.kept[k]].Term; t >= 0 && (c > tolerance || c < -tolerance) {
				named[t] = true
			}
		}
	}
	var names []string
	for t := range f.design.Model() {
		if named[t] {
			names = append(names, f.design.Term(t).String())
		}
	}
	if len(names) == 0 {
		return "the mean of all"
	}
	return strings.Join(names, " and ")
}

func (f *Fit) columnsOf(term int) int {
	n := 0
	for _, c := range f.design.Of {
		if c.Term == term {
			n++
		}
	}
	return n
}

// emptyWarnings name the cells of density 0, each by the fewest levels that determine
// it.
func (f *Fit) emptyWarnings() []stats.Warning {
	if len(f.kept) == f.Rows {
		return nil
	}
	var found []cell
	for _, t := range f.design.Model() {
		for _, c := range f.cells(t) {
			if !slices.ContainsFunc(found, c.includes) {
				found = append(found, c)
			}
		}
	}
	var list []stats.Warning
	for _, c := range found {
		list = append(list, EmptyCell.With("nothing was found at %s, so that its density is 0 with an upper limit only, and a ratio to it has a "+
			"limit on one side only", c))
	}
	if len(list) == 0 {
		list = append(list, EmptyCell.With("%d of %d rows are without finds in such a way that the model sends their density to 0", f.Rows-len(f.kept), f.Rows))
	}
	return list
}

// cell is a combination of levels.
type cell []terms.Part

func (c cell) String() string { return terms.Column{Parts: c}.String() }

// includes reports whether c has all levels of other.
func (c cell) includes(other cell) bool {
	for _, p := range other {
		if !slices.Contains(c, p) {
			return false
		}
	}
	return true
}

// cells are the combinations of levels of a term whose rows are all at 0.
func (f *Fit) cells(t terms.Term) []cell {
	var of []terms.Factor
	for _, v := range f.sample.Frame.Factors {
		if t.Has(v.Name) {
			of = append(of, v)
		}
	}
	if len(of) < len(t) {
		return nil // a number has no cells
	}
	var list []cell
	var finite []bool // whether any row of the cell has a density
	at := map[int]int{}
	for i := range f.Rows {
		code := 0
		for _, v := range of {
			code = code*len(v.Levels) + v.Of[i]
		}
		k, ok := at[code]
		if !ok {
			k = len(list)
			at[code] = k
			var c cell
			for _, v := range of {
				c = append(c, terms.Part{Variable: v.Name, Level: v.Levels[v.Of[i]]})
			}
			list, finite = append(list, c), append(finite, false)
		}
		finite[k] = finite[k] || !f.recession.zero[i]
	}
	var empty []cell
	for k, c := range list {
		if !finite[k] {
			empty = append(empty, c)
		}
	}
	return empty
}

// shortList writes a few names of many.
func shortList(names []string) string {
	const shown = 4
	if len(names) <= shown {
		return strings.Join(names, "; ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], "; "), len(names)-shown)
}

func noJoint(clusters, coefficients int) stats.Warning {
	return NoJointTest.With("%d independent units or sites are too few for Wald's test of %d coefficients at once; the likelihood ratio takes "+
		"rows for independent", clusters, coefficients)
}

func emptyCoefficients(gone, all int) stats.Warning {
	return EmptyCell.With("%d of the %d coefficients stand for levels without finds; Wald's test is of the others, the test by signs and the "+
		"likelihood ratio are of all", gone, all)
}
