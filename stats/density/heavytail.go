package density

import (
	"math"
	"slices"
	"sync"

	"ashtally/stats/poissonlognormal"
)

// heavyTail is a Poisson-lognormal model of one stratum, at one point of sigmaGrid. Its
// mean of maximum likelihood is found no farther than a joint needs it to be; several
// may at once. The zero value is that of a stratum that tells nothing.
type heavyTail struct {
	sync.Mutex
	profile *poissonlognormal.Profile // nil once it has ended
	fit     fittedMean                // so far
}

// fittedMean is the mean of maximum likelihood at one point of a grid, with its
// log-likelihood adjusted as profileK.
type fittedMean struct{ logLik, mean, information float64 }

func newHeavyTail(p *poissonlognormal.Profile) *heavyTail {
	h := &heavyTail{profile: p}
	h.settle()
	return h
}

func (h *heavyTail) settle() {
	logLik, mean, information := h.profile.Result()
	h.fit = fittedMean{logLik - math.Log(information)/2, mean, information}
	if h.profile.Done() {
		h.profile = nil
	}
}

// mostOfPromised is how many times the gain that the quadratic promises a maximization
// may still bring. In a survey of a million finds it brought 1.1 times as much at most.
const mostOfPromised = 3

// reach is the log-likelihood so far, and how high it may still rise.
func (h *heavyTail) reach() (low, high float64) {
	h.Lock()
	defer h.Unlock()
	if h.profile == nil {
		return h.fit.logLik, h.fit.logLik
	}
	return h.fit.logLik, h.fit.logLik + mostOfPromised*h.profile.Promised()
}

// climb makes a step; false if there is none left.
func (h *heavyTail) climb() bool {
	h.Lock()
	defer h.Unlock()
	if h.profile == nil {
		return false
	}
	h.profile.Step()
	h.settle()
	return true
}

// beyond is how far under the highest a log of a weight lies that no sum of them feels:
// e^-60 is 1e-26.
const beyond = 60

// evidenceLognormal is the logs of prior times likelihood of the models with a heavy
// tail, beside those of others. A model that is sure to weigh nothing is not maximized,
// and has a weight beyond the others.
func (j *joint) evidenceLognormal(others []float64) []float64 {
	prior := math.Log(lognormalShare / float64(len(sigmaGrid)))
	reach := func(g int) (low, high float64) {
		return prior + j.sum(func(m *member) float64 { low, _ := m.lognormal[g].reach(); return low }),
			prior + j.sum(func(m *member) float64 { _, high := m.lognormal[g].reach(); return high })
	}
	most := slices.Max(others)
	top := most
	for g := range sigmaGrid {
		low, _ := reach(g)
		top = math.Max(top, low)
	}
	logs := make([]float64, len(sigmaGrid))
	for g := range logs {
		low, high := reach(g)
		for climbing := true; climbing && !(high < top-beyond); {
			climbing = false
			for _, m := range j.members {
				climbing = m.lognormal[g].climb() || climbing
			}
			low, high = reach(g)
		}
		if logs[g] = low; high < top-beyond {
			logs[g] = most - beyond
		}
	}
	return logs
}
