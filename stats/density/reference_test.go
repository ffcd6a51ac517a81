package density

import (
	"math"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

const reference = "../../testdata/reference/"

// referenceSamples are the strata of density_units.csv.
func referenceSamples(t *testing.T, sites bool) map[string]Sample {
	all := map[string]Sample{}
	for _, row := range statstest.Table(t, reference+"density_units.csv") {
		s := all[row["stratum"]]
		s.LandHa = row.Number(t, "land_ha")
		s.AreaHa = append(s.AreaHa, row.Number(t, "area_ha"))
		s.Count = append(s.Count, row.Number(t, "count"))
		if sites {
			s.Cluster = append(s.Cluster, int(row.Number(t, "site")))
		}
		all[row["stratum"]] = s
	}
	return all
}

// TestAgainstSurveyPackage holds density and standard error against R's
// survey package: svyratio and svyby with and without sites and the finite
// population factor, and the strata together. The calls are in
// testdata/reference/density.R.
func TestAgainstSurveyPackage(t *testing.T) {
	for _, row := range statstest.Table(t, reference+"density_expected.csv") {
		t.Run(row["what"]+" "+row["stratum"], func(t *testing.T) {
			samples := referenceSamples(t, row["what"] != "units")
			var e stats.Estimate
			if row["stratum"] != "all" {
				e = Stratum(samples[row["stratum"]], Options{})
			} else {
				var parts []Part
				for _, h := range []string{"h1", "h2", "h3"} {
					parts = append(parts, Part{AreaHa: samples[h].LandHa, Estimate: Stratum(samples[h], Options{})})
				}
				e = Land(parts, 0.95)
				statstest.Relative(t, "Satterthwaite df", e.DF, row.Number(t, "df"), 1e-8)
			}
			statstest.Relative(t, "density", e.Value, row.Number(t, "density"), 1e-8)
			statstest.Relative(t, "standard error", e.SE, row.Number(t, "se"), 1e-8)
		})
	}
}

// TestMorelsOfYosemite: Larson et al. (2016), Forest Ecology and Management
// 377: 157-164, found 1693 morels per hectare in 1119 plots of 3.14 m2, 17.8 %
// of which held any; 595 morels, from memory. The spread over plots is not
// published, so only the density is checked, with a tolerance of 1.
func TestMorelsOfYosemite(t *testing.T) {
	var s Sample
	for i := range 1119 {
		count := 0.0
		if i < 199 {
			count = 3 // 597; two plots have one less
		}
		if i < 2 {
			count = 2
		}
		s.AreaHa = append(s.AreaHa, 3.14e-4)
		s.Count = append(s.Count, count)
	}
	statstest.Near(t, "density", Stratum(s, Options{}).Value, 1693, 1)
}

// TestBigCity: Cochran (1977), Sampling Techniques, 3rd ed., chapter 6, on 49
// of 196 cities (boot::bigcity): ratio 1.239 of 1930 to 1920; standard error of
// the total 604.036188145 by N sqrt((1-f)/n sum(y-Rx)^2/(n-1)), R 4.2.2, so that of
// the ratio is that over N mean(u).
func TestBigCity(t *testing.T) {
	var s Sample
	for _, row := range statstest.Table(t, reference+"density_bigcity.csv") {
		s.AreaHa = append(s.AreaHa, row.Number(t, "u"))
		s.Count = append(s.Count, row.Number(t, "x"))
	}
	s.LandHa = 5054 * 196 / 49.0 // so that a quarter of the "land" is in the sample
	e := Stratum(s, Options{})
	statstest.Relative(t, "ratio", e.Value, 1.23901859913, 1e-11)
	statstest.Relative(t, "standard error", e.SE, 604.036188145/s.LandHa, 1e-11)
}

// TestGarwood: limits of a Poisson count, R 4.2.2 poisson.test; Garwood (1936)
// prints 3.689, .025 to 5.572 and 4.795 to 18.390 (from memory).
func TestGarwood(t *testing.T) {
	for _, c := range []struct{ finds, lower, upper float64 }{
		{0, 0, 3.68887945411},
		{1, 0.0253178079843, 5.57164339094},
		{2, 0.242209278544, 7.22468766772},
		{5, 1.62348639012, 11.6683320793},
		{10, 4.79538869613, 18.390356042},
		{50, 37.1109637375, 65.9187666643},
		{100, 81.3639912509, 121.626793792},
	} {
		i := totals{finds: c.finds, searched: 1}.garwood(0.95)
		statstest.Near(t, "lower", i.Lower, c.lower, 1e-8)
		statstest.Near(t, "upper", i.Upper, c.upper, 1e-8)
	}
}

// TestTAndLogT by hand: counts 0 4 2 6 on 1 ha each have D 3, v 20/12; t.975
// with 3 df is 3.18244630528 (R 4.2.2).
func TestTAndLogT(t *testing.T) {
	s := Sample{AreaHa: []float64{1, 1, 1, 1}, Count: []float64{0, 4, 2, 6}}
	se := math.Sqrt(20.0 / 12)
	e := Stratum(s, Options{Interval: "t"})
	statstest.Near(t, "value", e.Value, 3, 0)
	statstest.Near(t, "SE", e.SE, se, 1e-15)
	statstest.Near(t, "lower, cut off", e.Lower, 0, 0)
	statstest.Near(t, "upper", e.Upper, 3+3.18244630528*se, 1e-9)
	e = Stratum(s, Options{Interval: "log-t"})
	c := math.Exp(3.18244630528 * math.Sqrt(math.Log(1+se*se/9)))
	statstest.Near(t, "lower", e.Lower, 3/c, 1e-9)
	statstest.Near(t, "upper", e.Upper, 3*c, 1e-8)
	statstest.Near(t, "df", e.DF, 3, 0)
}

// TestEmpiricalLikelihood: Owen (1988), Biometrika 75: 237-249. At a limit the
// weights 1/(n (1 + lambda z)) must sum to 1 and make the mean density that limit,
// and -2 log of their product must be the squared t quantile.
func TestEmpiricalLikelihood(t *testing.T) {
	s := Sample{AreaHa: []float64{1, 2, 1, 3, 1, 2}, Count: []float64{0, 4, 2, 9, 0, 1}}
	e := Stratum(s, Options{Interval: "empirical-likelihood"})
	for _, d := range []float64{e.Lower, e.Upper} {
		lambda, w := weightsFor(s, d)
		var sum, product float64
		for i := range s.Count {
			p := 1 / (6 * (1 + lambda*(s.Count[i]-d*s.AreaHa[i])))
			sum += p
			product -= 2 * math.Log(6*p)
		}
		statstest.Near(t, "sum of weights", sum, 1, 1e-9)
		statstest.Near(t, "ratio", product, 2.57058183564*2.57058183564, 1e-6) // t.975, 5 df
		statstest.Near(t, "ratio again", w, product, 1e-6)
	}
}

// weightsFor finds lambda by plain halving, apart from the code under test.
func weightsFor(s Sample, d float64) (lambda, ratio float64) {
	low, high := math.Inf(-1), math.Inf(1)
	for i := range s.Count {
		if z := s.Count[i] - d*s.AreaHa[i]; z > 0 {
			low = math.Max(low, -1/z)
		} else if z < 0 {
			high = math.Min(high, -1/z)
		}
	}
	for range 200 {
		lambda = (low + high) / 2
		var sum float64
		for i := range s.Count {
			z := s.Count[i] - d*s.AreaHa[i]
			sum += z / (1 + lambda*z)
		}
		if sum > 0 {
			low = lambda
		} else {
			high = lambda
		}
	}
	for i := range s.Count {
		ratio += 2 * math.Log1p(lambda*(s.Count[i]-d*s.AreaHa[i]))
	}
	return lambda, ratio
}

// TestConfidenceWidens: limits at 0.8, 0.95 and 0.99 lie within each other, and
// say which level they have.
func TestConfidenceWidens(t *testing.T) {
	s := Sample{AreaHa: tenths(24), Count: append(times(12, 0), 1, 2, 7, 3, 1, 4, 12, 2, 1, 6, 3, 9)}
	for _, name := range Methods() {
		inner := Stratum(s, Options{Interval: name, Confidence: 0.8})
		for _, level := range []float64{0.95, 0.99} {
			outer := Stratum(s, Options{Interval: name, Confidence: level})
			if outer.Confidence != level || !(outer.Lower < inner.Lower && inner.Upper < outer.Upper) {
				t.Errorf("%s at %g: %v to %v, inside it %v to %v", name, level, outer.Lower, outer.Upper, inner.Lower, inner.Upper)
			}
			inner = outer
		}
	}
}

// TestSeedOfTheBootstrap: the same seed gives the same limits, another others.
func TestSeedOfTheBootstrap(t *testing.T) {
	s := Sample{AreaHa: tenths(24), Count: append(times(12, 0), 1, 2, 7, 3, 1, 4, 12, 2, 1, 6, 3, 9)}
	for _, name := range []string{"bca", "bootstrap-t"} {
		one, again := Stratum(s, Options{Interval: name, Seed: 1}), Stratum(s, Options{Interval: name, Seed: 1})
		other := Stratum(s, Options{Interval: name, Seed: 2})
		if one.Lower != again.Lower || one.Upper != again.Upper || one.Lower == other.Lower && one.Upper == other.Upper {
			t.Errorf("%s: %v to %v, %v to %v and %v to %v", name, one.Lower, one.Upper, again.Lower, again.Upper, other.Lower, other.Upper)
		}
	}
}
