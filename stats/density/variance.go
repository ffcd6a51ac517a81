package density

import (
	"maps"
	"slices"

	"ashtally/stats"
)

// layoutVariance is a variance of the density sum y / sum a of primary sampling units in the
// order of their layout, with the degrees of freedom of its estimate.
//
// In the formulas k is the number of primary sampling units, a_i and y_i their areas and
// counts, A and D the sum of the areas and the density. Fewster et al. (2009),
// Biometrics 65: 225-236, write them for lines with the length for the area.
type layoutVariance func(t totals) (variance, df float64)

// The names of the variances of a layout, as Options.Systematic has them.
const (
	Random                      = "random"                         // as if the pieces lay at random
	RandomByArea                = "random-by-area"                 // the same, weighed by plain area
	SuccessiveDifferences       = "successive-differences"         // squared differences between neighbours, overlapping pairs
	SuccessiveDifferencesByArea = "successive-differences-by-area" // the same, weighed by plain area
	NeighbourPairs              = "neighbour-pairs"                // within pairs of neighbours: strata of two, the last of two or three
)

// The variances by their names.
var layoutVariances = map[string]layoutVariance{
	Random:                      random,
	RandomByArea:                randomByArea,
	SuccessiveDifferences:       successiveDifferences,
	SuccessiveDifferencesByArea: successiveDifferencesByArea,
	NeighbourPairs:              neighbourPairs,
}

// Systematics names the variances for a systematic layout, sorted.
//
// The random ones overstate the variance where density trends along the layout,
// which is conservative but wide. The others take the trend out; neighbour pairs
// rest on half the degrees of freedom. The forms by area weigh by plain area, the
// others by its square. Fewster et al. (2009) number them R2 and R3, O2 and O3,
// and S2.
func Systematics() []string { return slices.Sorted(maps.Keys(layoutVariances)) }

// ByOrder tells whether a variance compares neighbours, and so needs an order of
// the primary sampling units.
func ByOrder(systematic string) bool { return systematic != Random && systematic != RandomByArea }

// random is the linearised variance of a ratio (Cochran 1977, section 6.4):
//
//	k / (k-1) * sum (y_i - D a_i)^2 / A^2
func random(t totals) (variance, df float64) {
	k := float64(len(t.count))
	d := t.density()
	var sum float64
	for i, a := range t.area {
		z := t.count[i] - d*a
		sum += z * z
	}
	return k / (k - 1) * sum / (t.searched * t.searched), k - 1
}

// randomByArea is the form of Buckland et al. (2001), Introduction to Distance
// Sampling, equation 3.78, weighed by plain area:
//
//	sum a_i (y_i/a_i - D)^2 / (A (k-1))
func randomByArea(t totals) (variance, df float64) {
	k := float64(len(t.count))
	d := t.density()
	var sum float64
	for i, a := range t.area {
		z := t.count[i]/a - d
		sum += a * z * z
	}
	return sum / (t.searched * (k - 1)), k - 1
}

// successiveDifferences joins each primary sampling unit with the next:
//
//	2k / (A^2 (k-1)) * sum_i (a_i a_{i+1} / (a_i + a_{i+1}))^2 (y_i/a_i - y_{i+1}/a_{i+1})^2
//
// Its degrees of freedom are those of the mean square successive difference of
// normal values, 2 (k-1)^2 / (3k-4) (von Neumann et al. 1941, Annals of
// Mathematical Statistics 12: 153-162): each primary sampling unit is in two differences, so
// that k-1 would claim too much.
func successiveDifferences(t totals) (variance, df float64) {
	k := float64(len(t.count))
	sum := t.neighbours(func(half, step float64) float64 { return half * half * step * step })
	return 2 * k / (t.searched * t.searched * (k - 1)) * sum, successiveDF(k)
}

// successiveDifferencesByArea weighs by plain area:
//
//	1 / (A (k-1)) * sum_i a_i a_{i+1} / (a_i + a_{i+1}) (y_i/a_i - y_{i+1}/a_{i+1})^2
func successiveDifferencesByArea(t totals) (variance, df float64) {
	k := float64(len(t.count))
	sum := t.neighbours(func(half, step float64) float64 { return half * step * step })
	return sum / (t.searched * (k - 1)), successiveDF(k)
}

func successiveDF(k float64) float64 { return 2 * (k - 1) * (k - 1) / (3*k - 4) }

// neighbours sums over pairs of neighbours a term of half their harmonic mean
// area and the step in density between them.
func (t totals) neighbours(term func(half, step float64) float64) float64 {
	var sum float64
	for i := 1; i < len(t.count); i++ {
		a, b := t.area[i-1], t.area[i]
		sum += term(a*b/(a+b), t.count[i-1]/a-t.count[i]/b)
	}
	return sum
}

// neighbourPairs makes strata of two neighbours, the last of three if their
// number is odd, and adds up [Random] within them:
//
//	1/A^2 * sum_h k_h / (k_h - 1) * sum_{i in h} (y_i - D_h a_i)^2
//
// Fewer than four primary sampling units are one stratum.
func neighbourPairs(t totals) (variance, df float64) {
	k := len(t.count)
	for from := 0; from < k; {
		to := from + 2
		if to+1 >= k {
			to = k
		}
		pair := totals{count: t.count[from:to], area: t.area[from:to]}
		for i := range pair.count {
			pair.finds += pair.count[i]
			pair.searched += pair.area[i]
		}
		v, more := random(pair)
		share := pair.searched / t.searched
		variance += v * share * share
		df += more
		from = to
	}
	return variance, df
}

func (t totals) density() float64 { return t.finds / t.searched }

// popFactorFrom is the searched share of the land from which the finite
// population factor is used: under 5 % it moves the standard error by less
// than 2.5 % of itself, less than the standard error is known (Cochran 1977,
// section 2.6).
const popFactorFrom = 0.05

// wholeWithin is how near to 1 a searched share counts as all of the land: areas
// are measured to a few digits, so that a full count rarely adds up to the last.
const wholeWithin = 1e-6

// populationFactor is 1 - a/land where more than 5 % was searched, with a the
// area searched in a season: ground searched again in another season is the same
// ground. With sites it is conservative as long as units of one site are alike,
// for the share of the sites that was visited is at least that of the area.
func (t totals) populationFactor(landHa float64) (float64, []stats.Warning) {
	share := 0.0
	if landHa > 0 {
		share = t.ground / landHa
	}
	switch {
	case share <= popFactorFrom:
		return 1, nil
	case share > 1+wholeWithin:
		return 1, []stats.Warning{overLand}
	case share >= 1-wholeWithin:
		return 0, []stats.Warning{wholeLand}
	}
	return 1 - share, nil
}
