package detect

import (
	"math"
	"strings"
	"testing"
)

// referenceCases ties the cases of detect_fits.csv to samples and models.
func referenceCases(t *testing.T) map[string]struct {
	Data
	Model
} {
	type c = struct {
		Data
		Model
	}
	x := stakes(t)
	at := func(w float64) Data { return Data{Distance: x, Right: w} }
	left := Data{Distance: x, Left: 2, Right: 20}
	grouped := at(0)
	grouped.Bins = []Bin{{0, 2.5}, {2.5, 5}, {5, 7.5}, {7.5, 10}, {10, 15}, {15, 20}}
	grouped.Distance = upTo(x, 20)
	sim := invented(t)
	sim.Right = 18
	simGrouped := sim
	simGrouped.Right = 0
	simGrouped.Bins = []Bin{{0, 2}, {2, 4}, {4, 7}, {7, 11}, {11, 18}}
	simGrouped.Distance, simGrouped.Covariates = upTo(sim.Distance, 18), pickAll(sim, 18)
	free := func(k Key, s Series, n int) Model { return Model{Key: k, Series: s, Terms: n, FreeShape: true} }
	hn, hr := Model{Key: HalfNormal}, Model{Key: HazardRate}
	with := func(m Model, names ...string) Model { m.Covariates = names; return m }
	return map[string]c{
		"half-normal 15":    {at(15), hn},
		"hazard-rate 15":    {at(15), hr},
		"half-normal 20":    {at(20), hn},
		"hazard-rate 20":    {at(20), hr},
		"half-normal 31.31": {at(31.31), hn},
		"hazard-rate 31.31": {at(31.31), hr},

		"uniform cosine 1":         {at(20), free(Uniform, Cosine, 1)},
		"uniform cosine 2":         {at(20), free(Uniform, Cosine, 2)},
		"uniform cosine 3":         {at(20), free(Uniform, Cosine, 3)},
		"uniform polynomial 2":     {at(20), free(Uniform, Polynomial, 2)},
		"half-normal cosine 1":     {at(20), free(HalfNormal, Cosine, 1)},
		"half-normal cosine 2":     {at(20), free(HalfNormal, Cosine, 2)},
		"half-normal hermite 1":    {at(20), free(HalfNormal, Hermite, 1)},
		"half-normal polynomial 1": {at(20), free(HalfNormal, Polynomial, 1)},
		"hazard-rate cosine 1":     {at(20), free(HazardRate, Cosine, 1)},
		"uniform cosine 2 held":    {at(20), Model{Key: Uniform, Series: Cosine, Terms: 2}},
		"uniform cosine 3 held":    {at(20), Model{Key: Uniform, Series: Cosine, Terms: 3}},

		"half-normal left 2":       {left, hn},
		"hazard-rate left 2":       {left, hr},
		"half-normal grouped":      {grouped, hn},
		"hazard-rate grouped":      {grouped, hr},
		"uniform cosine 1 grouped": {grouped, free(Uniform, Cosine, 1)},

		"sim half-normal observer":         {sim, with(hn, "observer")},
		"sim half-normal cover":            {sim, with(hn, "cover")},
		"sim half-normal observer cover":   {sim, with(hn, "observer", "cover")},
		"sim hazard-rate observer":         {sim, with(hr, "observer")},
		"sim half-normal observer grouped": {simGrouped, with(hn, "observer")},
	}
}

func upTo(x []float64, w float64) []float64 {
	var kept []float64
	for _, v := range x {
		if v <= w {
			kept = append(kept, v)
		}
	}
	return kept
}

func pickAll(d Data, w float64) []Covariate {
	var rows []int
	for i, v := range d.Distance {
		if v <= w {
			rows = append(rows, i)
		}
	}
	var out []Covariate
	for _, c := range d.Covariates {
		out = append(out, c.pick(rows))
	}
	return out
}

