package observers

import (
	"math"
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

// The reference values are R's: testdata/reference/observers.R, which keeps the
// finds in observers_finds.csv and its answers in observers.csv.
const referenceDir = "../../testdata/reference/"

// finds returns the data of a case.
func finds(t *testing.T, name string) Data {
	t.Helper()
	var d Data
	covariates := []Covariate{{Name: "size"}, {Name: "ground", Levels: []string{"duff", "moss"}}, {Name: "distance", Apart: true}}
	for _, row := range statstest.Table(t, referenceDir+"observers_finds.csv") {
		if row["case"] != name {
			continue
		}
		var who []int
		var saw []bool
		for j, c := range row["saw"] {
			who, saw = append(who, j), append(saw, c == '1')
		}
		d.Observers = len(who)
		d.Searched, d.Saw = append(d.Searched, who), append(d.Saw, saw)
		d.Size = append(d.Size, row.Number(t, "size"))
		covariates[0].Values = append(covariates[0].Values, math.Log(row.Number(t, "size")))
		covariates[1].Values = append(covariates[1].Values, oneIf(row["ground"] == "moss"))
		covariates[2].Values = append(covariates[2].Values, row.Number(t, "distance"))
	}
	d.Covariates = covariates
	if d.Observers == 0 {
		t.Fatalf("no finds of %s", name)
	}
	return d
}

func answers(t *testing.T, name, model string) map[string]statstest.Row {
	t.Helper()
	all := map[string]statstest.Row{}
	for _, row := range statstest.Table(t, referenceDir+"observers.csv") {
		if row["case"] == name && row["model"] == model {
			all[row["what"]] = row
		}
	}
	if len(all) == 0 {
		t.Fatalf("no answers for %s, %s", name, model)
	}
	return all
}

// TestFitAgainstR: optim() on the conditional likelihood, by BFGS and Newton
// steps, its Hessian by differences.
func TestFitAgainstR(t *testing.T) {
	for _, c := range []struct {
		name, model string
		m           Model
	}{
		{"two", "one chance for all", Model{}},
		{"two", "by observer", Model{ByObserver: true}},
		{"two", "by observer + size", Model{ByObserver: true, Covariates: []int{0}}},
		{"two", "by observer + size + ground", Model{ByObserver: true, Covariates: []int{0, 1}}},
		{"two", "one chance for all + size + ground", Model{Covariates: []int{0, 1}}},
		{"three", "by observer", Model{ByObserver: true}},
		{"three", "by observer + size", Model{ByObserver: true, Covariates: []int{0}}},
		{"lines", "by observer + distance", Model{ByObserver: true, Covariates: []int{2}}},
		{"lines", "by observer + distance by observer", Model{ByObserver: true, Covariates: []int{2}, Apart: true}},
	} {
		d, want := finds(t, c.name), answers(t, c.name, c.model)
		f, err := d.Fit(c.m, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		what := c.name + ", " + c.model + ": "
		if f.Name != c.model {
			t.Errorf("%sis called %s", what, f.Name)
		}
		number := func(name string) float64 { return want[name].Number(t, "value") }
		statstest.Relative(t, what+"loglik", f.LogLik, number("loglik"), 1e-10)
		statstest.Near(t, what+"AIC", f.AIC, 2*float64(len(f.Parameters))-2*number("loglik"), 1e-7)
		s := f.Sight(nil)
		statstest.Relative(t, what+"present", s.Present.Value, number("present"), 1e-8)
		statstest.Relative(t, what+"its SE", s.Present.SE, number("present_se"), 1e-5)
		beta, se := want["beta"].Numbers(t, "value"), want["se"].Numbers(t, "value")
		for k, p := range f.Parameters { // R's are not centred and scaled
			if col := f.design.columns[k]; col.covariate >= 0 && col.level < 0 {
				sd := f.design.sd[col.covariate]
				statstest.Near(t, what+p.Name, p.Value/sd, beta[k], 1e-8)
				statstest.Relative(t, what+"SE of "+p.Name, p.SE/sd, se[k], 1e-5)
			}
		}
		if slices.Contains(c.m.Covariates, 2) {
			on := f.OnLine(2)
			statstest.Relative(t, what+"on the line", on.Value, number("on_line"), 1e-8)
			statstest.Relative(t, what+"its SE", on.SE, number("on_line_se"), 1e-5)
		}
	}
}

// TestGLM: of two observers without covariates the logit of one's chance is that
// of a logistic regression of his sight on the other's finds, by R's glm; so its
// standard error, and the chance is both over the other's.
func TestGLM(t *testing.T) {
	d := finds(t, "two")
	f, err := d.Fit(Model{ByObserver: true}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	s := f.Sight(nil)
	for j, name := range []string{"glm1", "glm2"} {
		want := answers(t, "two", name)
		statstest.Near(t, "logit", f.Parameters[j].Value, want["beta"].Number(t, "value"), 1e-9)
		statstest.Relative(t, "its SE", f.Parameters[j].SE, want["se"].Number(t, "value"), 1e-6)
		statstest.Near(t, "chance", s.Observers[j].Value, s.Both/s.Seen[1-j], 1e-9)
	}
	statstest.Near(t, "together", s.Together.Value, 1-(1-s.Observers[0].Value)*(1-s.Observers[1].Value), 1e-9)
}

// TestChapman: trout of Dahl (1917) as Seber (1982, section 3.1) has them, 337, and hares of
// Krebs (1999, chapter 2), 2383; the variances are Seber's formula, worked out
// by hand. The counts are from memory, and give the printed figures.
func TestChapman(t *testing.T) {
	for _, c := range []struct{ n1, n2, m, want, se float64 }{
		{109, 177, 57, 336.5862068966, 24.81102},
		{948, 421, 167, 2382.797619048, 129.0562593},
	} {
		e := Chapman(c.n1, c.n2, c.m, 0.95)
		statstest.Near(t, "N", e.Value, c.want, 1e-6)
		statstest.Relative(t, "SE", e.SE, c.se, 1e-7)
		if !(e.Lower > c.n1+c.n2-c.m && e.Lower < e.Value && e.Upper > e.Value) || len(e.Warnings) > 0 {
			t.Errorf("%+v", e)
		}
	}
}

// TestTransformedLogit by hand: 9, 4 and 3 seen by both, the first alone and the
// second alone; r = 4.5 * 3.5 / 9.5 = 1.657895, s^2 = 1/9.5 + 1/4.5 + 1/3.5 + 9.5/15.75.
func TestTransformedLogit(t *testing.T) {
	i := transformedLogit(4, 3, 9, 0.95)
	r := 4.5 * 3.5 / 9.5
	s := math.Sqrt(1/9.5 + 1/4.5 + 1/3.5 + 9.5/15.75)
	statstest.Near(t, "lower", i.Lower, 15.5+r*math.Exp(-1.959963984540054*s), 1e-9)
	statstest.Near(t, "upper", i.Upper, 15.5+r*math.Exp(1.959963984540054*s), 1e-9)
}
