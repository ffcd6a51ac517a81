package negbin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/statstest"
)

// references are the rows of a table in testdata/reference, made by the R script
// density_negbin.R beside it, with their counts.
func references(t *testing.T, table string) []reference {
	t.Helper()
	var all []reference
	for _, row := range statstest.Table(t, "../../testdata/reference/"+table) {
		all = append(all, reference{row, New(row.Numbers(t, "y"), row.Numbers(t, "a"))})
	}
	return all
}

type reference struct {
	statstest.Row
	data *Data
}

// TestAgainstR holds fit and limits against MASS::glm.nb and R's dnbinom. The
// R script's optimisers stop at about 1e-7 on the log scale.
func TestAgainstR(t *testing.T) {
	for _, r := range references(t, "density_negbin.csv") {
		t.Run(r.Row["case"], func(t *testing.T) {
			d := r.data
			fit := d.Fit()
			statstest.Relative(t, "mean", fit.Mean, r.Number(t, "mean"), 1e-6)
			statstest.Relative(t, "k", fit.K, r.Number(t, "glmnb_theta"), 1e-6)
			statstest.Relative(t, "log-likelihood", fit.LogLik, r.Number(t, "loglik"), 1e-10)
			statstest.Relative(t, "log-likelihood by glm.nb", 2*fit.LogLik, r.Number(t, "glmnb_twologlik"), 1e-9)
			const drop = 3.84145882069412 / 2 // qchisq(.95, 1) / 2
			lower, upper := d.MeanLimits(drop)
			statstest.Relative(t, "lower mean", lower, r.Number(t, "mean_lower"), 1e-6)
			statstest.Relative(t, "upper mean", upper, r.Number(t, "mean_upper"), 1e-6)
			lower, upper = d.KLimits(drop)
			statstest.Relative(t, "lower k", lower, r.Number(t, "k_lower"), 1e-6)
			statstest.Relative(t, "upper k", upper, r.Number(t, "k_upper"), 1e-6)
		})
	}
}

// TestMites checks the red mites of Bliss & Fisher (1953), Biometrics 9:
// 176-200; k from memory of the paper (1.0246), its further digits and the
// standard error recomputed in R.
func TestMites(t *testing.T) {
	fit := New(mites(), nil).Fit()
	statstest.Close(t, "k", fit.K, 1.024592, 1e-6)
	statstest.Close(t, "mean", fit.Mean, 172.0/150, 1e-12)
	statstest.Close(t, "log-likelihood", fit.LogLik, -222.4371536, 1e-7)
	statstest.Close(t, "SE(k)", fit.SELogK*fit.K, 0.2759071, 1e-6)
	// Anscombe (1950): var(log mean) = (1/mean + 1/k) / n.
	statstest.Close(t, "SE(log mean)", fit.SELogMean, math.Sqrt((1/fit.Mean+1/fit.K)/150), 1e-9)
}

func mites() []float64 {
	var y []float64
	for count, n := range []int{70, 38, 17, 10, 9, 3, 2, 1} {
		for range n {
			y = append(y, float64(count))
		}
	}
	return y
}

// TestDiscoveries checks glm.nb(discoveries ~ 1): theta 5.459714069, standard
// error 2.184513375, 2 log L -421.588809788 (R 4.2.2, MASS 7.3-58.2).
func TestDiscoveries(t *testing.T) {
	for _, r := range references(t, "density_negbin.csv") {
		if r.Row["case"] != "discoveries" {
			continue
		}
		fit := r.data.Fit()
		statstest.Relative(t, "theta", fit.K, 5.459714069, 1e-9)
		statstest.Relative(t, "SE(theta)", fit.SELogK*fit.K, 2.184513375, 1e-6)
		statstest.Relative(t, "2 log L", 2*fit.LogLik, -421.588809788, 1e-11)
		return
	}
	t.Fatal("no reference row for discoveries")
}