// TestAgainstR: likelihoods written out anew in R and maximised by optim and
// Newton steps, integrals by integrate (testdata/reference/detect.R, R 4.2.2).
func TestAgainstR(t *testing.T) {
	cases := referenceCases(t)
	rows := readReference(t, "detect_fits.csv")
	if len(rows) != len(cases) {
		t.Errorf("%d reference rows for %d cases", len(rows), len(cases))
	}
	for _, row := range rows {
		t.Run(row[0], func(t *testing.T) {
			c, known := cases[row[0]]
			if !known {
				t.Fatal("not tied to a model")
			}
			f := mustFit(t, mustNew(t, c.Data), c.Model)
			if !f.Converged {
				t.Error(f.Status)
			}
			near(t, "n", float64(f.N), number(t, row[1]), 0)
			near(t, "log-likelihood", f.LogLik, number(t, row[2]), 1e-6)
			near(t, "half-width", f.HalfWidth.Value, number(t, row[3]), 2e-5)
			near(t, "AIC", f.AIC, 2*float64(f.likelihood.size())-2*number(t, row[2]), 2e-6)
			if se := number(t, row[4]); !math.IsNaN(se) { // none from R where the shape is held
				near(t, "se of half-width", f.HalfWidth.SE, se, 2e-6*se)
			}
			checkParameters(t, f, row[5:])
		})
	}
}

// checkParameters compares log scale, log shape and the c_j, in that order.
func checkParameters(t *testing.T, f *Fit, want []string) {
	t.Helper()
	var got []float64
	for _, p := range f.Parameters {
		switch {
		case p.Name == "scale" || p.Name == "shape":
			got = append(got, math.Log(p.Value))
		case strings.HasPrefix(p.Name, "log scale"):
			got = append(got, p.Value)
		}
	}
	if f.Model.Key == HazardRate && len(f.Model.Covariates) > 0 { // R has the shape last as well
		near(t, "shape", got[len(got)-1], number(t, want[len(got)-1]), 1e-5)
	}
	got = append(got, printed(f)...)
	for i, v := range got {
		near(t, f.Model.String(), v, number(t, want[i]), 3e-5)
	}
}

// TestStakes is the table of the stakes at L = 1000 m on two sides; 37.5 per
// ha are true. Values computed in R and, for half-normal and hazard-rate, in
// Python by unrelated programs; none is published.
func TestStakes(t *testing.T) {
	hn, hr := Model{Key: HalfNormal}, Model{Key: HazardRate}
	free := func(k Key, n int) Model { return Model{Key: k, Series: Cosine, Terms: n, FreeShape: true} }
	for _, row := range []struct {
		model                       Model
		w                           float64
		n                           int
		mu, f0, density, logLik, ic float64
		tolerance                   float64 // of the density, relative
	}{
		{hn, 15, 63, 8.024317, 0.1246212, 39.255675, -158.432066, 318.864132, 1e-6},
		{hn, 20, 67, 9.380068, 0.1066090, 35.714025, -181.357240, 364.714480, 1e-6},
		{hn, 31.31, 68, 10.263394, 0.0974336, 33.127442, -192.274129, 386.548259, 1e-6},
		{hr, 15, 63, 8.597627, 0.1163111, 36.638015, -158.425125, 320.850250, 1e-6},
		{hr, 20, 67, 9.066246, 0.1102992, 36.950245, -180.162412, 364.324824, 1e-6},
		{hr, 31.31, 68, 9.401185, 0.1063696, 36.165652, -189.157064, 382.314128, 1e-6},
		{free(Uniform, 1), 20, 67, 1 / 0.0938223930, 0.0938223930, 31.43050165, -182.320076, 366.640153, 1e-5},
		{free(Uniform, 2), 20, 67, 1 / 0.119621417, 0.119621417, 40.07317, -179.996633, 363.993266, 1e-5},
		{free(HalfNormal, 1), 20, 67, 8.251490, 0.121190, 40.598726, -180.831764, 365.663527, 1e-5},
	} {
		f := mustFit(t, mustNew(t, Data{Distance: stakes(t), Right: row.w}), row.model)
		near(t, row.model.String()+" n", float64(f.N), float64(row.n), 0)
		near(t, row.model.String()+" mu", f.HalfWidth.Value, row.mu, row.mu*row.tolerance)
		near(t, row.model.String()+" f(0)", 1/f.HalfWidth.Value, row.f0, row.f0*row.tolerance)
		near(t, row.model.String()+" density", float64(f.N)/f.HalfWidth.Value/2000*1e4, row.density, row.density*row.tolerance)
		near(t, row.model.String()+" log-likelihood", f.LogLik, row.logLik, 2e-6)
		near(t, row.model.String()+" AIC", f.AIC, row.ic, 2e-6)
	}
}

