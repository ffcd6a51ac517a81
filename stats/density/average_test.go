package density

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

var averaged = Options{Interval: ModelAveraged}

// TestAgainstR compares the limits with those of another way to the same
// definition, in R: likelihoods by dnbinom and integrate, maxima by optimize,
// limits by uniroot. The script is testdata/reference/density_average.R.
func TestAgainstR(t *testing.T) {
	for _, row := range statstest.Table(t, reference+"density_average.csv") {
		t.Run(row["counts"], func(t *testing.T) {
			counts, areas, weights := numbers(t, row["counts"]), numbers(t, row["areas"]), numbers(t, row["weights"])
			var samples []NamedSample
			for h := range counts {
				// A thousand hectares, so that no finite population factor comes in.
				samples = append(samples, NamedSample{Sample: Sample{Count: counts[h], AreaHa: areas[h], LandHa: 1000 * weights[h][0]}})
			}
			e := Area(samples, averaged).Area
			statstest.Relative(t, "lower", e.Lower, row.Number(t, "lower"), 2e-4)
			statstest.Relative(t, "upper", e.Upper, row.Number(t, "upper"), 2e-4)
			if len(samples) == 1 {
				alone := Stratum(samples[0].Sample, averaged)
				statstest.Near(t, "lower alone", alone.Lower, e.Lower, 0)
				statstest.Near(t, "upper alone", alone.Upper, e.Upper, 0)
			}
		})
	}
}

// numbers reads lists divided by bars.
func numbers(t *testing.T, text string) [][]float64 {
	t.Helper()
	var all [][]float64
	for part := range strings.SplitSeq(text, "|") {
		var list []float64
		for _, field := range strings.Fields(part) {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, v)
		}
		all = append(all, list)
	}
	return all
}

// TestKatzTailWithoutFinds: P(0) by gonum's distributions, and by the closed form
// (1 - M/n)^n of the binomial.
func TestKatzTailWithoutFinds(t *testing.T) {
	k := katzTotal{estimate: 0, scale: 0.5, size: math.Inf(1), inflation: 1}
	statstest.Near(t, "Poisson", k.tail(2, true), distuv.Poisson{Lambda: 4}.Prob(0), 1e-15)
	k.size = 1.5
	statstest.Near(t, "negative binomial", k.tail(2, true), math.Pow(1.5/5.5, 1.5), 1e-15)
	k.size = -6
	statstest.Near(t, "binomial", k.tail(2, true), math.Pow(1-4./6, 6), 1e-15)
	statstest.Near(t, "binomial, mean over the trials", k.tail(4, true), 0, 0)
	statstest.Near(t, "lower", k.tail(2, false), 1, 0)
}

// TestKatzTailIsOneFamily: as the size grows from either side the tail becomes the
// Poisson one, and it falls away from the estimate.
func TestKatzTailIsOneFamily(t *testing.T) {
	for _, upper := range []bool{true, false} {
		at := func(size, d float64) float64 { return (&katzTotal{10, 0.5, size, 1}).tail(d, upper) }
		for _, d := range []float64{4, 9, 10, 12, 20} {
			statstest.Near(t, "large size", at(1e9, d), at(math.Inf(1), d), 1e-6)
			statstest.Near(t, "large trials", at(-1e9, d), at(math.Inf(1), d), 1e-6)
		}
		for _, size := range []float64{0.5, 8, math.Inf(1), -100} {
			statstest.Near(t, "half at the estimate", at(size, 10), 0.5, 1e-7)
			far, near := 15.0, 12.0
			if !upper {
				far, near = 6, 9
			}
			if !(at(size, far) < at(size, near) && at(size, near) < 0.5) {
				t.Errorf("size %g: tail %g at %g, %g at %g", size, at(size, far), far, at(size, near), near)
			}
		}
	}
}

