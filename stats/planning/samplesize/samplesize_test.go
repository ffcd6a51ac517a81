package samplesize

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats/density"
	"ashtally/stats/planning"
	"ashtally/stats/planning/allocation"
	"ashtally/stats/statstest"
)

const unitHa = 0.01

// wide is a stratum of which no plan searches a twentieth.
var wide = []Stratum{{LandHa: 1e5}}

// Without strata, sites and a finite population the number of units is
// (1/mu + 1/k) / CV^2: of mean 2 and k 0.5 at a CV of 0.2, 62.5.
func TestUnitsByFormula(t *testing.T) {
	p := []planning.Population{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	d := Design{Strata: wide, UnitHa: unitHa}
	if n := d.Units(p, 0.2); !slices.Equal(n, []int{63}) {
		t.Errorf("%v units, want 63", n)
	}
	statstest.Relative(t, "CV of 63", d.CV(p, []int{63}), math.Sqrt(2.5/63), 1e-12)
	p[0].K = math.Inf(1)
	if n := d.Units(p, 0.1); !slices.Equal(n, []int{50}) {
		t.Errorf("Poisson: %v units, want 1/(2 x 0.01)", n)
	}
}

// n0 = 62.5 becomes n0 / (1 + n0/N) = 38.5 on a stratum of 100 units (Cochran 1977,
// section 4.6).
func TestFinitePopulation(t *testing.T) {
	p := []planning.Population{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 1}}, UnitHa: unitHa}
	if n := d.Units(p, 0.2); !slices.Equal(n, []int{39}) {
		t.Errorf("%v units, want 39", n)
	}
	if cv := d.CV(p, []int{100}); cv != 0 {
		t.Errorf("CV %v of a stratum searched whole", cv)
	}
}

// Two strata by Neyman: n = (sum W S)^2 / V (Cochran 1977, section 5.9).
func TestStrataByFormula(t *testing.T) {
	p := []planning.Population{{PerHa: 200, K: 0.5, UnitHa: unitHa}, {PerHa: 600, K: 0.8, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 3e4}, {LandHa: 1e4}}, UnitHa: unitHa}
	// S of 200 x sqrt(1/2 + 1/0.5) and 600 x sqrt(1/6 + 1/0.8); D = 300.
	s := 0.75*200*math.Sqrt(2.5) + 0.25*600*math.Sqrt(1.0/6+1.25)
	want := math.Ceil(math.Pow(s/(300*0.15), 2))
	n := d.Units(p, 0.15)
	if got := float64(total(n)); got < want || got > want+1 {
		t.Errorf("%v units, want %v", n, want)
	}
	statstest.Near(t, "share of the first", float64(n[0])/float64(total(n)), 0.75*200*math.Sqrt(2.5)/s, 0.01)
}

// The t quantile in place of the normal one takes 96.04 units to 99, and gives 249
// for twice the variation and a width of 0.25 (constructed; iterated in R by qt).
func TestForMean(t *testing.T) {
	if n := ForMean(1, 0.2, 0.95); n != 99 {
		t.Errorf("%d units, want 99", n)
	}
	if n := ForMean(2, 0.25, 0.95); n != 249 {
		t.Errorf("%d units, want 249", n)
	}
	if n := ForMean(1e4, 0.01, 0.95); n != 0 {
		t.Errorf("%d units where none suffice", n)
	}
}

func TestHours(t *testing.T) {
	c := planning.Cost{Fixed: 2, SetUp: 0.25, PerHa: 20, PerKm: 0.5}
	d := Design{Strata: []Stratum{{LandHa: 100, Cost: c}, {LandHa: 50, Cost: c}}, UnitHa: unitHa}
	want := 2 + 10*0.45 + c.Walk(10, 100)
	statstest.Relative(t, "hours", d.Hours([]int{10, 0}), want, 1e-12)
	p := []planning.Population{{PerHa: 200, K: 0.5, UnitHa: unitHa}, {PerHa: 200, K: 0.5, UnitHa: unitHa}}
	d.MostHours = 60
	most := d.Most(p)
	if h := d.Hours(most); h > 60 || h < 55 {
		t.Errorf("%v sites take %v of 60 hours", most, h)
	}
	if d.MostHours = 1; d.Most(p) != nil {
		t.Error("sites without hours")
	}
}

