package plots

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

// TestRefuses gives each figure what cannot be drawn.
func TestRefuses(t *testing.T) {
	inf := math.Inf(1)
	strata := func(e Estimate) func() (Figure, error) {
		return DensityByStratum{Unit: perHectare, Confidence: 0.95, Strata: []StratumDensity{{"Ridge", "plot", e}}}.Figure
	}
	tree := func(rows ...ModeTreeDensity) func() (Figure, error) {
		return DensityByModeAndTree{Unit: perHectare, Confidence: 0.95, Rows: rows}.Figure
	}
	ratio := func(r Ratio) func() (Figure, error) {
		return RatioByTree{Confidence: 0.95, Trees: []Ratio{r}}.Figure
	}
	shares := func(change func(*ObserversPart)) func() (Figure, error) {
		part := observersSample.Parts[0]
		part.Observers = slices.Clone(part.Observers)
		change(&part)
		return ObserversShares{Confidence: 0.95, Parts: []ObserversPart{part}}.Figure
	}
	birch := ModeTreeDensity{"1", "paper birch", "undetermined", est(1, nan, nan, 3, 1)}
	bad := birch
	bad.Units = -3
	named := strataSample
	named.Name = "../escape"
	methods := strataSample
	methods.Land = nil
	for _, m := range []string{"a", "b", "c", "d", "e"} {
		methods.Land = append(methods.Land, StratumDensity{"All", m, est(1, nan, nan, 3, 1)})
	}

	for _, c := range []struct {
		name   string
		figure func() (Figure, error)
		want   string
	}{
		{"infinite density", strata(est(inf, nan, nan, 1, 1)), "Ridge, plot: density +Inf"},
		{"negative density", strata(est(-1, nan, nan, 1, 1)), "value -1 is negative"},
		{"infinite limit", strata(est(1, 0, inf, 1, 1)), "infinite"},
		{"limit infinite the wrong way", strata(est(1, inf, nan, 1, 1)), "wrong way"},
		{"crossed limits", strata(est(2, 3, 1, 1, 1)), "lower limit 3 is above upper limit 1"},
		{"huge density", strata(est(1e15, nan, nan, 1, 1)), "out of all reason"},
		{"negative finds", strata(est(1, nan, nan, 1, -1)), "negative"},
		{"bad name", named.Figure, `"../escape" is no name`},
		{"too many methods", methods.Figure, `no mark left for "e"`},
		{"no level", DensityByStratum{Strata: strataSample.Strata}.Figure, "confidence 0"},
		{"twice", tree(birch, birch), "1 year since fire, paper birch, undetermined: given twice"},
		{"bad row", tree(bad), "paper birch, undetermined: -3 units"},
		{"negative ratio", ratio(Ratio{Label: "fir", Value: -1, Lower: nan, Upper: nan}), "ratio of fir"},
		{"negative units", ratio(Ratio{Label: "fir", Value: 1, Lower: nan, Upper: nan, Units: -1}), "ratio of fir: -1 units"},
		{"a share over 1", shares(func(p *ObserversPart) { p.Observers[0].Share = 1.2 }), "share of Ada"},
		{"crossed shares", shares(func(p *ObserversPart) { p.Together.Lower = 0.99 }), "share of all"},
		{"fewer than none alone", shares(func(p *ObserversPart) { p.Observers[1].Alone = -1 }), "share of Ben"},
		{"endless unseen", shares(func(p *ObserversPart) { p.Unseen = inf }), "seen by several"},
		{"unseen outside its limits", shares(func(p *ObserversPart) { p.Lower, p.Upper = 3, 2 }), "unseen finds"},
		{"shares of no level", ObserversShares{Parts: observersSample.Parts}.Figure, "confidence 0"},
	} {
		_, err := c.figure()
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "plots: ") {
			t.Errorf("%s: got error %v, want %q of plots", c.name, err, c.want)
		}
	}
}

func TestEmpty(t *testing.T) {
	for name, figure := range map[string]func() (Figure, error){
		"strata": DensityByStratum{Confidence: 0.95}.Figure,
		"trees":  DensityByModeAndTree{Confidence: 0.95}.Figure,
		"ratios": RatioByTree{Confidence: 0.95}.Figure,
		"shares": ObserversShares{Confidence: 0.95}.Figure,
	} {
		if _, err := figure(); !errors.Is(err, ErrEmpty) {
			t.Errorf("%s: got %v, want %v", name, err, ErrEmpty)
		}
	}
}

