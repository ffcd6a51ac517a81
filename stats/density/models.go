package density

import "math"

// moments are those of a sum of weight times density over strata, at the
// densities with half a find more.
type moments struct {
	mean       float64
	poisson    float64   // variance of Poisson counts
	clumped    []float64 // of each stratum, what 1/k is multiplied by in the variance
	linearized float64   // variance without a model
}

func momentsOf(members []*member) moments {
	var s moments
	for _, m := range members {
		w := m.weight * m.weight * m.varianceRatio
		s.mean += m.weight * m.mean
		s.poisson += w * m.mean / m.searched
		s.clumped = append(s.clumped, w*m.mean*m.mean*m.squares)
		s.linearized += w * m.random
	}
	return s
}

// total is the estimate as a scaled count of negative binomial size; clumped is
// the part of its variance that clumping adds.
func (s moments) total(estimate, clumped float64) katzTotal {
	return katzTotal{estimate: estimate, scale: s.poisson / s.mean, size: s.mean * s.mean / clumped, inflation: 1}
}

// area averages over the models of all strata.
func (j *joint) area() average {
	s := momentsOf(j.members)
	a := average{estimate: j.sum(func(m *member) float64 { return m.weight * m.density() }), searched: s.mean / s.poisson, sampleShape: j.sampleShape(j.members, j.clumping())}
	if len(j.kinds) == 1 {
		a.addKind(j.kinds[0], s)
	} else {
		a.addKinds(j.kinds, s)
	}
	a.inflate(s.linearized)
	a.addInflated(j, j.members, s)
	a.addLognormal(j, j.members)
	return a
}

// sampleShape is that of some of the strata, which clump as k.
func (j *joint) sampleShape(members []*member, k float64) sampleShape {
	s := sampleShape{k: k, inflatedWeight: total(j.inflated), lognormalWeight: total(j.lognormal)}
	var strata float64
	for _, m := range members {
		if m.weight > 0 {
			s.units += float64(len(m.count))
			s.finds += m.finds
			strata++
		}
	}
	s.units /= strata
	return s
}

// addKind adds the negative binomial models of strata of one kind.
func (a *average) addKind(kind *kind, s moments) {
	clumped := total(s.clumped)
	for g, k := range kGrid {
		a.add(kind.one()[g], s.total(a.estimate, clumped/k))
	}
	for c := range kGrid {
		a.addUnequal(kind.tied()[c], s, clumpedUnder(kind.members, c, s))
	}
	a.addUnequal(kind.own(), s, clumpedUnder(kind.members, ownPrior, s))
}

// addKinds adds those of strata of several kinds as one model, in which what the
// kinds' clumping adds to the variance is a sum of independent parts.
func (a *average) addKinds(kinds []*kind, s moments) {
	var sum unequal
	for _, k := range kinds {
		u := k.clumped()
		sum.mean += u.mean
		sum.variance += u.variance
	}
	a.addUnequal(total(kinds[0].weights), s, sum)
}

// stratum averages over the models of all strata for one of them.
func (j *joint) stratum(h int) average {
	alone := *j.members[h]
	alone.weight = 1
	members := []*member{&alone}
	s := momentsOf(members)
	weights := j.weightsK[h]
	reciprocal, _ := reciprocalK(weights)
	a := average{estimate: alone.density(), searched: s.mean / s.poisson, sampleShape: j.sampleShape(members, total(weights)/reciprocal)}
	for g, weight := range weights {
		a.add(weight, s.total(a.estimate, s.clumped[0]/kGrid[g]))
	}
	a.inflate(s.linearized)
	a.addInflated(j, members, s)
	a.addLognormal(j, members)
	return a
}

// weightsOfK are the weights of kGrid in one stratum; they add up to those of the
// negative binomial models.
func (j *joint) weightsOfK(h int) []float64 {
	all := make([]float64, len(kGrid))
	add := func(weight float64, prior int) {
		if weight <= negligibleWeight {
			return
		}
		for g, w := range j.members[h].under(prior).weights {
			all[g] += weight * w
		}
	}
	kind := j.kindOf[h]
	copy(all, kind.one())
	for c, weight := range kind.tied() {
		add(weight, c)
	}
	add(kind.own(), ownPrior)
	return all
}

// unequal is the mean and variance of the part of the variance that clumping adds
// where each stratum has a k of its own.
type unequal struct{ mean, variance float64 }