func TestBoundaries(t *testing.T) {
	t.Run("underdispersed counts are Poisson", func(t *testing.T) {
		d := New([]float64{2, 3, 2, 3, 2, 3}, nil)
		fit := d.Fit()
		if !math.IsInf(fit.K, 1) || !math.IsNaN(fit.SELogK) {
			t.Errorf("k %v, SE %v, want +Inf and NaN", fit.K, fit.SELogK)
		}
		var want float64
		for _, y := range []float64{2, 3, 2, 3, 2, 3} {
			want += distuv.Poisson{Lambda: 2.5}.LogProb(y)
		}
		statstest.Close(t, "log-likelihood", fit.LogLik, want, 1e-12)
		statstest.Close(t, "SE(log mean)", fit.SELogMean, 1/math.Sqrt(15), 1e-12)
		if lower, upper := d.KLimits(1.92); !(lower > 1) || !math.IsInf(upper, 1) {
			t.Errorf("limits of k %v to %v", lower, upper)
		}
		lower, upper := d.MeanLimits(1.92)
		if !(lower < 2.5 && upper > 2.5 && lower > 1 && upper < 5) {
			t.Errorf("limits of the mean %v to %v", lower, upper)
		}
	})
	t.Run("all zeros", func(t *testing.T) {
		d := New([]float64{0, 0, 0}, []float64{1, 2, 3})
		fit := d.Fit()
		if fit.Mean != 0 || !math.IsNaN(fit.K) || fit.LogLik != 0 {
			t.Errorf("fit %+v", fit)
		}
		if lower, upper := d.MeanLimits(1.92); lower != 0 || !math.IsInf(upper, 1) {
			t.Errorf("limits of the mean %v to %v", lower, upper)
		}
		if l := d.LogLik(0, 1); l != 0 {
			t.Errorf("log-likelihood at 0 is %v", l)
		}
	})
	t.Run("one find", func(t *testing.T) {
		d := New([]float64{0, 0, 0, 0, 1}, nil)
		if fit := d.Fit(); !math.IsInf(fit.K, 1) {
			t.Errorf("k = %v, want +Inf: a single find shows no clumping", fit.K)
		}
		lower, upper := d.MeanLimits(1.92)
		if !(lower > 0 && upper > 1 && !math.IsInf(upper, 1)) {
			t.Errorf("limits %v to %v", lower, upper)
		}
	})
	t.Run("mean 0 with finds", func(t *testing.T) {
		if l := New([]float64{1}, nil).LogLik(0, 1); !math.IsInf(l, -1) {
			t.Errorf("log-likelihood %v, want -Inf", l)
		}
	})
}

func TestMisusePanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"no counts":         func() { New(nil, nil) },
		"lengths":           func() { New([]float64{1, 2}, []float64{1}) },
		"negative count":    func() { New([]float64{-1}, nil) },
		"fractional count":  func() { New([]float64{0.5}, nil) },
		"NaN count":         func() { New([]float64{math.NaN()}, nil) },
		"zero exposure":     func() { New([]float64{1}, []float64{0}) },
		"infinite exposure": func() { New([]float64{1}, []float64{math.Inf(1)}) },
		"no drop":           func() { New([]float64{1}, nil).MeanLimits(0) },
	})
}

// TestLikelihoodIsThatOfTheDefinition compares with the textbook formula by
// log Gammas, over small, large and unequal cases.
func TestLikelihoodIsThatOfTheDefinition(t *testing.T) {
	src := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		y, a := draw(src)
		d := New(y, a)
		m, k := math.Exp(src.NormFloat64()), math.Exp(2*src.NormFloat64())
		var want float64
		for i := range y {
			mu := m * a[i]
			g1, _ := math.Lgamma(y[i] + k)
			g2, _ := math.Lgamma(k)
			g3, _ := math.Lgamma(y[i] + 1)
			want += g1 - g2 - g3 + y[i]*math.Log(mu/(mu+k)) + k*math.Log(k/(mu+k))
		}
		statstest.Close(t, "log-likelihood", d.LogLik(m, k), want, 1e-10)
	}
}

// draw makes counts of very different size on exposures of three sizes.
func draw(src *rand.Rand) (y, a []float64) {
	size := math.Exp(1.5 * src.NormFloat64())
	for range 3 + src.IntN(20) {
		area := float64(1+src.IntN(3)) / 2
		rate := size * area * src.ExpFloat64() * src.ExpFloat64()
		a = append(a, area)
		y = append(y, distuv.Poisson{Lambda: rate + 1e-9, Src: src}.Rand())
	}
	if src.IntN(3) == 0 {
		y[0] = float64(50 + src.IntN(3000))
	}
	return y, a
}

// TestScoreAndInformationAreDerivatives compares with central differences of
// the log-likelihood.
func TestScoreAndInformationAreDerivatives(t *testing.T) {
	src := rand.New(rand.NewPCG(2, 1))
	const h = 1e-4
	for range 200 {
		y, a := draw(src)
		d := New(y, a)
		lm, lk := src.NormFloat64(), 2*src.NormFloat64()
		at := func(i, j float64) float64 { return d.LogLik(math.Exp(lm+i*h), math.Exp(lk+j*h)) }
		byMean, byK := d.Score(math.Exp(lm), math.Exp(lk))
		scale := math.Abs(at(0, 0)) + d.Total()
		statstest.Close(t, "score of log m", byMean, (at(1, 0)-at(-1, 0))/(2*h), 1e-8*scale)
		statstest.Close(t, "score of log k", byK, (at(0, 1)-at(0, -1))/(2*h), 1e-8*scale)
		score := func(i, j float64) (float64, float64) { return d.Score(math.Exp(lm+i*h), math.Exp(lk+j*h)) }
		mm1, mk1 := score(1, 0)
		mm0, mk0 := score(-1, 0)
		_, kk1 := score(0, 1)
		_, kk0 := score(0, -1)
		info := d.Information(math.Exp(lm), math.Exp(lk))
		statstest.Close(t, "information of log m", info.Mean, -(mm1-mm0)/(2*h), 1e-6*scale)
		statstest.Close(t, "cross information", info.Cross, -(mk1-mk0)/(2*h), 1e-6*scale)
		statstest.Close(t, "information of log k", info.K, -(kk1-kk0)/(2*h), 1e-6*scale)
	}
}
