package crop

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/statstest"
	"ashtally/stats/strata"
)

// reference is the made-up survey of testdata/reference/crop.R, two strata of
// 30 and 10 ha with two kinds of finds.
func reference(t *testing.T) Part {
	p := Part{Kinds: 2, Strata: []Stratum{{LandHa: 30}, {LandHa: 10}}, Confidence: 0.95}
	for _, r := range statstest.Table(t, "../../testdata/reference/crop_units.csv") {
		u := Unit{Site: int(r.Number(t, "site")), AreaHa: r.Number(t, "area")}
		for _, k := range []string{"1", "2"} {
			u.Count = append(u.Count, r.Number(t, "y"+k))
			u.Weighed = append(u.Weighed, r.Number(t, "w"+k))
			u.MassG = append(u.MassG, r.Number(t, "g"+k))
		}
		s := &p.Strata[int(r.Number(t, "stratum"))-1]
		s.Units = append(s.Units, u)
	}
	return p
}

// TestAgainstR: the answers are those of R survey's svycontrast, by
// linearisation of totals of a stratified cluster sample; see crop.R.
func TestAgainstR(t *testing.T) {
	p := reference(t)
	want := map[string]statstest.Row{}
	for _, r := range statstest.Table(t, "../../testdata/reference/crop.csv") {
		want[r["what"]] = r
	}
	p.Density = want["bodies"].Number(t, "value") / 40
	p.SE = want["bodies"].Number(t, "se") / 40
	p.Lower, p.Upper = p.Density/2, p.Density*2
	c := Of(p)
	for _, f := range []struct {
		what string
		got  stats.Estimate
	}{{"bodies", c.Bodies}, {"grams", c.Grams}, {"kg", c.Kg}} {
		statstest.Relative(t, f.what, f.got.Value, want[f.what].Number(t, "value"), 1e-10)
		statstest.Relative(t, f.what+" se", f.got.SE, want[f.what].Number(t, "se"), 1e-10)
	}
	m := Mass(p.Strata, []int{0}, 0.95)
	statstest.Relative(t, "mass of the first kind", m.Value, want["mass1"].Number(t, "value"), 1e-10)
	statstest.Relative(t, "its se", m.SE, want["mass1"].Number(t, "se"), 1e-10)
	if !(c.Correlation < 0) {
		t.Errorf("crowded fruit bodies are made small here, and the correlation is %v", c.Correlation)
	}
}

// simple is four plots of 0.01 ha in 2 ha, of one kind, every find weighed.
func simple() Part {
	p := Part{Kinds: 1, Strata: []Stratum{{LandHa: 2}}, Density: 250, SE: 100, Lower: 100, Upper: 600, Confidence: 0.95}
	for i, y := range []float64{4, 0, 5, 1} {
		p.Strata[0].Units = append(p.Strata[0].Units, Unit{Site: i, AreaHa: 0.01, Count: []float64{y}, Weighed: []float64{y}, MassG: []float64{[]float64{40, 0, 60, 12}[i]}})
	}
	return p
}

func TestByHand(t *testing.T) {
	c := Of(simple())
	// 10 fruit bodies on 0.04 ha: 250 per ha, 500 on 2 ha; 112 g / 10 each; 5.6 kg.
	statstest.Relative(t, "fruit bodies", c.Bodies.Value, 500, 1e-12)
	statstest.Relative(t, "their lower limit", c.Bodies.Lower, 200, 1e-12)
	statstest.Relative(t, "g of one", c.Grams.Value, 11.2, 1e-12)
	statstest.Relative(t, "kg", c.Kg.Value, 5.6, 1e-12)
	// var(m) = 4/3 sum (g - 11.2 n)^2 / 10^2, residuals -4.8, 0, 4, 0.8.
	statstest.Relative(t, "se of a mass", c.Grams.SE, math.Sqrt(4./3*(4.8*4.8+16+0.64))/10, 1e-12)
	// Log-normal limits by t of 2 degrees of freedom, 4.302653 by any table: 3 sites weighed.
	cv := c.Grams.SE / 11.2
	statstest.Relative(t, "upper g of one", c.Grams.Upper, 11.2*math.Exp(4.302653*math.Sqrt(math.Log1p(cv*cv))), 1e-6)
	r, a, b := c.Correlation, math.Log(250./100), math.Log(11.2/c.Grams.Lower)
	statstest.Relative(t, "lower kg", c.Kg.Lower, 5.6*math.Exp(-math.Sqrt(a*a+b*b+2*r*a*b)), 1e-12)
}

