package regress

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"ashtally/stats/regress/terms"
	"ashtally/stats/statstest"
)

const reference = "../../testdata/reference/"

// answers are what R says: case, quantity and name to the value.
type answers map[[3]string]float64

func expected(t *testing.T) answers {
	t.Helper()
	a := answers{}
	for _, row := range statstest.Table(t, reference+"regress_expected.csv") {
		if v := row["value"]; v != "NA" {
			a[[3]string{row["case"], row["quantity"], row["name"]}] = row.Number(t, "value")
		}
	}
	return a
}

// factorOf reads a column as a factor; levels in the order given, or as they
// appear.
func factorOf(rows []statstest.Row, name string, levels ...string) terms.Factor {
	f := terms.Factor{Name: name, Levels: levels}
	at := map[string]int{}
	for i, l := range levels {
		at[l] = i
	}
	for _, r := range rows {
		i, ok := at[r[name]]
		if !ok {
			i = len(f.Levels)
			at[r[name]] = i
			f.Levels = append(f.Levels, r[name])
		}
		f.Of = append(f.Of, i)
	}
	return f
}

func numberOf(t *testing.T, rows []statstest.Row, name string) terms.Number {
	n := terms.Number{Name: name}
	for _, r := range rows {
		n.Of = append(n.Of, r.Number(t, name))
	}
	return n
}

func sampleOf(t *testing.T, rows []statstest.Row, count, area string, factors []terms.Factor, numbers ...terms.Number) Sample {
	s := Sample{Frame: terms.Frame{Rows: len(rows), Factors: factors, Numbers: numbers}}
	s.Count = numberOf(t, rows, count).Of
	for _, r := range rows {
		a := 1.0
		if area != "" {
			a = r.Number(t, area)
		}
		s.Exposure = append(s.Exposure, a)
	}
	return s
}

// modulo numbers clusters as R's rep(1:n, length.out = ...).
func modulo(rows, n int) []int {
	of := make([]int, rows)
	for i := range of {
		of[i] = i % n
	}
	return of
}

func clustersOf(t *testing.T, rows []statstest.Row, name string) []int {
	var of []int
	for _, r := range rows {
		of = append(of, int(r.Number(t, name)))
	}
	return of
}

// example is a data set with its model, as regress.R has it. names gives R's
// names of the coefficients in the order of the columns.
type example struct {
	name   string
	fit    Fitter
	model  terms.Model
	names  string
	sample func(t *testing.T) Sample
}

func quine(t *testing.T) Sample {
	rows := statstest.Table(t, reference+"regress_quine.csv")
	s := sampleOf(t, rows, "Days", "", []terms.Factor{factorOf(rows, "Eth", "A", "N"), factorOf(rows, "Sex", "F", "M"), factorOf(rows, "Age", "F0", "F1", "F2", "F3"), factorOf(rows, "Lrn", "AL", "SL")})
	s.Cluster = modulo(len(rows), 16)
	return s
}

func warpbreaks(t *testing.T) Sample {
	rows := statstest.Table(t, reference+"regress_warpbreaks.csv")
	s := sampleOf(t, rows, "breaks", "", []terms.Factor{factorOf(rows, "wool", "A", "B"), factorOf(rows, "tension", "L", "M", "H")})
	s.Cluster = modulo(len(rows), 9)
	return s
}

func insects(t *testing.T) Sample {
	rows := statstest.Table(t, reference+"regress_insectsprays.csv")
	s := sampleOf(t, rows, "count", "", []terms.Factor{factorOf(rows, "spray")})
	s.Cluster = modulo(len(rows), 12)
	return s
}

func epil(t *testing.T) Sample {
	rows := statstest.Table(t, reference+"regress_epil.csv")
	s := sampleOf(t, rows, "y", "", []terms.Factor{factorOf(rows, "trt", "placebo", "progabide")}, numberOf(t, rows, "lbase"), numberOf(t, rows, "lage"), numberOf(t, rows, "V4"))
	s.Cluster = clustersOf(t, rows, "subject")
	return s
}