func clumpedUnder(members []*member, prior int, s moments) unequal {
	var sum unequal
	for h, m := range members {
		k := m.under(prior)
		sum.mean += s.clumped[h] * k.mean
		sum.variance += s.clumped[h] * s.clumped[h] * k.variance
	}
	return sum
}

// negligibleWeight is a weight that all models together would have to have to move
// a tail of 0.025 by a hundredth of itself.
const negligibleWeight = 1e-6

func (a *average) add(weight float64, k katzTotal) {
	if weight > negligibleWeight {
		a.counts = append(a.counts, weightedTotal{weight, k})
	}
}

// addUnequal adds a model with a k for each stratum: what these add to the variance
// is taken for log-normal, at the three points of Gauss-Hermite quadrature.
func (a *average) addUnequal(weight float64, s moments, clumped unequal) {
	var v float64
	if clumped.mean > 0 {
		v = math.Log1p(clumped.variance / (clumped.mean * clumped.mean))
	}
	for _, node := range []struct{ z, weight float64 }{{-math.Sqrt(3), 1. / 6}, {0, 2. / 3}, {math.Sqrt(3), 1. / 6}} {
		a.add(weight*node.weight, s.total(a.estimate, clumped.mean*math.Exp(node.z*math.Sqrt(v)-v/2)))
	}
}

// inflate sets the inflation of the models added so far: how far the linearized
// variance is over the average of theirs, where it is.
func (a *average) inflate(linearized float64) {
	a.inflation = 1
	var variance, weights float64
	for _, m := range a.counts {
		variance += m.weight * (a.estimate*m.scale + a.estimate*a.estimate/m.size)
		weights += m.weight
	}
	if by := linearized * weights / variance; by > 1 {
		a.inflation = by
	}
	for i := range a.counts {
		a.counts[i].inflation = a.inflation
	}
}

// addInflated adds the models with ground that can hold no finds. A count of mean
// mu has the variance mu + mu^2 (A - 1) and the third cumulant
//
//	mu + 3 mu^2 (A - 1) + mu^3 (B - 3A + 2),  A = (1 + 1/k)/q,  B = A (1 + 2/k)/q
//
// with q the share of units that can hold finds. Scale u and size K of the sum's
// katzTotal have its variance k2 and third cumulant k3,
//
//	u = 2 k2/D - k3/k2,  K = D / (u r),  r = k2/(u D) - 1
//
// which makes it binomial where most of the spread is in which units hold finds.
func (a *average) addInflated(j *joint, members []*member, s moments) {
	for g, model := range inflatedGrid {
		A := (1 + 1/model.k) / model.holding
		B := A * (1 + 2/model.k) / model.holding
		var k2, k3 float64
		for _, m := range members {
			w, mu := m.weight*m.varianceRatio, m.mean
			k2 += w * m.weight * (mu/m.searched + mu*mu*m.squares*(A-1))
			k3 += w * w * m.weight * (mu/(m.searched*m.searched) + 3*mu*mu*m.squares/m.searched*(A-1) + mu*mu*mu*m.cubes*(B-3*A+2))
		}
		u := math.Max(2*k2/s.mean-k3/k2, s.poisson/s.mean)
		r := k2/(u*s.mean) - 1
		a.add(j.inflated[g], katzTotal{estimate: a.estimate, scale: u, size: s.mean / (u * r), inflation: a.inflation})
	}
}

// addLognormal adds the models with a heavy tail. The mean of maximum likelihood
// is about log-normal itself, and larger than the mean it estimates by
// exp(1/(2 I)) on average, with I the information of its logarithm: in an area of many strata of a
// few units each that would not average out, and is taken off. None lies below the
// estimate: the interval is about that. Layout and finite population shrink its
// distance from the density as they do the standard error.
func (a *average) addLognormal(j *joint, members []*member) {
	for g := range sigmaGrid {
		if !(j.lognormal[g] > negligibleWeight) {
			continue
		}
		var mean, variance float64
		for _, m := range members {
			if m.finds == 0 {
				continue
			}
			fit, at := m.lognormal[g].fit, m.weight*m.density()
			if !m.counted() {
				ratio := fit.mean / m.density() * math.Exp(-1/(2*fit.information))
				at *= math.Pow(ratio, math.Sqrt(m.varianceRatio))
				variance += at * at * m.varianceRatio / fit.information
			}
			mean += at
		}
		if mean > 0 {
			a.heavy = append(a.heavy, weightedMean{j.lognormal[g], lognormalMean{math.Max(mean, a.estimate), math.Sqrt(variance) / mean}})
		}
	}
}