// TestSentences checks the text alternatives of estimates of every kind.
func TestSentences(t *testing.T) {
	for _, c := range []struct {
		e    Estimate
		want string
	}{
		{est(1240, 610, 2590, 24, 187), "1,240 (95 % interval 610 to 2,590; 24 units, 187 finds)"},
		{est(402, nan, nan, 1, 29), "402 (no interval; 1 unit, 29 finds)"},
		{est(402, 100, nan, 1, 1), "402 (95 % interval ≥ 100; 1 unit, 1 find)"},
		{est(0, 0, 235, 10, 0), "none found, 95 % limit ≤ 235 (10 units, 0 finds)"},
		{est(0, nan, 235, 10, 0), "none found, 95 % limit ≤ 235 (10 units, 0 finds)"},
		{est(0, nan, nan, 1, 0), "0 (no interval; 1 unit, 0 finds)"},
		{est(nan, nan, 50, 4, 0), "no estimate, 95 % limit ≤ 50.0 (4 units, 0 finds)"},
		{est(nan, nan, nan, 0, 0), "no estimate (0 units, 0 finds)"},
		{Estimate{Value: nan, Lower: nan, Upper: nan, Note: "not\nsearched"}, "not searched (0 units, 0 finds)"},
	} {
		if got := c.e.sentence(0.95); got != c.want {
			t.Errorf("%+v: %q, want %q", c.e, got, c.want)
		}
	}
}

// TestRatioWords checks the last column, the note drawn in place of a ratio,
// and the text alternative.
func TestRatioWords(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		r                    Ratio
		cell, note, sentence string
	}{
		{Ratio{"", 2.57, 1.42, 4.71, 42, 155, 61, ""}, "2.57 (1.42 to 4.71)", "", "2.57 (95 % interval 1.42 to 4.71; "},
		{Ratio{"", 1.12, nan, nan, 1, 9, 8, ""}, "1.12", "", "1.12 (no interval; "},
		{Ratio{"", 1.12, 0, inf, 1, 9, 8, ""}, "1.12", "", "1.12 (no interval; "},
		{Ratio{"", 1.12, 0.3, nan, 1, 9, 8, ""}, "1.12 (≥ 0.30)", "", "1.12 (95 % interval ≥ 0.30; "},
		{Ratio{"", 0, 0, 0.71, 31, 0, 12, ""}, "≤ 0.71", "", "95 % interval ≤ 0.71 ("},
		{Ratio{"", nan, nan, 0.71, 31, 0, 12, ""}, "≤ 0.71", "", "95 % interval ≤ 0.71 ("},
		{Ratio{"", inf, 1.9, inf, 18, 9, 0, ""}, "≥ 1.90", "", "95 % interval ≥ 1.90 ("},
		{Ratio{"", nan, 1.9, nan, 18, 9, 0, ""}, "≥ 1.90", "", "95 % interval ≥ 1.90 ("},
		{Ratio{"", 0, nan, nan, 3, 0, 4, ""}, "–", "no host-associated finds", "no host-associated finds ("},
		{Ratio{"", inf, nan, nan, 3, 4, 0, ""}, "–", "no saprotrophic finds", "no saprotrophic finds ("},
		{Ratio{"", nan, nan, nan, 3, 0, 0, ""}, "–", "no finds", "no finds ("},
		{Ratio{"", nan, nan, nan, 3, 2, 2, ""}, "–", "no ratio", "no ratio ("},
		{Ratio{"", nan, nan, nan, 3, 2, 2, "one site"}, "–", "one site", "one site ("},
	} {
		if got := c.r.cell(); got != c.cell {
			t.Errorf("%+v: cell %q, want %q", c.r, got, c.cell)
		}
		if got := c.r.note(); got != c.note {
			t.Errorf("%+v: note %q, want %q", c.r, got, c.note)
		}
		if got := c.r.sentence(0.95); !strings.HasPrefix(got, c.sentence) {
			t.Errorf("%+v: sentence %q, want it to start with %q", c.r, got, c.sentence)
		}
	}
}

func TestOtherTrees(t *testing.T) {
	f, err := manyTrees()
	if err != nil {
		t.Fatal(err)
	}
	// Estimates of year 1 are (37 i + 101 m) mod 290: the three smallest of the
	// trees' highest are those of trees 1, 9 and 14.
	if want := "Other trees not shown: Tree species 1, Tree species 9, Tree species 14."; !strings.HasSuffix(f.Alt, want) {
		t.Errorf("ends %q, want %q", f.Alt[len(f.Alt)-90:], want)
	}
	if svg := string(svgOf(t, sample{"many", manyTrees})); !strings.Contains(svg, "other trees not shown: 3.</text>") {
		t.Error("the figure does not say that trees are left out")
	}
}

// TestLongNames checks that what is cut in the figure is whole in the text.
func TestLongNames(t *testing.T) {
	f, err := hostileStrata()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{endless, unspaced, clean(broken), markup} {
		if !strings.Contains(f.Alt, name) {
			t.Errorf("the text alternative lacks %q", name)
		}
	}
}
