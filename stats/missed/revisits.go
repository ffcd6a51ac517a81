package missed

import "math"

// Lost are, by visit, the shares of the individuals missed there that are gone before
// the next visit, where each visit records only what none before it did. The rest is
// recorded on a later visit, or missed again and counted among what that one missed, so
// that what was present on any visit is
//
//	N = sum_i [ n_i + r_i n_i q / (1 - q) ]
//
// with n_i the individuals recorded on visit i and q the probability to miss one that
// is there. Individuals appear evenly and stand L days. On visit i one of age a has been
// missed on each of the j_i(a) visits of the a days before, so that with h_i days to
// the next visit
//
//	r_i = int_{L-h_i}^L q^{j_i(a)} da / int_0^L q^{j_i(a)} da
//
// Days are those of the visits of a unit, in order; standing is L, in days.
//
// Special cases: the last visit loses all that it misses, and so does one whose next is
// L days off or more. It panics on days out of order, L not over 0, and q outside [0, 1].
func Lost(days []float64, standing, q float64) []float64 {
	if !(standing > 0) || !(q >= 0 && q <= 1) {
		panic("missed: standing days not over 0, or not a probability")
	}
	lost := make([]float64, len(days))
	for i, day := range days {
		lost[i] = 1
		if i+1 == len(days) {
			break
		}
		next := days[i+1] - day
		if !(next > 0) {
			panic("missed: visits out of order")
		}
		all := unrecorded(days[:i+1], standing, q)
		lost[i] = (all - unrecorded(days[:i+1], standing-next, q)) / all
	}
	return lost
}

// unrecorded is the integral of q^{j(a)} over ages a from 0 to an age, on the last of
// some days: days on which what stands unrecorded there has appeared, weighted by the
// probability to have been missed.
func unrecorded(days []float64, age, q float64) float64 {
	last := len(days) - 1
	var sum, from float64
	weight := 1.0
	for i := last; i >= 0 && from < age; i-- {
		to := age
		if i > 0 {
			to = math.Min(age, days[last]-days[i-1])
		}
		sum += weight * (to - from)
		from, weight = to, weight*q
	}
	return sum
}

// Carried is, by visit, what stands unrecorded there over what has appeared since the
// visit before,
//
//	c_i = sum_j q^j [S(t_{i-j}) - S(t_{i-j-1})] / [S(t_i) - S(t_{i-1})]
//
// with S the share of all that has appeared by a day, t the days of the visits, none
// of the times before t_i - L, and the rest as of [Lost]: 1 where nothing that was missed
// still stands. A curve of what appears is fitted to records with the search effort
// times c_i; else what is recorded late moves it to later days.
//
// Share gives what appears between two days. It panics as Lost does.
func Carried(days []float64, standing, q float64, share func(from, to float64) float64) []float64 {
	Lost(days, standing, q) // for what it panics on
	carried := make([]float64, len(days))
	for i, day := range days {
		var fresh, all float64
		weight, to := 1.0, day
		for j := i - 1; j >= -1 && to > day-standing; j-- {
			from := day - standing
			if j >= 0 {
				from = math.Max(from, days[j])
			}
			part := share(from, to)
			if j == i-1 {
				fresh = part
			}
			all += weight * part
			weight, to = weight*q, from
		}
		carried[i] = 1
		if all > fresh {
			carried[i] = math.Min(all/fresh, mostCarried)
		}
	}
	return carried
}

// mostCarried bounds what is carried over where hardly anything new appears, which is
// the far tail of a curve that nobody saw.
const mostCarried = 100