// TestHalfNormalWithoutTruncation against the closed form: sigma^2 = sum x^2 / n,
// mu = sigma sqrt(pi/2), cv = 1/sqrt(2n) = 0.0857493 (for the stakes sigma
// 8.181702146 and mu 10.254243).
func TestHalfNormalWithoutTruncation(t *testing.T) {
	x := stakes(t)
	f := mustFit(t, mustNew(t, Data{Distance: x, Right: math.Inf(1)}), Model{Key: HalfNormal})
	var squares float64
	for _, v := range x {
		squares += v * v
	}
	n := float64(len(x))
	sigma := math.Sqrt(squares / n)
	near(t, "sigma", f.Parameters[0].Value, sigma, 1e-9)
	near(t, "sigma", f.Parameters[0].Value, 8.181702146, 1e-8)
	near(t, "mu", f.HalfWidth.Value, sigma*math.Sqrt(math.Pi/2), 1e-9)
	near(t, "cv", f.HalfWidth.CV(), 1/math.Sqrt(2*n), 1e-8)
	near(t, "log-likelihood", f.LogLik, -n*math.Log(sigma*math.Sqrt(math.Pi/2))-n/2, 1e-8)
	if !math.IsNaN(f.Detected.Value) {
		t.Errorf("a share found of %g without a half-width", f.Detected.Value)
	}
}

// TestHalfNormalIntegral: sigma sqrt(pi/2) (erf(w / sigma sqrt 2) - erf(a / sigma sqrt 2)).
func TestHalfNormalIntegral(t *testing.T) {
	g := function{halfNormal{}, basis{}}
	for _, c := range []struct{ sigma, from, to float64 }{
		{0.3, 0, 1}, {0.05, 0, 1}, {0.001, 0, 1}, {2, 0, 1}, {100, 0, 1}, {0.3, 0.2, 1}, {0.1, 0.5, 1}, {0.4, 0.1, 0.15},
	} {
		p := newLocal(math.Log(c.sigma), 0)
		got := g.integral(c.from, c.to, &p, nil, new(nodes)).value
		s := c.sigma * math.Sqrt2
		want := c.sigma * math.Sqrt(math.Pi/2) * (math.Erf(c.to/s) - math.Erf(c.from/s))
		if c.from > 3*c.sigma { // a difference of numbers near 1 has no digits
			want = c.sigma * math.Sqrt(math.Pi/2) * (math.Erfc(c.from/s) - math.Erfc(c.to/s))
		}
		near(t, "integral over mu", got/want, 1, 1e-11)
	}
}

// TestHazardRateIntegral against integrate(function(x) 1-exp(-(x/s)^-b), ..., rel.tol
// = 1e-13) of R 4.2.2, pieces added up.
func TestHazardRateIntegral(t *testing.T) {
	g := function{hazardRate{}, basis{}}
	for _, c := range hazardIntegrals {
		p := newLocal(math.Log(c.scale), math.Log(c.shape))
		near(t, "integral over R's", g.integral(c.from, 1, &p, nil, new(nodes)).value/c.want, 1, 1e-10)
	}
}

var hazardIntegrals = []struct{ scale, shape, from, want float64 }{
	{0.35, 2.5, 0, 0.47354952532806},
	{0.1, 1.01, 0, 0.27548263193804},
	{0.01, 1.5, 0, 0.024789635299467},
	{0.9, 30, 0, 0.91689022698386},
	{0.3, 12, 0, 0.31666392113123},
	{5, 3, 0, 1},
	{0.3, 2, 0.1, 0.34306283507071},
	{0.05, 4, 0.3, 7.50644073537e-05},
}