func dobson(*testing.T) Sample {
	return Sample{
		Count: []float64{18, 17, 15, 20, 10, 20, 25, 13, 12}, Exposure: []float64{1, 1, 1, 1, 1, 1, 1, 1, 1},
		Frame: terms.Frame{Rows: 9, Factors: []terms.Factor{
			{Name: "outcome", Levels: []string{"1", "2", "3"}, Of: []int{0, 1, 2, 0, 1, 2, 0, 1, 2}},
			{Name: "treatment", Levels: []string{"1", "2", "3"}, Of: []int{0, 0, 0, 1, 1, 1, 2, 2, 2}},
		}},
	}
}

func sitesSurvey(t *testing.T) Sample {
	rows := statstest.Table(t, reference+"regress_units.csv")
	s := sampleOf(t, rows, "count", "area", []terms.Factor{factorOf(rows, "mode", "saprotrophic", "host-associated"), factorOf(rows, "tree", "birch", "fir", "pine"), factorOf(rows, "years", "1", "2", "4")})
	s.Cluster = clustersOf(t, rows, "site")
	return s
}

func flat(t *testing.T) Sample {
	rows := statstest.Table(t, reference+"regress_flat.csv")
	s := sampleOf(t, rows, "count", "", []terms.Factor{factorOf(rows, "years", "1", "4")})
	s.Cluster = clustersOf(t, rows, "site")
	return s
}

var examples = []example{
	{"quine", NegativeBinomial, terms.Model{{"Eth"}, {"Sex"}, {"Age"}, {"Lrn"}}, "(Intercept) EthN SexM AgeF1 AgeF2 AgeF3 LrnSL", quine},
	{"warpbreaks", Poisson, terms.Model{{"wool"}, {"tension"}}, "(Intercept) woolB tensionM tensionH", warpbreaks},
	{"warpbreaks crossed", Poisson, terms.Model{{"wool"}, {"tension"}, {"wool", "tension"}}, "(Intercept) woolB tensionM tensionH woolB:tensionM woolB:tensionH", warpbreaks},
	{"insectsprays", Poisson, terms.Model{{"spray"}}, "(Intercept) sprayB sprayC sprayD sprayE sprayF", insects},
	{"epil", Poisson, terms.Model{{"lbase"}, {"trt"}, {"lage"}, {"V4"}, {"lbase", "trt"}}, "(Intercept) lbase trtprogabide lage V4 lbase:trtprogabide", epil},
	{"epil nb", NegativeBinomial, terms.Model{{"lbase"}, {"trt"}, {"lage"}, {"V4"}, {"lbase", "trt"}}, "(Intercept) lbase trtprogabide lage V4 lbase:trtprogabide", epil},
	{"dobson", Poisson, terms.Model{{"outcome"}, {"treatment"}}, "(Intercept) outcome2 outcome3 treatment2 treatment3", dobson},
	{"units", NegativeBinomial, terms.Model{{"mode"}, {"tree"}, {"years"}, {"mode", "tree"}}, "(Intercept) modehost-associated treefir treepine years2 years4 modehost-associated:treefir modehost-associated:treepine", sitesSurvey},
	{"flat", Poisson, terms.Model{{"years"}}, "(Intercept) years4", flat},
}

// digits are those to which R's own searches end, at a relative 1e-14 of the
// deviance: about 1e-7 of a standard error.
const digits = 1e-6

