package observers

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// seenBy are finds of two observers: so many by both, by the first alone, by
// the second alone.
func seenBy(both, first, second int) Data {
	d := Data{Observers: 2}
	for at, n := range []int{both, first, second} {
		if n > 0 {
			d.Searched = append(d.Searched, []int{0, 1})
			d.Saw = append(d.Saw, []bool{at != 2, at != 1})
			d.Times = append(d.Times, float64(n))
		}
	}
	return d
}

func fitted(t testing.TB, d Data, m Model) *Fit {
	t.Helper()
	f, err := d.Fit(m, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func codes(w []stats.Warning) string {
	var list []string
	for _, one := range w {
		list = append(list, one.Code)
	}
	return strings.Join(list, " ")
}

// TestPetersen: without covariates what was there is n1 n2 / m, and its
// variance that of the conditional maximum likelihood, n1 n2 (n1-m) (n2-m) / m^3 (Seber 1982, section 3.1).
func TestPetersen(t *testing.T) {
	f := fitted(t, seenBy(57, 52, 120), Model{ByObserver: true})
	s := f.Sight(nil)
	statstest.Near(t, "N", s.Present.Value, 109*177/57.0, 1e-6)
	statstest.Relative(t, "SE", s.Present.SE, math.Sqrt(109*177*52*120/math.Pow(57, 3)), 1e-6)
	statstest.Near(t, "chance", s.Observers[0].Value, 57/177.0, 1e-9)
	if s.Seen[0] != 109 || s.Alone[1] != 120 || s.Both != 57 || s.Tell != 229 || s.Finds != 229 {
		t.Errorf("%+v", s)
	}
}

// TestDoubts: what each kind of crew is told.
func TestDoubts(t *testing.T) {
	for _, c := range []struct {
		name                string
		both, first, second int
		want, wantChapman   string
	}{
		{"plain", 40, 12, 9, "sight-untested", ""},
		{"few by both", 4, 6, 5, "few-seen-by-both sight-untested", "few-seen-by-both"},
		{"all by both", 30, 0, 0, "all-seen-by-all sight-at-limit sight-untested", "all-seen-by-all"},
		{"the second a subset", 30, 14, 0, "observer-adds-nothing sight-at-limit sight-untested", "observer-adds-nothing"},
		{"few, and a subset by chance", 3, 1, 0, "sight-at-limit few-seen-by-both sight-untested", "few-seen-by-both"},
	} {
		f := fitted(t, seenBy(c.both, c.first, c.second), Model{ByObserver: true})
		if got := codes(f.Warnings); got != c.want {
			t.Errorf("%s: warnings %q, want %q", c.name, got, c.want)
		}
		e := Chapman(float64(c.both+c.first), float64(c.both+c.second), float64(c.both), 0.95)
		if got := codes(e.Warnings); got != c.wantChapman {
			t.Errorf("%s: Chapman warns %q, want %q", c.name, got, c.wantChapman)
		}
		s := f.Sight(nil)
		for _, e := range append(s.Observers, s.Together) {
			if math.IsNaN(e.Value) || e.Value > 1 || e.Lower > e.Value || e.Upper < e.Value {
				t.Errorf("%s: %+v", c.name, e)
			}
		}
	}
}

// TestSubset: the second saw nothing that the first had not, so the first is
// taken to have seen all; his exact lower limit from 30 of the other's 30 is 0.025^(1/30).
func TestSubset(t *testing.T) {
	s := fitted(t, seenBy(30, 14, 0), Model{ByObserver: true}).Sight(nil)
	statstest.Near(t, "there", s.Present.Value, 44, 0.02)
	statstest.Near(t, "lower", s.Observers[0].Lower, math.Pow(0.025, 1.0/30), 1e-12)
	statstest.Near(t, "the second", s.Observers[1].Value, 30/44.0, 1e-3)
	if !math.IsNaN(s.Observers[0].SE) || s.Observers[0].Upper != 1 {
		t.Errorf("%+v", s.Observers[0])
	}
}

func TestNoFit(t *testing.T) {
	alone := Data{Observers: 2, Searched: [][]int{{0}, {1}}, Saw: [][]bool{{true}, {true}}}
	unwritten := Data{Observers: 2, Searched: [][]int{{0, 1}}, Saw: [][]bool{{false, false}}}
	level := seenBy(9, 3, 3)
	level.Covariates = []Covariate{{Name: "size", Values: []float64{2, 2, 2}}, {Name: "stratum", Values: []float64{0, 0, 0}, Levels: []string{"a", "b"}}}
	for _, c := range []struct {
		name string
		d    Data
		m    Model
		want error
		code string
	}{
		{"nothing", Data{Observers: 2}, Model{}, ErrNoPair, "no-two-observers"},
		{"each alone", alone, Model{}, ErrNoPair, "no-two-observers"},
		{"not written down", unwritten, Model{}, ErrNoPair, "no-two-observers"},
		{"none twice", seenBy(0, 8, 9), Model{ByObserver: true}, ErrNoneTwice, "none-seen-by-both"},
		{"a number that does not vary", level, Model{Covariates: []int{0}}, ErrModel, "no-chances"},
		{"a word that does not vary", level, Model{Covariates: []int{1}}, ErrModel, "no-chances"},
		{"no such covariate", level, Model{Covariates: []int{7}}, ErrModel, "no-chances"},
	} {
		f, err := c.d.Fit(c.m, 0.95)
		if f != nil || !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		if w := Reason(err); w.Code != c.code || w.Text == "" || w.Type == nil {
			t.Errorf("%s: %+v", c.name, w)
		}
	}
	if e := Chapman(8, 9, 0, 0.95); !math.IsNaN(e.Value) || codes(e.Warnings) != "none-seen-by-both" {
		t.Errorf("%+v", e)
	}
}

// TestSeparation: all large finds seen by both, all small ones by the first
// alone. The slope of a model without bounds is infinite; the answer is not.
func TestSeparation(t *testing.T) {
	d := Data{Observers: 2, Covariates: []Covariate{{Name: "size"}}}
	for i := range 24 {
		large := i%3 > 0
		d.Searched, d.Saw = append(d.Searched, []int{0, 1}), append(d.Saw, []bool{true, large})
		d.Covariates[0].Values = append(d.Covariates[0].Values, oneIf(large))
	}
	f := fitted(t, d, Model{ByObserver: true, Covariates: []int{0}})
	if got := codes(f.Warnings); got != "observer-adds-nothing sight-at-limit separation finds-unlike sight-untested" {
		t.Errorf("warnings %q", got)
	}
	if n := f.Sight(nil).Present; !(n.Value >= 24 && n.Value < 30) {
		t.Errorf("there were %+v", n)
	}
	ranking := d.Select(d.Candidates(), 0.95)
	if f := ranking[0].Fit; f == nil || len(f.Model.Covariates) > 0 {
		t.Errorf("a model that parts the finds was chosen: %+v", ranking[0])
	}
}

// TestSelect finds the covariate that matters among those that do not.
func TestSelect(t *testing.T) {
	d, _ := world{300, []float64{0.5, 0.4}, 1}.survey(rand.New(rand.NewPCG(3, 1)))
	noise := rand.New(rand.NewPCG(3, 2))
	d.Covariates = append(d.Covariates, Covariate{Name: "noise"})
	for range d.Saw {
		d.Covariates[1].Values = append(d.Covariates[1].Values, noise.NormFloat64())
	}
	if n := len(d.Candidates()); n != 8 {
		t.Errorf("%d candidates, want 8", n)
	}
	ranking := d.Select(d.Candidates(), 0.95)
	if !slices.Contains(ranking[0].Model.Covariates, 0) || ranking[0].Delta != 0 {
		t.Errorf("chose %s", ranking[0].Name)
	}
	var sum float64
	for i, r := range ranking {
		sum += r.Weight
		if i > 0 && r.Delta < ranking[i-1].Delta {
			t.Error("not in the order of AIC")
		}
	}
	statstest.Near(t, "sum of the weights", sum, 1, 1e-12)
	d.Covariates = []Covariate{{Name: "distance", Values: d.Covariates[1].Values, Always: true, Apart: true}}
	var names []string
	for _, m := range d.Candidates() {
		names = append(names, d.String(m))
	}
	if got := strings.Join(names, "; "); got != "one chance for all + distance; by observer + distance; by observer + distance by observer" {
		t.Errorf("candidates %s", got)
	}
}

// TestUnpaired: an observer who was never held against another sees as the mean
// of the others on the logit scale, and a search twice over by one misses what he misses twice.
func TestUnpaired(t *testing.T) {
	d := seenBy(40, 20, 10)
	d.Observers = 3
	d.Searched, d.Saw, d.Times = append(d.Searched, []int{2}), append(d.Saw, []bool{true}), append(d.Times, 6)
	d.Over = [][]int{{0, 1}, {0, 1}, {0, 0}, {2}}
	f := fitted(t, d, Model{ByObserver: true})
	if f.Paired(2) || !f.Paired(0) {
		t.Error("the third was held against another, or the first was not")
	}
	p0, p1 := 40/50.0, 40/60.0
	odds := math.Sqrt(p0 / (1 - p0) * p1 / (1 - p1))
	p, _ := f.Chance(3)
	statstest.Near(t, "chance of the third", p, odds/(1+odds), 1e-9)
	p, _ = f.Chance(2)
	statstest.Near(t, "the first twice", p, 1-(1-p0)*(1-p0), 1e-9)
}

// TestGradients against differences: of the likelihood, its Hessian, and a
// chance.
func TestGradients(t *testing.T) {
	d := finds(t, "three")
	d.Times = nil
	f := fitted(t, d, Model{ByObserver: true, Covariates: []int{0, 1}})
	l := f.design.likelihood()
	n, h := l.size, 1e-5
	x := []float64{0.3, -0.5, 0.2, 0.7, -0.4}
	at := func(x []float64) (float64, []float64, [][]float64) {
		g, hessian := make([]float64, n), square(n)
		return l.at(x, g, hessian), g, hessian
	}
	_, g, hessian := at(x)
	for k := range n {
		up, down := slices.Clone(x), slices.Clone(x)
		up[k] += h
		down[k] -= h
		high, gHigh, _ := at(up)
		low, gLow, _ := at(down)
		statstest.Close(t, "slope", g[k], (high-low)/(2*h), 1e-6)
		for j := range n {
			statstest.Close(t, "curvature", hessian[j][k], (gHigh[j]-gLow[j])/(2*h), 1e-6)
		}
		g := *f
		g.x = slices.Clone(f.x)
		slope := g.correctionOf(0).gradient
		g.x[k] += h
		high = g.correctionOf(0).factor
		g.x[k] -= 2 * h
		low = g.correctionOf(0).factor
		statstest.Close(t, "slope of what is made up", slope[k], (high-low)/(2*h), 1e-6)
	}
}

// TestDependence: two of three observers who tell each other are found out,
// three who do not are left alone 99 times in 100, and two without covariates leave nothing to test.
func TestDependence(t *testing.T) {
	alone, told := 0, 0
	const surveys = 150
	for i := range surveys {
		r := rand.New(rand.NewPCG(5, uint64(i)))
		d, _ := world{300, []float64{0.5, 0.4, 0.5}, 0}.survey(r)
		if fitted(t, d, Model{ByObserver: true}).Dependence().P < tooDependent {
			alone++
		}
		for k := range d.Saw {
			if r.Float64() < 0.5 && (d.Saw[k][0] || d.Saw[k][1]) {
				d.Saw[k][0], d.Saw[k][1] = true, true
			}
		}
		f := fitted(t, d, Model{ByObserver: true})
		if pair := f.Dependence(); pair.First == 0 && pair.Second == 1 && pair.Z > 0 && strings.Contains(codes(f.Warnings), "observers-agree") {
			told++
		}
	}
	if alone > 5 || told < surveys*9/10 {
		t.Errorf("of %d, %d independent crews and %d others are doubted", surveys, alone, told)
	}
	if pair := fitted(t, seenBy(30, 10, 10), Model{ByObserver: true}).Dependence(); pair.Z != 0 || pair.P != 1 {
		t.Errorf("two observers score %+v", pair)
	}
}

// TestProperties: finds as they may come.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		observers := rapid.IntRange(2, 4).Draw(t, "observers")
		d := Data{Observers: observers, Covariates: []Covariate{{Name: "size"}}}
		for i := range rapid.IntRange(1, 40).Draw(t, "finds") {
			var who []int
			var saw []bool
			for j := range observers {
				if rapid.Bool().Draw(t, fmt.Sprint("searched", i)) {
					who, saw = append(who, j), append(saw, rapid.Bool().Draw(t, "saw"))
				}
			}
			if who == nil {
				who, saw = []int{0}, []bool{true}
			}
			d.Searched, d.Saw = append(d.Searched, who), append(d.Saw, saw)
			size := float64(rapid.IntRange(1, 9).Draw(t, "size"))
			d.Size, d.Covariates[0].Values = append(d.Size, size), append(d.Covariates[0].Values, math.Log(size))
		}
		ranking := d.Select(d.Candidates(), 0.95)
		f := ranking[0].Fit
		if f == nil {
			return
		}
		s := f.Sight(nil)
		if n := s.Present; !(n.Value >= s.FruitBodies-1e-9 && n.Lower >= s.FruitBodies-1e-9 && n.Lower <= n.Value && !(n.Upper < n.Value)) || math.IsInf(n.Upper, 0) || math.IsNaN(n.Upper) && len(n.Warnings) == 0 {
			t.Errorf("%g seen, there were %+v", s.FruitBodies, n)
		}
		for _, e := range append(s.Observers, s.Together) {
			if !math.IsNaN(e.Value) && !(e.Value > 0 && e.Value <= 1 && e.Lower <= e.Value && e.Upper >= e.Value && e.Upper <= 1) {
				t.Errorf("chance %+v", e)
			}
		}
		twice := d
		twice.Times = slices.Repeat([]float64{2}, len(d.Searched))
		g, err := twice.Fit(f.Model, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		statstest.Relative(t, "all twice", g.Sight(nil).Present.Value, 2*s.Present.Value, 1e-5)
	})
}

func TestChapmanProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		both, first, second := float64(rapid.IntRange(0, 60).Draw(t, "both")), float64(rapid.IntRange(0, 60).Draw(t, "first")), float64(rapid.IntRange(0, 60).Draw(t, "second"))
		e := Chapman(both+first, both+second, both, 0.9)
		if e.SE > 0 || both == 0 {
			statstest.WellFormed(t, e)
		}
		if both > 0 && (e.Lower < both+first+second || e.Upper < e.Value) {
			t.Errorf("%g seen, there were %+v", both+first+second, e)
		}
		statstest.Same(t, "observers exchanged", Chapman(both+second, both+first, both, 0.9), e)
	})
}

func TestPanics(t *testing.T) {
	bad := func(change func(*Data)) func() {
		return func() {
			d := seenBy(5, 5, 5)
			change(&d)
			d.Fit(Model{}, 0.95)
		}
	}
	statstest.Panics(t, map[string]func(){
		"confidence":       func() { seenBy(5, 5, 5).Fit(Model{}, 1) },
		"Chapman":          func() { Chapman(3, 4, 5, 0.95) },
		"half a find":      func() { Chapman(3.5, 4, 1, 0.95) },
		"negative":         func() { Chapman(3, -4, 1, 0.95) },
		"lengths":          bad(func(d *Data) { d.Saw = d.Saw[1:] }),
		"sight of nobody":  bad(func(d *Data) { d.Saw[0] = nil }),
		"names":            bad(func(d *Data) { d.Names = []string{"A"} }),
		"no such observer": bad(func(d *Data) { d.Searched[0] = []int{0, 2} }),
		"times":            bad(func(d *Data) { d.Times[0] = 0 }),
		"a covariate":      bad(func(d *Data) { d.Covariates = []Covariate{{Values: []float64{1, 2, math.NaN()}}} }),
		"a level":          bad(func(d *Data) { d.Covariates = []Covariate{{Values: []float64{0, 1, 2}, Levels: []string{"a", "b"}}} }),
		"its length":       bad(func(d *Data) { d.Covariates = []Covariate{{Values: []float64{0}}} }),
		"no line":          func() { d := seenBy(5, 5, 5); f, _ := d.Fit(Model{}, 0.95); f.OnLine(0) },
	})
}