func said(e stats.Estimate, code string) bool {
	return slices.ContainsFunc(e.Warnings, func(w stats.Warning) bool { return w.Code == code })
}

func TestDegenerate(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		change func(p *Part)
		code   string
		kg     float64
		upper  bool
	}{
		"no density": {func(p *Part) { p.Density, p.SE, p.Lower, p.Upper = nan, nan, nan, nan }, "no-density", nan, false},
		"no land":    {func(p *Part) { p.Strata[0].LandHa = 0 }, "no-density", nan, false},
		"no mass": {func(p *Part) {
			for i := range p.Strata[0].Units {
				p.Strata[0].Units[i].Weighed, p.Strata[0].Units[i].MassG = []float64{0}, []float64{0}
			}
		}, "no-mass", nan, false},
		"one place": {func(p *Part) {
			for i := range p.Strata[0].Units[1:] {
				p.Strata[0].Units[i+1].Weighed, p.Strata[0].Units[i+1].MassG = []float64{0}, []float64{0}
			}
		}, "weighed-in-one-place", 5, false},
		"masses alike": {func(p *Part) {
			for i, u := range p.Strata[0].Units {
				p.Strata[0].Units[i].MassG = []float64{10 * u.Weighed[0]}
			}
		}, "masses-alike", 5, true},
		"nothing found here": {func(p *Part) {
			weigh := p.Strata[0]
			weigh.LandHa = 0
			p.Strata = append([]Stratum{{LandHa: 3, Units: []Unit{{AreaHa: 1, Count: []float64{0}, Weighed: []float64{0}, MassG: []float64{0}}}}}, weigh)
			p.Density, p.SE, p.Lower, p.Upper = 0, nan, 0, 40
		}, "few-weighed", 0, true},
		"no interval":  {func(p *Part) { p.SE, p.Lower, p.Upper = nan, nan, nan }, "few-weighed", 5.6, false},
		"no upper":     {func(p *Part) { p.Upper = nan }, "few-weighed", 5.6, false},
		"lower of 0":   {func(p *Part) { p.Lower = 0 }, "few-weighed", 5.6, true},
		"apart":        {func(p *Part) { p.Apart = true }, "mass-apart", 5.6, true},
		"part weighed": {func(p *Part) { p.Strata[0].Units[2].Count[0] = 9 }, "weighed-in-part", 5.6, true},
	} {
		t.Run(name, func(t *testing.T) {
			p := simple()
			c.change(&p)
			kg := Of(p).Kg
			if !(math.Abs(kg.Value-c.kg) < 1e-9 || math.IsNaN(kg.Value) && math.IsNaN(c.kg)) {
				t.Errorf("%v kg, want %v", kg.Value, c.kg)
			}
			if !said(kg, c.code) {
				t.Errorf("warnings %v, want %s", kg.Warnings, c.code)
			}
			if upper := !math.IsNaN(kg.Upper); upper != c.upper {
				t.Errorf("limits %v to %v", kg.Lower, kg.Upper)
			}
			statstest.WellFormed(t, kg)
		})
	}
}

// A kind with few weighed has the mean of all kinds.
func TestFewOfAKind(t *testing.T) {
	p := Part{Kinds: 2, Strata: []Stratum{{LandHa: 1}}, Density: 1200, SE: 1, Lower: 1, Upper: 2000, Confidence: 0.95}
	for i := range 4 {
		p.Strata[0].Units = append(p.Strata[0].Units, Unit{Site: i, AreaHa: 0.01, Count: []float64{10, 2}, Weighed: []float64{10, 1}, MassG: []float64{100 + float64(i), 30}})
	}
	c := Of(p)
	pooled := (406. + 120) / 44 // g of all weighed
	statstest.Relative(t, "g of one", c.Grams.Value, (40*10.15+8*pooled)/48, 1e-12)
	if !said(c.Kg, "kinds-pooled") {
		t.Errorf("warnings %v", c.Kg.Warnings)
	}
	for i := range p.Strata[0].Units {
		u := &p.Strata[0].Units[i]
		u.Count[1], u.Weighed[1], u.MassG[1] = 3, 3, 90
	}
	if kg := Of(p).Kg; said(kg, "kinds-pooled") {
		t.Errorf("12 of a kind were weighed: %v", kg.Warnings)
	}
}

