package selection

import (
	"math"
	"testing"

	"ashtally/stats/statstest"
)

// Neu, Byers & Peek (1974), Journal of Wildlife Management 38: 541-545: moose
// in and about the Little Sioux burn. The expected shares are the paper's; the
// counts are as commonly reprinted (from memory).
var (
	mooseSeen  = []float64{25, 22, 30, 40}
	mooseShare = []float64{0.340, 0.101, 0.104, 0.455}
)

func TestMooseAndBurn(t *testing.T) {
	r := Known(mooseSeen, mooseShare, 0.95)
	// Published chi-square about 43.7 (from memory); the digits are arithmetic on
	// the counts, as are all below.
	statstest.Near(t, "chi-square", r.Test.ChiSquare, 43.68926643, 1e-7)
	statstest.Near(t, "G", r.Test.G, 35.39806187, 1e-7)
	statstest.Near(t, "df", r.Test.DF, 3, 0)
	statstest.Relative(t, "p", r.Test.ChiSquareP, 1.756886e-09, 1e-6)
	// Published limits of the shares: .119-.309, .098-.278, .156-.357, .232-.452;
	// B .110 .326 .432 .131 (from memory).
	lower := []float64{0.11902396, 0.09780738, 0.15558190, 0.23234916}
	upper := []float64{0.30832646, 0.27826099, 0.35723861, 0.45141153}
	w := []float64{0.6284565108, 1.861724634, 2.465483235, 0.7513853668}
	se := []float64{0.1114567072, 0.3576621449, 0.3881576249, 0.0963796106}
	b := []float64{0.1101193329, 0.3262148950, 0.4320066136, 0.1316591584}
	for i, c := range r.Classes {
		statstest.Near(t, "share", c.Used.Value, mooseSeen[i]/117, 1e-12)
		statstest.Near(t, "lower limit of the share", c.Used.Lower, lower[i], 5e-9)
		statstest.Near(t, "upper limit of the share", c.Used.Upper, upper[i], 5e-9)
		statstest.Near(t, "w", c.Ratio.Value, w[i], 1e-9)
		statstest.Near(t, "se of w", c.Ratio.SE, se[i], 1e-9)
		statstest.Near(t, "lower limit of w", c.Ratio.Lower, lower[i]/mooseShare[i], 1e-7)
		statstest.Near(t, "upper limit of w", c.Ratio.Upper, upper[i]/mooseShare[i], 1e-7)
		statstest.Near(t, "B", c.Standardised, b[i], 1e-9)
	}
}

// TestMoose90: the same at 90 %, z = qnorm(1 - 0.1/8) = 2.241402728.
func TestMoose90(t *testing.T) {
	r := Known(mooseSeen, mooseShare, 0.90)
	statstest.Near(t, "lower", r.Classes[0].Used.Lower, 0.12873663, 5e-9)
	statstest.Near(t, "upper", r.Classes[3].Used.Upper, 0.44017195, 5e-9)
}

func TestKnownDegenerate(t *testing.T) {
	for name, tt := range map[string]struct {
		used, share []float64
		code        string
	}{
		"no finds":        {[]float64{0, 0}, []float64{0.4, 0.6}, "no-finds"},
		"nothing offered": {[]float64{3, 4}, []float64{0, 0}, "nothing-available"},
		"one class":       {[]float64{3}, []float64{1}, "one-class"},
	} {
		t.Run(name, func(t *testing.T) {
			r := Known(tt.used, tt.share, 0.95)
			if len(r.Warnings) != 1 || r.Warnings[0].Code != tt.code || !math.IsNaN(r.Classes[0].Ratio.Value) {
				t.Errorf("%+v", r)
			}
		})
	}
	r := Known([]float64{0, 12, 0}, []float64{0.5, 0.5, 0}, 0.95)
	if c := r.Classes[0]; c.Ratio.Value != 0 || c.Ratio.Lower != 0 || c.Ratio.Warnings[0].Code != "not-used" {
		t.Errorf("a class not used: %+v", c)
	}
	// qbeta(1 - 0.05/6, 1, 12) = 1 - (0.05/6)^(1/12), twice over as the share is a half
	statstest.Near(t, "upper limit", r.Classes[0].Ratio.Upper, 2*(1-math.Pow(0.05/6, 1.0/12)), 1e-9)
	if c := r.Classes[1]; c.Ratio.Value != 2 || c.Ratio.Upper != 2 || c.Ratio.Warnings[0].Code != "alone-used" {
		t.Errorf("a class alone used: %+v", c)
	}
	if c := r.Classes[2]; !math.IsNaN(c.Ratio.Value) || c.Ratio.Warnings[0].Code != "not-available" {
		t.Errorf("a class not available: %+v", c)
	}
	if gone := Known([]float64{3, 4, 1}, []float64{0.5, 0.5, 0}, 0.95); !math.IsNaN(gone.Test.ChiSquare) || math.IsInf(gone.Classes[2].Ratio.Value, 0) {
		t.Errorf("use of what is not available: %+v", gone)
	}
}

func TestMisuse(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"length":     func() { Known([]float64{1}, []float64{1, 2}, 0.95) },
		"negative":   func() { Known([]float64{-1}, []float64{1}, 0.95) },
		"confidence": func() { Known([]float64{1}, []float64{1}, 1) },
		"units": func() {
			Estimated(Sample{Used: [][]float64{{1}}, Available: [][]float64{{1, 2}}}, 0.95)
		},
		"classes": func() { Estimated(Sample{Used: [][]float64{{1}}}, 0.95) },
		"own":     func() { Within(Sample{Used: [][]float64{{}}, Share: []float64{1}}, 0.95) },
	})
}
