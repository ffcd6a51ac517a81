package chain

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestAgainstJackknife: the standard error at the end of a chain of three links on small
// surveys is that of leaving out one site after another,
//
//	v = (n-1)/n sum_i (log D_-i - mean)^2
//
// with everything estimated again (Efron & Tibshirani 1993, An Introduction to the
// Bootstrap, section 11.5). The median of their quotients over twenty surveys is between 0.9 and
// 1.25: the links are multiplied as if they were independent, and the limits of the
// season's share allow for more than the jackknife sees.
func TestAgainstJackknife(t *testing.T) {
	w := flushWorld{sites: 12, k: 2, finds: 8, chance: 0.7}
	var quotients []float64
	for draw := range uint64(20) {
		sites := w.survey(rand.New(rand.NewPCG(worldSeed, draw)))
		whole := chain(sites)
		if whole.none {
			continue
		}
		var logs []float64
		for i := range sites {
			if c := chain(slices.Delete(slices.Clone(sites), i, i+1)); !c.none {
				logs = append(logs, math.Log(c.grown.Value))
			}
		}
		if len(logs) < len(sites) {
			continue
		}
		var mean, squares float64
		for _, l := range logs {
			mean += l / float64(len(logs))
		}
		for _, l := range logs {
			squares += (l - mean) * (l - mean)
		}
		n := float64(len(logs))
		jackknife := math.Sqrt((n - 1) / n * squares)
		quotients = append(quotients, whole.grown.CV()/jackknife)
	}
	if len(quotients) < 12 {
		t.Fatalf("only %d surveys show a flush", len(quotients))
	}
	slices.Sort(quotients)
	t.Logf("%.2f", quotients)
	if m := quotients[len(quotients)/2]; m < 0.9 || m > 1.25 {
		t.Errorf("the standard error is %.2f times that of the jackknife, median of %d surveys: %.2f", m, len(quotients), quotients)
	}
}