// areaOf makes up strata with counts that rapid shrinks.
func areaOf(t *rapid.T) []NamedSample {
	var samples []NamedSample
	for h := range rapid.IntRange(1, 4).Draw(t, "strata") {
		u := statstest.DrawUnits(t)
		samples = append(samples, NamedSample{Name: strconv.Itoa(h), Sample: Sample{
			AreaHa: u.AreaHa, Count: u.Count, Cluster: u.Cluster, Order: u.Order, LandHa: rapid.Float64Range(1, 500).Draw(t, "area"),
		}})
	}
	return samples
}

// TestAreaProperties: estimates are well formed, strata may come in any order,
// areas in any unit, and one without area changes nothing.
func TestAreaProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		samples := areaOf(t)
		joint := Area(samples, averaged)
		strata, area := joint.Strata, joint.Area
		statstest.WellFormed(t, area)
		for _, e := range strata {
			statstest.WellFormed(t, e)
		}
		turned := slices.Clone(samples)
		slices.Reverse(turned)
		e := Area(turned, averaged).Area
		statstest.Scaled(t, "strata in another order", e, area, 1, 1e-8)

		wide := slices.Clone(samples)
		for i := range wide {
			wide[i].AreaHa, wide[i].LandHa = slices.Clone(wide[i].AreaHa), 4*wide[i].LandHa
			for k := range wide[i].AreaHa {
				wide[i].AreaHa[k] *= 4
			}
		}
		e = Area(wide, averaged).Area
		statstest.Scaled(t, "areas in another unit", e, area, 0.25, 1e-6)

		e = Area(append(slices.Clone(samples), NamedSample{Sample: Sample{AreaHa: tenths(3), Count: []float64{0, 9, 1}}}), averaged).Area
		statstest.Scaled(t, "a stratum without area", e, area, 1, 0)
	})
}

// TestLimitsAreMonotoneAndFinite: from five units in each stratum and ten finds on,
// every limit is there, and a higher confidence has wider limits.
func TestLimitsAreMonotoneAndFinite(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for trial := range 150 {
		samples, finds := []NamedSample{}, 0.0
		k := []float64{0.1, 0.35, 2}[trial%3]
		for range 1 + trial%5 {
			s := Sample{LandHa: 1 + 9*r.Float64()}
			for range 5 + r.IntN(4) {
				s.AreaHa = append(s.AreaHa, 0.001)
				s.Count = append(s.Count, distuv.Poisson{Lambda: 6 * distuv.Gamma{Alpha: k, Beta: k, Src: r}.Rand(), Src: r}.Rand())
				finds += s.Count[len(s.Count)-1]
			}
			samples = append(samples, NamedSample{Sample: s})
		}
		if finds < 10 {
			continue
		}
		var last []stats.Estimate
		for _, confidence := range []float64{0.5, 0.9, 0.95, 0.99} {
			joint := Area(samples, Options{Interval: ModelAveraged, Confidence: confidence})
			all := append(joint.Strata, joint.Area)
			for i, e := range all {
				if !(e.Lower <= e.Value && e.Value <= e.Upper) || math.IsInf(e.Upper, 0) {
					t.Errorf("trial %d at %g: %+v", trial, confidence, e)
				}
				if last != nil && (e.Lower > last[i].Lower || e.Upper < last[i].Upper) {
					t.Errorf("trial %d at %g: %g to %g within %g to %g", trial, confidence, e.Lower, e.Upper, last[i].Lower, last[i].Upper)
				}
			}
			last = all
		}
	}
}

// TestNormalCountsHaveStudentsT: with large counts that spread as a normal does, a
// stratum's interval is near Student's t about a log mean. The weights are those of a
// likelihood, not of the sample variance, and heavier tails are given a chance, so that it is
// wider; at thirty units by under a fifth, most of it above, where an even sample may have missed
// rich patches.
func TestNormalCountsHaveStudentsT(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	s := Sample{AreaHa: tenths(30)}
	for range 30 {
		s.Count = append(s.Count, math.Round(1000*math.Exp(0.2*r.NormFloat64())))
	}
	a, b := Stratum(s, averaged), Stratum(s, Options{Interval: "log-t"})
	ratio := (a.Upper - a.Lower) / (b.Upper - b.Lower)
	if ratio < 0.95 || ratio > 1.2 {
		t.Errorf("%g to %g, log-t %g to %g: %.2f as wide", a.Lower, a.Upper, b.Lower, b.Upper, ratio)
	}
}

