package planning

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// Population is the negative binomial model of the counts of a stratum's units. A
// unit of area a has
//
//	count ~ Poisson(D a G),  E G = 1,  var G = 1/k(a)
//
// with G gamma, independent between units.
type Population struct {
	PerHa float64 // density D
	K     float64 // clumping of a unit of UnitHa; +Inf for Poisson counts

	// UnitHa is the area of unit that K holds for, ha. Scaling is the power b in
	//
	//	k(a) = K (a / UnitHa)^b
	//
	// It is 1 where the parts of a unit are independent of each other, for then
	// their negative binomial counts add up to one with the sum of their k, and 0
	// where the density is constant within a unit and differs only between units.
	UnitHa, Scaling float64
}

// ClumpingAt is the k of units of an area.
func (p Population) ClumpingAt(unitHa float64) float64 {
	if p.Scaling == 0 || p.UnitHa == 0 {
		return p.K
	}
	return p.K * math.Pow(unitHa/p.UnitHa, p.Scaling)
}

// RelativeVariance is the squared coefficient of variation of the count of a unit,
// 1/mu + 1/k with mu = D a. It is +Inf where the density is 0.
func (p Population) RelativeVariance(unitHa float64) float64 {
	return 1/(p.PerHa*unitHa) + 1/p.ClumpingAt(unitHa)
}

// SD is the standard deviation of the counts of units, per ha.
func (p Population) SD(unitHa float64) float64 {
	mu := p.PerHa * unitHa
	return math.Sqrt(mu+mu*mu/p.ClumpingAt(unitHa)) / unitHa
}

// Count draws the count of a unit.
func (p Population) Count(r *rand.Rand, unitHa float64) float64 {
	return Poisson(r, p.PerHa*unitHa*Gamma(r, p.ClumpingAt(unitHa)))
}

// Gamma draws from the gamma distribution that has mean 1 and variance 1/k.
func Gamma(r *rand.Rand, k float64) float64 {
	if math.IsInf(k, 1) {
		return 1
	}
	return distuv.Gamma{Alpha: k, Beta: k, Src: r}.Rand()
}

// Poisson draws a Poisson count; a mean of 0 gives 0.
func Poisson(r *rand.Rand, mean float64) float64 {
	if !(mean > 0) {
		return 0
	}
	return distuv.Poisson{Lambda: mean, Src: r}.Rand()
}