// What running sums report is what package density does of the same counts.
func TestReportIsThatOfTheSurvey(t *testing.T) {
	designs := []Design{
		{Strata: []Stratum{{LandHa: 40}, {LandHa: 2}}, UnitHa: unitHa},
		{Strata: []Stratum{{LandHa: 40}, {LandHa: 5}}, UnitHa: 3 * unitHa},
	}
	known := planning.Known{{PerHa: 60, K: 0.3, UnitHa: unitHa}, {PerHa: 100, K: 0.5, UnitHa: unitHa}}
	for _, d := range designs {
		d := d.settled()
		tr := &trial{Design: d, wanted: Wanted{CV: 0.2}, known: known, typical: known, sequence: d.sequence(known)}
		for i := range uint64(40) {
			at := [][]int{tr.sequence.At(5), tr.sequence.At(40)}
			counts := tr.survey(rand.New(rand.NewPCG(3, i)), at[1])
			got := tr.coefficients(counts, at)
			for j, units := range at {
				var samples []density.NamedSample
				for h, n := range units {
					samples = append(samples, tr.sample(h, counts[h][:n]))
				}
				want := density.Area(samples, density.Options{Interval: "log-t"}).Area.CV()
				if math.IsNaN(want) {
					want = math.Inf(1)
				}
				statstest.Relative(t, "CV", got[j], want, 1e-9)
			}
		}
	}
}

// Of a population that is known, the chosen number gives the chance that it says in
// surveys of other draws: 0.8 within four standard errors of 2000, and the next size
// of a tenth less does not.
func TestChosenGivesItsChance(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.5, UnitHa: unitHa}, {PerHa: 500, K: 0.4, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 50}, {LandHa: 30}}, UnitHa: unitHa}
	plan := For(known, d, Wanted{CV: 0.2}, Options{Seed: 1})
	if plan.None != nil {
		t.Fatal(plan.None)
	}
	met := func(sites int) float64 {
		s := d.settled()
		tr := &trial{Design: s, wanted: Wanted{CV: 0.2}, Options: Options{Seed: 77, Surveys: 2000}, known: known, sequence: s.sequence(known)}
		return tr.met(tr.simulate([]int{sites})[0])
	}
	n := plan.Chosen.Units
	statstest.Near(t, "chance", met(n), 0.8, 0.036)
	if c := met(n * 85 / 100); c > 0.77 {
		t.Errorf("%d units give %v, and %d were chosen", n*85/100, c, n)
	}
	if plan.Formula >= n {
		t.Errorf("the formula has %d units, the plan %d", plan.Formula, n)
	}
}

func TestCurve(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 50, Cost: planning.Cost{SetUp: 0.2, PerHa: 20, PerKm: 0.5}}}, UnitHa: unitHa}
	plan := For(known, d, Wanted{CV: 0.2}, Options{Seed: 1})
	last := Point{CV: math.Inf(1)}
	for _, p := range plan.Curve {
		if p.Units <= last.Units || p.CV >= last.CV || p.Hours <= last.Hours || p.Low > p.Median || p.Median > p.High {
			t.Errorf("%+v after %+v", p, last)
		}
		last = p
	}
	if !slices.ContainsFunc(plan.Curve, func(p Point) bool { return p.Units == plan.Chosen.Units }) || len(plan.Curve) < 10 {
		t.Errorf("%d points without the chosen one", len(plan.Curve))
	}
}

// A width is met as a CV is: the chosen number gives it to the stated share.
func TestWidth(t *testing.T) {
	known := planning.Known{{PerHa: 400, K: 1, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 50}}, UnitHa: unitHa}
	w := Wanted{Width: 0.9, Interval: "log-t"}
	plan := For(known, d, w, Options{Seed: 1, Surveys: 200})
	if plan.None != nil {
		t.Fatal(plan.None)
	}
	statstest.Near(t, "chance", plan.Chosen.Chance, 0.8, 0.06)
	// exp(2 t sqrt(log(1 + cv^2))) is the ratio of the limits of log-t: a width of 0.9
	// is a CV of some 0.22, and so (1/4 + 1/1) / 0.22^2 = 26 units on average.
	if n := plan.Chosen.Units; n < 24 || n > 50 || plan.Formula != 0 {
		t.Errorf("%d units", n)
	}
}

