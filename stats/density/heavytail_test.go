package density

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/poissonlognormal"
)

// TestEvidenceLognormal: models with a heavy tail that are maximized have the evidence of
// ProfileSigma, to the last digit; those that are not weigh less than any sum feels.
func TestEvidenceLognormal(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	left, kept := 0, 0
	for _, k := range []float64{0.1, 0.4, 2} {
		for _, units := range []int{30, 300, 900} {
			var members []*member
			for range 3 {
				var s Sample
				for range units {
					rate := distuv.Gamma{Alpha: k, Beta: k / 4, Src: rng}.Rand()
					s.AreaHa = append(s.AreaHa, 0.01*(1+rng.Float64()))
					s.Count = append(s.Count, distuv.Poisson{Lambda: rate + 1e-9, Src: rng}.Rand())
				}
				_, m := s.alone(Options{Confidence: 0.95})
				members = append(members, m)
			}
			j := newJoint(members)
			others := []float64{j.kinds[0].evidence(0)[0], sumOver(members, func(m *member) float64 { return slices.Max(m.profile) })}
			logs, want := j.evidenceLognormal(others), make([]float64, len(sigmaGrid))
			for g, sigma := range sigmaGrid {
				want[g] = math.Log(lognormalShare/float64(len(sigmaGrid))) + sumOver(members, func(m *member) float64 {
					logLik, _, information := poissonlognormal.New(m.count, m.area).ProfileSigma(sigma)
					return logLik - math.Log(information)/2
				})
			}
			top := max(slices.Max(others), slices.Max(want))
			for g, v := range logs {
				switch {
				case v == want[g]:
					kept++
				case want[g] < top-beyond && v == slices.Max(others)-beyond:
					left++
				default:
					t.Errorf("k %g, %d units, sigma %g: %g, want %g", k, units, sigmaGrid[g], v, want[g])
				}
			}
		}
	}
	if left == 0 || kept == 0 {
		t.Errorf("%d models were left out and %d maximized", left, kept)
	}
}
