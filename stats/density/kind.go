package density

import "math"

// kind is the strata of an area whose primary sampling units are alike: sites, or
// units that are sites of their own. Sites of several units and single units do not
// clump alike, so only strata of one kind have a k in common.
type kind struct {
	members []*member
	// weights are the posterior ones of the negative binomial models: of one k for
	// all strata, by kGrid; of k about a common one, by kGrid; of a k of each stratum.
	weights []float64
}

func (k *kind) one() []float64  { return k.weights[:len(kGrid)] }
func (k *kind) tied() []float64 { return k.weights[len(kGrid) : 2*len(kGrid)] }
func (k *kind) own() float64    { return k.weights[2*len(kGrid)] }

// kindsOf sorts the members by their primary sampling units. It returns the kinds,
// and that of each member.
func kindsOf(members []*member) (kinds, of []*kind) {
	bySites := map[bool]*kind{}
	for _, m := range members {
		k := bySites[m.sites]
		if k == nil {
			k = &kind{}
			bySites[m.sites] = k
			kinds = append(kinds, k)
		}
		k.members = append(k.members, m)
		of = append(of, k)
	}
	return kinds, of
}

// evidence is the logs of prior times likelihood of the models, in the order of
// weights; logPrior is that of all together.
func (k *kind) evidence(logPrior float64) []float64 {
	shares := [3]float64{logPrior + math.Log(oneShare), logPrior + math.Log(tiedShare), logPrior + math.Log(ownShare)}
	if len(k.members) == 1 { // the three are one
		shares = [3]float64{logPrior, math.Inf(-1), math.Inf(-1)}
	}
	all := make([]float64, 0, 2*len(kGrid)+1)
	for g := range kGrid {
		all = append(all, shares[0]+logPriorK[g]+sumOver(k.members, func(m *member) float64 { return m.profile[g] }))
	}
	for c := range kGrid {
		all = append(all, shares[1]+logPriorK[c]+sumOver(k.members, func(m *member) float64 { return m.under(c).evidence }))
	}
	return append(all, shares[2]+sumOver(k.members, func(m *member) float64 { return m.under(ownPrior).evidence }))
}

// clumped is the mean and variance of the part of the variance that clumping adds
// in the strata of a kind, over all its models.
func (k *kind) clumped() unequal {
	var sum, squares, weights float64
	add := func(weight float64, u unequal) {
		sum += weight * u.mean
		squares += weight * (u.variance + u.mean*u.mean)
		weights += weight
	}
	s := momentsOf(k.members)
	for g, weight := range k.one() {
		add(weight, unequal{mean: total(s.clumped) / kGrid[g]})
	}
	for c, weight := range k.tied() {
		add(weight, clumpedUnder(k.members, c, s))
	}
	add(k.own(), clumpedUnder(k.members, ownPrior, s))
	mean := sum / weights
	return unequal{mean, math.Max(0, squares/weights-mean*mean)}
}