// TestAreaSpecialCases has a row for each in the comment of Area.
func TestAreaSpecialCases(t *testing.T) {
	some := NamedSample{Name: "some", Sample: Sample{AreaHa: tenths(6), Count: []float64{0, 3, 0, 1, 7, 2}, LandHa: 60}}
	none := NamedSample{Name: "none", Sample: Sample{AreaHa: tenths(6), Count: times(6, 0), LandHa: 40}}
	lone := NamedSample{Name: "lone", Sample: Sample{AreaHa: tenths(1), Count: []float64{2}, LandHa: 20}}
	whole := NamedSample{Name: "whole", Sample: Sample{AreaHa: tenths(6), Count: []float64{0, 3, 0, 1, 7, 2}, LandHa: 0.6}}

	of := func(o Options, samples ...NamedSample) ([]stats.Estimate, stats.Estimate) {
		j := Area(samples, o)
		return j.Strata, j.Area
	}
	strata, area := of(averaged, some, none)
	garwood, alone := Stratum(none.Sample, Options{Interval: "log-t"}), Stratum(none.Sample, averaged)
	if strata[1].Lower != 0 || !(strata[1].Upper > garwood.Upper && strata[1].Upper < alone.Upper) {
		t.Errorf("a stratum without finds: %+v, by itself %+v, Poisson %+v", strata[1], alone, garwood)
	}
	statstest.Near(t, "value", area.Value, 0.6*13/0.6, 1e-12)
	if !(area.Upper > 0.6*strata[0].Value+0.2*garwood.Upper) {
		t.Errorf("the area ends at %g, as if the stratum without finds had none", area.Upper)
	}

	_, area = of(averaged, none, none)
	if area.Lower != 0 || area.Method != ModelAveraged || !(area.Upper > 0 && area.Upper < alone.Upper) {
		t.Errorf("no finds anywhere: %+v", area)
	}
	few := NamedSample{Sample: Sample{AreaHa: tenths(4), Count: times(4, 0), LandHa: 10}}
	_, area = of(averaged, few, few)
	if area.Lower != 0 || area.Method != "mover" || !(area.Upper > 0) {
		t.Errorf("no finds in few units: %+v", area)
	}
	strata, area = of(averaged, some, lone)
	if !math.IsNaN(strata[1].Lower) || !(area.Lower > 0 && area.Upper > area.Value) || math.IsNaN(strata[0].Upper) {
		t.Errorf("a stratum of one unit: %+v, %+v", strata, area)
	}
	strata, area = of(averaged, whole, none, some)
	if strata[0].Lower != strata[0].Value || strata[0].Method != "count" || math.IsNaN(area.Upper) {
		t.Errorf("a stratum searched whole: %+v, %+v", strata, area)
	}
	strata, area = of(Options{Interval: "log-t"}, some, none)
	want := Land([]Part{{Name: "some", AreaHa: 60, Estimate: Stratum(some.Sample, Options{Interval: "log-t"})}, {Name: "none", AreaHa: 40, Estimate: garwoodOf(none)}}, 0.95)
	statstest.Same(t, "another interval", area, want)
	if strata[0].Method != "log-t" {
		t.Errorf("another interval: %+v", strata[0])
	}
}

func garwoodOf(s NamedSample) stats.Estimate { return Stratum(s.Sample, Options{Interval: "log-t"}) }

