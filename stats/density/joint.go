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

	mean    float64 // density with half a find more: what a stratum without finds may hold
	squares float64 // sum of a^2 / (sum a)^2: 1/n with equal areas
	cubes   float64 // sum of a^3 / (sum a)^3
	*likelihoods
}

// newMember fits the models of clumping to one stratum, by itself an area.
func newMember(t totals, squeeze, random float64, sites bool, known *Fits) *member {
	m := &member{totals: t, weight: 1, varianceRatio: squeeze, random: random, sites: sites}
	m.mean = (m.finds + 0.5) / m.searched
	for _, a := range m.area {
		share := a / m.searched
		m.squares += share * share
		m.cubes += share * share * share
	}
	if m.finds > 0 && len(m.count) > 1 {
		m.likelihoods = known.of(t, t.fit)
	} else {
		m.likelihoods = noLikelihoods
	}
	return m
}

// fit finds the likelihoods of the models; without finds, or in a single primary sampling unit,
// which was counted whole, they are all alike.
func (t totals) fit() *likelihoods {
	l := newLikelihoods()
	counts := negbin.Condensed(negbin.New(t.count, t.area))
	l.profile = profileK(counts)
	for g, i := range inflatedGrid {
		logLik, _, information := counts.ProfileInflated(i.holding, i.k)
		l.inflated[g] = logLik - math.Log(information)/2
	}
	rates := poissonlognormal.New(t.count, t.area)
	for g, sigma := range sigmaGrid {
		l.lognormal[g] = newHeavyTail(rates.Profile(sigma))
	}
	return l
}

// joint is several strata whose counts tell together how clumped they are.
type joint struct {
	members []*member
	kinds   []*kind // of primary sampling units
	kindOf  []*kind // by member

	weightsK [][]float64 // of kGrid, by member

	// The posterior weights of the other models; with those of the negative binomial
	// models of a kind they add up to 1.
	inflated  []float64
	lognormal []float64
}

// newJoint weighs the models by the counts of all strata.
func newJoint(members []*member) *joint {
	j := &joint{members: members}
	j.kinds, j.kindOf = kindsOf(members)
	nb := math.Log(1 - inflatedShare - lognormalShare)
	var all []float64 // logs of prior times likelihood
	if len(j.kinds) == 1 {
		all = append(all, j.kinds[0].evidence(nb)...)
	} else { // how one kind clumps says nothing of the other
		all = append(all, nb)
		for _, k := range j.kinds {
			k.weights = k.evidence(0)
			all[0] += normalize(k.weights)
		}
	}
	clumped := len(all)
	for g := range inflatedGrid {
		all = append(all, math.Log(inflatedShare/float64(len(inflatedGrid)))+j.sum(func(m *member) float64 { return m.inflated[g] }))
	}
	all = append(all, j.evidenceLognormal(all)...)
	keepShare(all, clumped+len(inflatedGrid))
	normalize(all)
	if len(j.kinds) == 1 {
		j.kinds[0].weights = all[:clumped]
	} else {
		for _, k := range j.kinds {
			scaleTo(k.weights, all[0])
		}
	}
	j.inflated, j.lognormal = all[clumped:clumped+len(inflatedGrid)], all[clumped+len(inflatedGrid):]
	for h := range members {
		j.weightsK = append(j.weightsK, j.weightsOfK(h))
	}
	return j
}

// leastShare is the posterior weight that the models without a heavy tail have at
// least together. Lower limits rest on them alone, and thousands of units of
// heavy-tailed counts would leave none of them.
const leastShare = 1e-3

// keepShare raises the first n of some logs of weights to leastShare of all, where
// they have less.
func keepShare(logWeights []float64, n int) {
	few, rest := logSum(logWeights[:n]), logSum(logWeights[n:])
	if raise := rest + math.Log(leastShare/(1-leastShare)) - few; raise > 0 {
		for i := range n {
			logWeights[i] += raise
		}
	}
}

func (j *joint) sum(of func(m *member) float64) float64 { return sumOver(j.members, of) }

func sumOver(members []*member, of func(m *member) float64) float64 {
	var sum float64
	for _, m := range members {
		sum += of(m)
	}
	return sum
}

// clumping is that of [Joint.K].
func (j *joint) clumping() float64 {
	var reciprocal, weights float64
	for h, m := range j.members {
		for g, w := range j.weightsK[h] {
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
