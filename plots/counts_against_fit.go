package plots

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// CountsAgainstFit shows how many units had 0, 1, 2 ... fruit bodies, and how
// many the fitted negative binomial and Poisson distributions expect: a panel
// for each stratum and method.
type CountsAgainstFit struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals of k, e.g. 0.95.
	Confidence float64
	// Panels are drawn row by row.
	Panels []UnitCounts
}

// UnitCounts is the fruit bodies in each unit of a stratum and method.
type UnitCounts struct {
	Stratum, Method string
	// Counts is the number of fruit bodies in each unit.
	Counts []int
	// NegativeBinomial and Poisson are the numbers of units expected to have
	// 0, 1, 2 ... fruit bodies, up to the highest of Counts or to where the list
	// was broken off. Empty where there is no fit; one that does not reach the
	// panel's last bar is not drawn.
	NegativeBinomial, Poisson []float64
	// K is the clumping parameter of the negative binomial, KLower and KUpper
	// its limits. NaN or +Inf where there is none.
	K, KLower, KUpper float64
	// VarianceToMean is the variance of the counts over their mean; NaN where
	// there is none.
	VarianceToMean float64
}

// countsPanel is a panel ready to be drawn.
type countsPanel struct {
	stratum string
	method  string
	words   []string // under the title
	classes []countClass
	top     float64 // highest number of units
}

// Figure draws the counts. It returns an error where there are none, or a fit
// is not one of so many units.
func (d CountsAgainstFit) Figure() (Figure, error) {
	if len(d.Panels) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(d.Confidence); err != nil {
		return Figure{}, err
	}
	panels := make([]countsPanel, len(d.Panels))
	for i, u := range d.Panels {
		u.Stratum, u.Method = named(u.Stratum), named(u.Method)
		panel, err := u.panel()
		if err != nil {
			return Figure{}, fmt.Errorf("plots: %s, %s: %w", u.Stratum, u.Method, err)
		}
		panels[i] = panel
	}
	figure, err := newFigure(Figure{Name: d.Name, Title: d.Title, Caption: d.caption(), Alt: d.alt()},
		"counts-against-fit", "Fruit bodies per unit against fitted distributions")
	if err != nil {
		return Figure{}, err
	}
	return layoutCounts(figure, panels), nil
}

func (u UnitCounts) panel() (countsPanel, error) {
	if len(u.Counts) == 0 {
		return countsPanel{}, ErrEmpty
	}
	for _, n := range u.Counts {
		if n < 0 {
			return countsPanel{}, fmt.Errorf("count %d is negative", n)
		}
	}
	classes, err := countClasses(u.Counts, u.NegativeBinomial, u.Poisson)
	if err != nil {
		return countsPanel{}, err
	}
	panel := countsPanel{stratum: u.Stratum, method: u.Method, words: u.words(), classes: classes}
	for _, c := range classes {
		panel.top = max(panel.top, float64(c.observed))
		for _, expected := range []float64{c.negBin, c.poisson} {
			if !math.IsNaN(expected) {
				panel.top = max(panel.top, expected)
			}
		}
	}
	return panel, nil
}

// words are the statistics written in the panel.
func (u UnitCounts) words() []string {
	first := "n = " + count(len(u.Counts))
	if !math.IsNaN(u.VarianceToMean) {
		first += ", variance/mean = " + number(u.VarianceToMean)
	}
	return []string{first, u.kWords()}
}

// kWords writes k with its limits, or why there is none.
func (u UnitCounts) kWords() string {
	k := extent{u.K, u.KLower, u.KUpper}
	limits := k.limits()
	switch {
	case slices.Max(u.Counts) == 0:
		return "no finds, so no k"
	case math.IsInf(k.value, 1) && limits == "":
		return "k has no bound: not clumped"
	case math.IsInf(k.value, 1), math.IsNaN(k.value) && limits != "":
		return "k " + limits
	case math.IsNaN(k.value):
		return "k cannot be estimated"
	case limits == "":
		return "k = " + number(k.value) + " (no interval)"
	}
	return "k = " + number(k.value) + " (" + limits + ")"
}

func (d CountsAgainstFit) caption() string {
	return fmt.Sprintf("Bars are units by the number of fruit bodies in them, marks what the fitted distributions expect. "+
		"k is the clumping parameter of the negative binomial with its %s interval: the smaller, the more clumped.", percent(d.Confidence))
}

func (d CountsAgainstFit) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Units by the number of fruit bodies in them against fitted negative binomial and Poisson distributions; intervals of k are at %s.", percent(d.Confidence))
	for _, u := range d.Panels {
		fmt.Fprintf(&b, " %s.", u.sentence())
	}
	return b.String()
}

// sentence says a panel in words.
func (u UnitCounts) sentence() string {
	zeros, highest, total := 0, 0, 0
	for _, n := range u.Counts {
		if n == 0 {
			zeros++
		}
		highest, total = max(highest, n), total+n
	}
	s := fmt.Sprintf("%s, %s: %s, %s; %s without any", named(u.Stratum), named(u.Method),
		plural(len(u.Counts), "unit"), plural(total, "find"), plural(zeros, "unit"))
	if len(u.NegativeBinomial) > 0 {
		s += fmt.Sprintf(" (negative binomial expects %s", number(u.NegativeBinomial[0]))
		if len(u.Poisson) > 0 {
			s += fmt.Sprintf(", Poisson %s", number(u.Poisson[0]))
		}
		s += ")"
	}
	s += fmt.Sprintf(", at most %s in one; ", count(highest))
	if !math.IsNaN(u.VarianceToMean) {
		s += "variance-to-mean ratio " + number(u.VarianceToMean) + ", "
	}
	return s + u.kWords()
}