// TestStrataTellOfClumping: counts of other strata that hardly clump pull the limits
// in, and such as do push them out.
func TestStrataTellOfClumping(t *testing.T) {
	here := NamedSample{Sample: Sample{AreaHa: tenths(6), Count: []float64{1, 4, 2, 0, 6, 3}, LandHa: 10}}
	even := NamedSample{Sample: Sample{AreaHa: tenths(20), Count: append(times(10, 5), times(10, 6)...), LandHa: 10}}
	uneven := NamedSample{Sample: Sample{AreaHa: tenths(20), Count: append(times(17, 0), 12, 1, 90), LandHa: 10}}
	alone := Stratum(here.Sample, averaged)
	beside := func(other NamedSample) stats.Estimate {
		return Area([]NamedSample{here, other}, averaged).Strata[0]
	}
	if e := beside(even); !(e.Upper < alone.Upper) {
		t.Errorf("beside even counts the upper limit is %g, alone %g", e.Upper, alone.Upper)
	}
	if e := beside(uneven); !(e.Upper > alone.Upper) {
		t.Errorf("beside clumped counts the upper limit is %g, alone %g", e.Upper, alone.Upper)
	}
}

// TestAdjustedProfile: with equal areas the likelihood of k given the total is
// known, for it is that of the counts over that of their negative binomial sum; the
// adjusted profile differs from it by a constant, nearly. Without the adjustment it does not.
func TestAdjustedProfile(t *testing.T) {
	s := Sample{AreaHa: times(5, 1), Count: []float64{0, 9, 2, 4, 1}}
	m := newMember(s.totals(), 1, 0, false, nil)
	given := func(k float64) float64 {
		n, total := 5.0, 16.0
		l := -logNB(total, k*n)
		for _, y := range s.Count {
			l += logNB(y, k)
		}
		return l
	}
	from := 5 // k = 0.22
	for g, k := range kGrid[from : len(kGrid)-1] {
		got, want := m.profile[g+from]-m.profile[from], given(k)-given(kGrid[from])
		if math.Abs(got-want) > 0.1 {
			t.Errorf("k %.2g: adjusted profile %.3f, given the total %.3f", k, got, want)
		}
	}
}

// logNB is the log of the part of a negative binomial probability that holds k
// but no mean.
func logNB(y, k float64) float64 {
	a, _ := math.Lgamma(y + k)
	b, _ := math.Lgamma(k)
	return a - b
}

// TestWithoutFindsByHand: the upper limit of no finds in n equal units solves
// sum_k w_k (1 + M/(n k))^(-n k) = 0.025 over the prior weights of k, M the finds
// expected; 10.89 for 12 and 6.37 for 20 units by bisection in Python 3.11.
func TestWithoutFindsByHand(t *testing.T) {
	for n, want := range map[int]float64{12: 10.89, 20: 6.37} {
		m := newMember(Sample{AreaHa: tenths(n), Count: times(n, 0)}.totals(), 1, 0, false, nil)
		j := newJoint([]*member{m})
		a := j.stratum(0)
		a.counts, a.heavy = nil, nil
		for g, k := range kGrid {
			a.add(math.Exp(logPriorK[g]), katzTotal{scale: 1 / m.searched, size: float64(n) * k, inflation: 1})
		}
		statstest.Near(t, "finds", a.limits(averaged.settled()).upper*m.searched, want, 0.005)
	}
}