// Two sites are the fewest with a spread: var(m) = 2/1 sum (g - m n)^2 / n^2.
func TestTwoSites(t *testing.T) {
	p := simple()
	p.Strata[0].Units = []Unit{p.Strata[0].Units[0], p.Strata[0].Units[2]}
	// 4 of 40 g and 5 of 60 g: m = 100/9, residuals -40/9 and 40/9.
	statstest.Relative(t, "se of a mass", Of(p).Grams.SE, 80./81, 1e-12)
}

func TestMisusePanics(t *testing.T) {
	with := func(change func(p *Part)) func() {
		return func() {
			p := simple()
			change(&p)
			Of(p)
		}
	}
	statstest.Panics(t, map[string]func(){
		"confidence":   with(func(p *Part) { p.Confidence = 1 }),
		"negative":     with(func(p *Part) { p.Strata[0].LandHa = -1 }),
		"unequal":      with(func(p *Part) { p.Strata[0].Units[0].Count = nil }),
		"area of zero": with(func(p *Part) { p.Strata[0].Units[0].AreaHa = 0 }),
	})
}

// TestProperties: whatever the field gives, the crop may reach a report, and
// scales with land and mass.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := statstest.DrawUnits(t)
		p := Part{Kinds: 2, Strata: []Stratum{{LandHa: 5}}, Confidence: 0.95}
		var count []float64
		for i, y := range u.Count {
			first := math.Floor(y / 3)
			n := []float64{first, y - first}
			w := []float64{math.Floor(n[0] * rapid.Float64Range(0, 1).Draw(t, "weighed")), math.Floor(n[1] * rapid.Float64Range(0, 1).Draw(t, "weighed"))}
			unit := Unit{Site: i, AreaHa: u.AreaHa[i], Count: n, Weighed: w, MassG: []float64{w[0] * rapid.Float64Range(1, 40).Draw(t, "g"), w[1] * 12}}
			if u.Cluster != nil {
				unit.Site = u.Cluster[i]
			}
			p.Strata[0].Units = append(p.Strata[0].Units, unit)
			count = append(count, y)
		}
		d := density.Stratum(density.Sample{AreaHa: u.AreaHa, Count: count, Cluster: u.Cluster}, density.Options{Interval: "log-t"})
		p.Density, p.SE, p.Lower, p.Upper = d.Value, d.SE, d.Lower, d.Upper
		c := Of(p)
		for _, e := range []stats.Estimate{c.Kg, c.Grams} {
			if len(e.Warnings) > 0 || !math.IsNaN(e.Upper) {
				statstest.WellFormed(t, e)
			}
			if math.IsNaN(e.Upper) && len(e.Warnings)+len(d.Warnings) == 0 {
				t.Errorf("no limits, and no reason: %+v", e)
			}
		}
		p.Strata[0].LandHa = 10
		statstest.Scaled(t, "twice the land", Of(p).Kg, c.Kg, 2, 1e-9)
		for i := range p.Strata[0].Units {
			for g := range 2 {
				p.Strata[0].Units[i].MassG[g] *= 3
			}
		}
		statstest.Scaled(t, "three times the mass", Of(p).Kg, c.Kg, 6, 1e-9)
	})
}

