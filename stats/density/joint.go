package density

import (
	"math"

	"ashtally/stats/negbin"
	"ashtally/stats/poissonlognormal"
)

// member is one stratum in a joint estimate.
type member struct {
	totals
	weight        float64 // share of the area
	varianceRatio float64 // variance by layout and finite population over that of a random sample
	random        float64 // variance of its density as of a random sample
	sites         bool    // its primary sampling units are sites

	mean      float64 // density with half a find more: what a stratum without finds may hold
	squares   float64 // sum of a^2 / (sum a)^2: 1/n with equal areas
	cubes     float64 // sum of a^3 / (sum a)^3
	profile   []float64
	inflated  []float64 // log-likelihoods of inflatedGrid, adjusted as profileK
	lognormal []fittedMean
}

// fittedMean is the mean of maximum likelihood at one point of a grid.
type fittedMean struct{ logLik, mean, information float64 }

// newMember fits the models of clumping to one stratum, by itself an area.
func newMember(t totals, squeeze, random float64, sites bool) *member {
	m := &member{totals: t, weight: 1, varianceRatio: squeeze, random: random, sites: sites}
	m.mean = (m.finds + 0.5) / m.searched
	for _, a := range m.area {
		share := a / m.searched
		m.squares += share * share
		m.cubes += share * share * share
	}
	m.profile, m.inflated, m.lognormal = make([]float64, len(kGrid)), make([]float64, len(inflatedGrid)), make([]fittedMean, len(sigmaGrid))
	if m.finds > 0 && len(m.count) > 1 {
		m.fit()
	}
	return m
}

// fit finds the likelihoods of the models; without finds, or in a single primary sampling unit,
// which was counted whole, they are all alike.
func (m *member) fit() {
	counts := negbin.New(m.count, m.area)
	m.profile = profileK(counts)
	for g, i := range inflatedGrid {
		logLik, _, information := counts.ProfileInflated(i.holding, i.k)
		m.inflated[g] = logLik - math.Log(information)/2
	}
	rates := poissonlognormal.New(m.count, m.area)
	for g, sigma := range sigmaGrid {
		logLik, mean, information := rates.ProfileSigma(sigma)
		m.lognormal[g] = fittedMean{logLik - math.Log(information)/2, mean, information}
	}
}

// joint is several strata whose counts tell together how clumped they are.
type joint struct {
	members []*member
	// The posterior weights of the models, which add up to 1 over all.
	one       []float64 // one k for all strata, by kGrid
	tied      []float64 // k about a common one, by kGrid
	own       float64   // each stratum its own k
	inflated  []float64
	lognormal []float64
}

// newJoint weighs the models by the counts of all strata. Sites and units of
// their own have not the same k: strata that differ in this have no k in common.
func newJoint(members []*member) *joint {
	j := &joint{members: members}
	mixed := false
	for _, m := range members {
		mixed = mixed || m.sites != members[0].sites
	}
	nb := math.Log(1 - inflatedShare - lognormalShare)
	shares := [3]float64{math.Log(oneShare), math.Log(tiedShare), math.Log(ownShare)}
	switch {
	case len(members) == 1: // the three are one
		shares = [3]float64{0, math.Inf(-1), math.Inf(-1)}
	case mixed:
		shares = [3]float64{math.Inf(-1), math.Inf(-1), 0}
	}
	G := len(kGrid)
	all := make([]float64, 0, 2*G+1+len(inflatedGrid)+len(sigmaGrid))
	for g := range kGrid {
		all = append(all, nb+shares[0]+logPriorK[g]+j.sum(func(m *member) float64 { return m.profile[g] }))
	}
	for c := range kGrid {
		all = append(all, nb+shares[1]+logPriorK[c]+j.sum(func(m *member) float64 { return evidence(logTiedK[c], m.profile) }))
	}
	all = append(all, nb+shares[2]+j.sum(func(m *member) float64 { return evidence(logPriorK, m.profile) }))
	for g := range inflatedGrid {
		all = append(all, math.Log(inflatedShare/float64(len(inflatedGrid)))+j.sum(func(m *member) float64 { return m.inflated[g] }))
	}
	for g := range sigmaGrid {
		all = append(all, math.Log(lognormalShare/float64(len(sigmaGrid)))+j.sum(func(m *member) float64 { return m.lognormal[g].logLik }))
	}
	normalize(all)
	j.one, j.tied, j.own = all[:G], all[G:2*G], all[2*G]
	j.inflated = all[2*G+1 : 2*G+1+len(inflatedGrid)]
	j.lognormal = all[2*G+1+len(inflatedGrid):]
	return j
}

func (j *joint) sum(of func(m *member) float64) float64 {
	var sum float64
	for _, m := range j.members {
		sum += of(m)
	}
	return sum
}

// clumping is that of [Joint.K].
func (j *joint) clumping() float64 {
	var reciprocal, weights float64
	for h, m := range j.members {
		for g, w := range j.weightsK(h) {
			reciprocal += m.weight * w / kGrid[g]
			weights += m.weight * w
		}
	}
	return weights / reciprocal
}

// units is that of [Joint.Units].
func (j *joint) units() float64 {
	var mean, squares float64
	for _, m := range j.members {
		at := m.weight * m.mean
		mean += at
		squares += m.varianceRatio * at * at / float64(len(m.count))
	}
	return mean * mean / squares
}