// TestReference holds fits to R: glm, MASS::glm.nb, sandwich::vcovCL and
// clubSandwich (see testdata/reference/regress.R).
func TestReference(t *testing.T) {
	want := expected(t)
	for _, e := range examples {
		t.Run(e.name, func(t *testing.T) {
			f, err := e.fit(e.sample(t), e.model)
			if err != nil {
				t.Fatal(err)
			}
			near := func(quantity, name string, got float64) {
				t.Helper()
				if v, ok := want[[3]string{e.name, quantity, name}]; ok {
					statstest.Close(t, quantity+" "+name, got, v, digits)
				} else if quantity == "coef" {
					t.Errorf("R says nothing of %s %s", quantity, name)
				}
			}
			near("logLik", "", f.LogLik)
			near("deviance", "", f.Deviance)
			near("aic", "", f.AIC)
			near("theta", "", f.K)
			if !math.IsInf(f.K, 1) {
				near("theta se", "", f.K/math.Sqrt(f.derivatives.curvature)) // the mean taken as known, as there
			}
			covariances := map[string]*Covariance{"se": f.Covariance(KnownK, 0.95), "CR1": f.Covariance(CR1, 0.95), "CR2": f.Covariance(CR2, 0.95)}
			covariances["CR2"].uncapped = true
			for j, name := range strings.Fields(e.names) {
				c := make([]float64, f.design.Columns)
				c[j] = 1
				near("coef", name, covariances["se"].Effect(c).Log)
				near("se", name, covariances["se"].Effect(c).SELog)
				near("sandwich", name, covariances["CR1"].Effect(c).SELog)
				near("CR1", name, covariances["CR1"].Effect(c).SELog)
				near("CR2", name, covariances["CR2"].Effect(c).SELog)
				near("df", name, covariances["CR2"].Effect(c).DF)
			}
		})
	}
}

// TestQuine: Venables & Ripley (2002), Modern Applied Statistics with S, p. 211
// and the help page of glm.nb, whose nested model has theta 1.598 (se 0.213)
// and twice the log-likelihood -1063.025.
func TestQuine(t *testing.T) {
	f, err := NegativeBinomial(quine(t), terms.Model{{"Sex"}, {"Sex", "Age"}, {"Sex", "Eth"}, {"Sex", "Lrn"}, {"Sex", "Eth", "Lrn"}})
	if err != nil {
		t.Fatal(err)
	}
	want := expected(t)
	at := func(quantity string) float64 { return want[[3]string{"quine nested", quantity, ""}] }
	statstest.Near(t, "theta", f.K, 1.59799073316, 1e-6)
	statstest.Near(t, "twice the log-likelihood", 2*f.LogLik, -1063.02502242, 1e-6)
	statstest.Near(t, "theta", f.K, at("theta"), 1e-6)
	statstest.Near(t, "deviance", f.Deviance, at("deviance"), 1e-6)
	// R takes the information of its last step but one, which ends at 1e-4.
	statstest.Near(t, "theta se", f.K/math.Sqrt(f.derivatives.curvature), at("theta se"), 1e-5)
	c := f.Covariance(KnownK, 0.95)
	for j, column := range f.design.Of {
		// R's name of the column: SexF:AgeF1 and so on.
		var parts []string
		for _, p := range column.Parts {
			parts = append(parts, p.Variable+p.Level)
		}
		name := strings.Join(parts, ":")
		if name == "" {
			name = "(Intercept)"
		}
		combination := make([]float64, f.design.Columns)
		combination[j] = 1
		e := c.Effect(combination)
		v, ok := want[[3]string{"quine nested", "coef", name}]
		if !ok { // SexF:AgeF3:... that no pupil has: R prints NA
			if !math.IsNaN(e.Log) {
				t.Logf("%s is %v here", name, e.Log)
			}
			continue
		}
		statstest.Near(t, name, e.Log, v, 1e-6)
		statstest.Near(t, "se of "+name, e.SELog, want[[3]string{"quine nested", "se", name}], 1e-6)
	}
}