// TestIntervalHoldsTheTruth simulates surveys whose crowded fruit bodies are
// small, so that density and mass are correlated: for 25 plots of 4 finds on
// average, 0.95 of 400 comes out between 0.926 and 0.970.
func TestIntervalHoldsTheTruth(t *testing.T) {
	surveys := 400
	if testing.Short() {
		surveys = 100
	}
	const plots, k, mean = 25, 0.8, 4.0
	grams := func(y float64) float64 { return 15 / (1 + y/10) }
	// The truth by summing over the distribution: g of all over all.
	var massTrue float64
	for y := 0.0; y < 400; y++ {
		massTrue += negativeBinomial(y, mean, k) * y * grams(y)
	}
	held, open := 0, 0
	for i := range surveys {
		rng := rand.New(rand.NewPCG(4127, uint64(i)))
		p := Part{Kinds: 1, Strata: []Stratum{{LandHa: 1}}, Confidence: 0.95}
		s := density.Sample{}
		for j := range plots {
			y := distuv.Poisson{Lambda: distuv.Gamma{Alpha: k, Beta: k / mean, Src: rng}.Rand(), Src: rng}.Rand()
			u := Unit{Site: j, AreaHa: 0.01, Count: []float64{y}, Weighed: []float64{0}, MassG: []float64{0}}
			for range int(y) {
				if rng.Float64() < 0.7 {
					u.Weighed[0]++
					u.MassG[0] += grams(y) * math.Exp(0.5*rng.NormFloat64()-0.125)
				}
			}
			p.Strata[0].Units = append(p.Strata[0].Units, u)
			s.AreaHa, s.Count = append(s.AreaHa, 0.01), append(s.Count, y)
		}
		d := density.Stratum(s, density.Options{})
		p.Density, p.SE, p.Lower, p.Upper = d.Value, d.SE, d.Lower, d.Upper
		kg := Of(p).Kg
		switch truth := massTrue * 100 / 1000; {
		case math.IsNaN(kg.Lower):
			open++
		case kg.Lower <= truth && truth <= kg.Upper:
			held++
		}
	}
	cover := float64(held) / float64(surveys-open)
	t.Logf("%.3f of %d, %d without limits", cover, surveys, open)
	if cover < 0.92 || open > surveys/50 {
		t.Errorf("%.3f of intervals at 0.95 hold the truth, %d have none", cover, open)
	}
}

func negativeBinomial(y, mean, k float64) float64 {
	a, _ := math.Lgamma(y + k)
	b, _ := math.Lgamma(k)
	c, _ := math.Lgamma(y + 1)
	return math.Exp(a - b - c + k*math.Log(k/(k+mean)) + y*math.Log(mean/(k+mean)))
}

// TestLarson is an example of the size of a crop. Larson et al. (2016), Forest
// Ecology and Management, found 1693 morels per ha on 25.6 ha a year after fire
// (the density from the author's page, the area of the study site likewise).
// They published no crop: the product is context, and only its arithmetic is
// tested.
func TestLarson(t *testing.T) {
	p := Part{Kinds: 1, Strata: []Stratum{{LandHa: 63.3 * 0.40468564224, Units: []Unit{{AreaHa: 0.351366, Count: []float64{595}, Weighed: []float64{0}, MassG: []float64{0}}}}},
		Density: 1693, SE: math.NaN(), Lower: math.NaN(), Upper: math.NaN(), Confidence: 0.95}
	if got := Of(p).Bodies.Value; math.Abs(got-43369) > 1 {
		t.Errorf("%v fruit bodies", got)
	}
}

// TestCollapsed: of a stratum of one site, collapsed with the nearest, the density
// has the variance that package density gives it, which is held to R's survey
// package there, and so has the part of it in the mean mass.
func TestCollapsed(t *testing.T) {
	p := reference(t)
	lone := Stratum{Stratum: strata.Stratum{Name: "lone", Mean: 500}, LandHa: 4}
	for range 2 {
		lone.Units = append(lone.Units, Unit{Site: 9, AreaHa: 0.01, Count: []float64{3, 1}, Weighed: []float64{2, 1}, MassG: []float64{30, 7}})
	}
	p.Strata = append(p.Strata, lone)
	var parts []density.Part
	for h := range p.Strata {
		s := &p.Strata[h]
		part := density.Part{Name: s.Name, AreaHa: s.LandHa}
		for _, u := range s.Units {
			part.Sample.AreaHa, part.Sample.Count = append(part.Sample.AreaHa, u.AreaHa), append(part.Sample.Count, u.Count[0]+u.Count[1])
			part.Sample.Cluster = append(part.Sample.Cluster, u.Site)
		}
		part.Estimate = density.Stratum(part.Sample, density.Options{})
		s.Mean, part.Mean = part.Value, part.Value
		parts = append(parts, part)
	}
	want := density.Land(density.Collapse(parts, density.Options{}), 0.95)
	p.Strata = numbered(p.Strata)
	all := sumUp(p.Kinds, p.Strata...)
	pool := pools(all.weighed)
	mean := all.means(pool)
	v := p.variances(all, pool, mean, p.composed(mean))
	statstest.Relative(t, "variance of the density", v[0], want.CV()*want.CV(), 1e-10)

	p.Density, p.SE, p.Lower, p.Upper = want.Value, want.SE, want.Lower, want.Upper
	c := Of(p)
	if !(c.Kg.SE > 0) || !(c.Correlation > -1 && c.Correlation < 1) {
		t.Errorf("%+v, correlation %g", c.Kg, c.Correlation)
	}
}