func TestOutOfReach(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	cost := planning.Cost{SetUp: 0.25, PerHa: 20}
	for _, c := range []struct {
		name, text string
		d          Design
	}{
		{"hours", "the field time allows at most 20 units, which give the wanted coefficient of variation with probability ",
			Design{Strata: []Stratum{{LandHa: 50, Cost: cost}}, UnitHa: unitHa, MostHours: 9}},
		{"one unit", "stratum spur has room for 1 units of 0.01 ha, and a variance needs two; take smaller units, or join it with another stratum",
			Design{Strata: []Stratum{{Name: "spur", LandHa: 0.015}}, UnitHa: unitHa}},
		{"hours for the least", "2 units, the least number for a variance in each stratum, take 0.9 hours, and there are 0.5",
			Design{Strata: []Stratum{{LandHa: 50, Cost: cost}}, UnitHa: unitHa, MostHours: 0.5}},
	} {
		plan := For(known, c.d, Wanted{CV: 0.1}, Options{Seed: 1, Surveys: 100})
		if plan.None == nil || plan.None.Type != planning.OutOfReach || len(plan.None.Text) < len(c.text) || plan.None.Text[:len(c.text)] != c.text {
			t.Errorf("%s: %v", c.name, plan.None)
		}
		if c.name == "hours" && (plan.Chosen.Units != 20 || plan.Chosen.Chance >= 0.8) {
			t.Errorf("the most that there is: %+v", plan.Chosen)
		}
	}
}

// A stratum small enough to be searched whole reaches any precision.
func TestWholeStratum(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.2, UnitHa: unitHa}}
	plan := For(known, Design{Strata: []Stratum{{LandHa: 0.1}}, UnitHa: unitHa}, Wanted{CV: 0.01}, Options{Seed: 1, Surveys: 100})
	if plan.None != nil || plan.Chosen.Units != 10 || !planning.WholeStratum.In(plan.Warnings) {
		t.Errorf("%+v", plan)
	}
}

func TestSameSeedSamePlan(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 50}}, UnitHa: unitHa, Rule: allocation.Proportional}
	a, b := For(known, d, Wanted{CV: 0.3}, Options{Seed: 5, Surveys: 100}), For(known, d, Wanted{CV: 0.3}, Options{Seed: 5, Surveys: 100})
	if a.Chosen.Units != b.Chosen.Units || a.Chosen.Median != b.Chosen.Median {
		t.Errorf("%+v and %+v", a.Chosen, b.Chosen)
	}
}

// Values that fall are pooled: (3 + 1)/2 and so on.
func TestMonotone(t *testing.T) {
	v := []float64{1, 3, 1, 2, 5, 4, 6}
	monotone(v)
	for i, want := range []float64{1, 2, 2, 2, 4.5, 4.5, 6} {
		statstest.Near(t, "value", v[i], want, 1e-12)
	}
}

func TestPanics(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	good := Design{Strata: wide, UnitHa: unitHa}
	statstest.Panics(t, map[string]func(){
		"nothing wanted":      func() { For(known, good, Wanted{}, Options{}) },
		"two things wanted":   func() { For(known, good, Wanted{CV: 1, Width: 1}, Options{}) },
		"no units":            func() { For(known, Design{Strata: wide}, Wanted{CV: 1}, Options{}) },
		"no area":             func() { For(known, Design{Strata: []Stratum{{}}, UnitHa: 1}, Wanted{CV: 1}, Options{}) },
		"strata do not agree": func() { For(append(known, known...), good, Wanted{CV: 1}, Options{}) },
		"chance of 1":         func() { For(known, good, Wanted{CV: 1, Chance: 1}, Options{}) },
	})
}

// A number of units that is given has the chance that the curve of a plan has there.
func TestWithUnits(t *testing.T) {
	known := planning.Known{{PerHa: 200, K: 0.5, UnitHa: unitHa}}
	d := Design{Strata: []Stratum{{LandHa: 50}}, UnitHa: unitHa}
	o := Options{Seed: 1, Surveys: 300}
	want := For(known, d, Wanted{CV: 0.2}, o)
	got := With(want.Chosen.Units, known, d, Wanted{CV: 0.2}, o)
	statstest.Near(t, "chance", got.Chosen.Chance, want.Chosen.Chance, 1e-12)
	if few := With(1, known, d, Wanted{CV: 0.2}, o); few.Chosen.Units != 2 {
		t.Errorf("%d units, want the least, 2", few.Chosen.Units)
	}
}