// TestWald holds the joint tests to clubSandwich::Wald_test, "HTZ", of the
// working linear model, and the likelihood ratios to those of glm.nb.
func TestWald(t *testing.T) {
	want := expected(t)
	for _, c := range []struct {
		name, term string
		under      terms.Model
		of         terms.Term
	}{
		{"quine", "Age", examples[0].model, terms.Term{"Age"}},
		{"warpbreaks", "tension", examples[1].model, terms.Term{"tension"}},
		{"insectsprays", "spray", examples[3].model, terms.Term{"spray"}},
		{"units", "years", examples[7].model, terms.Term{"years"}},
		{"units", "mode:tree", examples[7].model, terms.Term{"mode", "tree"}},
	} {
		var e example
		for _, x := range examples {
			if x.name == c.name {
				e = x
			}
		}
		s := e.sample(t)
		full, err := e.fit(s, c.under)
		if err != nil {
			t.Fatal(err)
		}
		less, err := e.fit(s, c.under.Without(c.of))
		if err != nil {
			t.Fatal(err)
		}
		v := full.Covariance(CR2, 0.95)
		v.uncapped = true
		test := v.waldTest(less)
		at := func(quantity string) float64 { return want[[3]string{c.name, quantity, c.term}] }
		statstest.Close(t, c.name+" "+c.term+" F", test.F, at("HTZ F"), digits)
		statstest.Close(t, c.name+" "+c.term+" df", test.DenDF, at("HTZ df"), digits)
		statstest.Close(t, c.name+" "+c.term+" p", test.P, at("HTZ p"), digits)
		if lr, ok := want[[3]string{c.name, "LR", c.term}]; ok {
			statstest.Close(t, c.name+" "+c.term+" LR", test.LR, lr, digits)
		}
	}
	// A main effect is tested where nothing holds it whole.
	tests, err := Compare(sitesSurvey(t), examples[7].model, NegativeBinomial, CR2, SignFlips{})
	if err != nil {
		t.Fatal(err)
	}
	for i, df := range []int{1, 2, 2, 2} {
		if tests[i].DF != df || math.IsNaN(tests[i].P) || math.IsNaN(tests[i].LRP) {
			t.Errorf("%v: %+v", tests[i].Term, tests[i])
		}
	}
}

// TestFlat: where the mean is the same within each cluster, the root taken
// here and clubSandwich's for generalised linear models are the same.
func TestFlat(t *testing.T) {
	want := expected(t)
	f, err := Poisson(flat(t), terms.Model{{"years"}})
	if err != nil {
		t.Fatal(err)
	}
	c := f.Covariance(CR2, 0.95)
	statstest.Close(t, "constant", c.Effect([]float64{1, 0}).SELog, want[[3]string{"flat", "CR2glm", "(Intercept)"}], digits)
	statstest.Close(t, "years", c.Effect([]float64{0, 1}).SELog, want[[3]string{"flat", "CR2glm", "years4"}], digits)
}

// TestPublished: the coefficients that are in print. Dobson (1990), An
// Introduction to Generalized Linear Models, by way of R's ?glm: 3.045, -0.454,
// -0.293, 0, 0. Venables & Ripley (2002), section 7.3, the epilepsy counts:
// 1.898, 0.949, -0.346, 0.888, -0.160, 0.562 with deviance 869.07. Warpbreaks by
// ?warpbreaks' Poisson model: deviance 210.39 on 50 degrees of freedom.
func TestPublished(t *testing.T) {
	for name, want := range map[string][]float64{
		"dobson": {3.045, -0.454, -0.293, 0, 0}, "epil": {1.898, 0.949, -0.346, 0.888, -0.160, 0.562},
	} {
		for _, e := range examples {
			if e.name != name {
				continue
			}
			f, err := e.fit(e.sample(t), e.model)
			if err != nil {
				t.Fatal(err)
			}
			c := f.Covariance(KnownK, 0.95)
			for j, v := range want {
				combination := make([]float64, len(want))
				combination[j] = 1
				statstest.Near(t, name+" "+strconv.Itoa(j), c.Effect(combination).Log, v, 0.0006)
			}
		}
	}
	f, _ := Poisson(warpbreaks(t), examples[1].model)
	statstest.Near(t, "warpbreaks deviance", f.Deviance, 210.39, 0.005)
}