// TestAreasShareClumping: a stratum has the same limits in every area, and those of
// an area of a single stratum are its own; strata outside an area tell of clumping.
func TestAreasShareClumping(t *testing.T) {
	samples := []NamedSample{
		{Name: "a", Sample: Sample{AreaHa: tenths(6), Count: []float64{1, 4, 2, 0, 6, 3}, LandHa: 10}},
		{Name: "b", Sample: Sample{AreaHa: tenths(8), Count: []float64{0, 0, 13, 1, 0, 3, 0, 2}, LandHa: 20}},
		{Name: "c", Sample: Sample{AreaHa: tenths(20), Count: append(times(17, 0), 12, 1, 90), LandHa: 30}},
	}
	areas := Areas(samples, [][]int{{0, 1, 2}, {1}, {0, 1}, {}}, averaged)
	all := Area(samples, averaged)
	statstest.Same(t, "all", areas[0].Area, all.Area)
	statstest.Same(t, "of one stratum", areas[1].Area, all.Strata[1])
	statstest.Same(t, "stratum", areas[2].Strata[1], all.Strata[1])
	statstest.Near(t, "value of two", areas[2].Area.Value, (10*all.Strata[0].Value+20*all.Strata[1].Value)/30, 1e-12)
	if apart := Area(samples[:2], averaged).Area; !(areas[2].Area.Upper/areas[2].Area.Lower > apart.Upper/apart.Lower && areas[2].Area.Lower < apart.Lower) {
		t.Errorf("beside clumped counts %g to %g, without %g to %g", areas[2].Area.Lower, areas[2].Area.Upper, apart.Lower, apart.Upper)
	}
	if !math.IsNaN(areas[3].Area.Value) {
		t.Errorf("an area of no stratum: %+v", areas[3].Area)
	}
}

// TestKindsShareAmongThemselves: strata of sites and strata of single units have each a
// clumping of their own, which all strata of the kind share: with five more strata
// of a kind that clump little the limits of one come nearer to each other, whatever
// the strata of the other kind hold.
func TestKindsShareAmongThemselves(t *testing.T) {
	even := NamedSample{Sample: Sample{AreaHa: tenths(6), Count: []float64{3, 5, 2, 4, 6, 3}, LandHa: 10}}
	clumped := NamedSample{Sample: Sample{AreaHa: tenths(12), Count: []float64{0, 0, 41, 9, 0, 0, 0, 3, 0, 0, 0, 0}, Cluster: pairs(12), LandHa: 10}}
	with := func(samples ...NamedSample) Joint { return Area(samples, averaged) }
	ratio := func(e stats.Estimate) float64 { return e.Upper / e.Lower }
	few, many := with(even, clumped, clumped), with(even, even, even, even, even, even, clumped, clumped)
	if !(ratio(many.Strata[0]) < 0.9*ratio(few.Strata[0])) {
		t.Errorf("an even stratum has limits %v with one of its kind and %v with six", few.Strata[0].Interval, many.Strata[0].Interval)
	}
	one := with(clumped, even)
	two := with(clumped, clumped, even)
	if !(ratio(two.Strata[0]) != ratio(one.Strata[0])) {
		t.Error("a second stratum of sites tells nothing of how sites clump")
	}
	for _, j := range []Joint{few, many, one, two} {
		statstest.WellFormed(t, j.Area)
	}
}

// TestWeightsOfKinds: the weights of all models add up to 1 in every stratum.
func TestWeightsOfKinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var members []*member
		for _, s := range areaOf(t) {
			if _, m := s.alone(averaged.settled()); m != nil && m.finds > 0 {
				members = append(members, m)
			}
		}
		if len(members) == 0 {
			return
		}
		j := newJoint(members)
		for h := range members {
			statstest.Near(t, "weights", total(j.weightsK[h])+total(j.inflated)+total(j.lognormal), 1, 1e-4) // negligible ones are left out
		}
	})
}

// TestManyHeavyTailedUnits: thousands of log-normal counts fit no other model, and have
// two limits that hold the estimate.
func TestManyHeavyTailedUnits(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	s := Sample{LandHa: 1e6}
	for range 4000 {
		s.AreaHa = append(s.AreaHa, 0.01)
		s.Count = append(s.Count, distuv.Poisson{Lambda: 2 * math.Exp(r.NormFloat64()), Src: r}.Rand())
	}
	e := Area([]NamedSample{{Sample: s}}, averaged).Area
	for _, l := range []struct {
		name      string
		got, want float64
	}{{"lower", e.Lower, e.Value - 1.96*e.SE}, {"upper", e.Upper, e.Value + 1.96*e.SE}} {
		if !(math.Abs(l.got-l.want) < e.SE) {
			t.Errorf("%s limit %g of %g with a standard error of %g", l.name, l.got, e.Value, e.SE)
		}
	}
}
