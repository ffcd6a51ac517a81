package season

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/detect/optimum"
	"ashtally/stats/permute"
)

// Misfit is a test of fit of a curve: whether what is left of the counts once the
// curve was fitted rises and falls with the date.
//
// # The test
//
// It is a smooth test (Neyman 1937; Rayner & Best 1989). The logarithm of the rate
// is given Legendre polynomials of degree 3 to 8 beside the curve, in x = 2 F - 1
// with F the share of the expected finds by the time of a visit, moved to the
// reference. Degree 3 is for skewness, degree 4 for two peaks or a flat top, and so
// on. With r = (y - mu) / (1 + mu/k) the residual of a visit on the scale of
// the score, Pearson's times the square root of the information, the effective
// score of cluster c is
//
//	b_c = sum_{i in c} r_i (P(x_i) - I_pt I_tt^-1 g_i)
//
// with g the derivatives of log mu by the parameters of the curve, I_tt their
// expected information and I_pt that on the polynomials with them: the fitted
// parameters have no part in b. Turned one after the other to be independent by
// the expected information, the components b_j of b = sum_c b_c give
//
//	Q = sum_j b_j^2 / j^2
//
// Weights that fall with the square are those of the Cramér-von Mises statistic
// (Durbin & Knott 1972): misfits of a flush are broad. A polynomial of which the
// curve leaves less than a fiftieth of the information is left out.
//
// p is the share of arrangements of signs f_c = -1 or 1 of whole clusters for
// which b(f) = sum_c f_c b_c gives at least Q: if the curve is right, the residuals
// of a cluster are as likely to be turned round, whatever its visits share
// (Hemerik, Goeman & Finos 2020, Journal of the Royal Statistical Society B 82:
// 841-864). All are gone through up to 2048, those of twelve clusters; else
// [Options.Replicates] are drawn. SIMULATION.md has how often it rejects a curve
// that is right.
//
// References, all from memory: Neyman (1937), Skandinavisk Aktuarietidskrift 20: 149-199; Rayner &
// Best (1989), Smooth Tests of Goodness of Fit, Oxford; Durbin & Knott (1972),
// Journal of the Royal Statistical Society B 34: 290-307.
type Misfit struct {
	Statistic float64 // Q; NaN where there is no test
	P         float64 // NaN where there is none
	SE        float64 // of P by drawing; 0 where all signs were gone through
	Exact     bool    // whether they were
	Tried     int     // how many were

	// Departure is how far what was found by date lies from the curve, beyond
	// chance: the root mean square of found over expected less 1, over tenths of
	// the expected finds, with the variance between clusters taken off. NaN where
	// there is no test.
	Departure float64
}

// Degrees of the polynomials of the test.
const (
	firstDegree = 3
	lastDegree  = 8
)

// leastTold is the share of the information on a polynomial that the curve must
// leave for it to tell of a misfit.
const leastTold = 0.02

// exhaustive is the number of arrangements of signs up to which all are gone
// through: those of twelve clusters.
const exhaustive = 2048

// residual is a visit by a fitted curve.
type residual struct {
	mean     float64
	slope    float64 // the score by the logarithm of the mean
	expected float64 // information on it
}

// fittedPlace is a place by a fitted curve, with what all visits to it have in common.
type fittedPlace struct {
	by          [mostShared]float64 // derivatives of the logarithm of the mean
	time, share float64             // at the reference, and F
	p           [polynomials]float64
}

// residuals are those of the visits, and the places fitted.
func (m *maximum) residuals() ([]residual, []fittedPlace) {
	c := &fit{maximum: m, curve: m.curveOf(m.X)}
	list, places := make([]residual, len(m.visits)), make([]fittedPlace, len(m.places))
	var of logIntegral
	var mean logMean
	members := stats.Gather(len(m.visits), len(m.places), func(i int32) int { return m.visits[i].place })
	for at, visits := range members {
		m.expect(&m.places[at], &c.curve, &of, &mean)
		places[at].by, places[at].time = mean.first, c.atReference(&m.places[at])
		for _, i := range visits {
			v := &m.visits[i]
			height := m.X[m.heights+v.cell]
			w := v.weigh(mean.value+height, m.X[m.alpha])
			list[i] = residual{mean: math.Exp(mean.value + height + v.logExposure), slope: w.slope, expected: w.expected}
		}
	}
	setShares(places, members, list)
	return list, places
}

// setShares sets F of the places, halfway through the visits of one time, and the
// polynomials there.
func setShares(places []fittedPlace, members [][]int32, list []residual) {
	order := make([]int, len(places))
	for at := range order {
		order[at] = at
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(places[a].time, places[b].time) })
	var all, before float64
	for i := range list {
		all += list[i].mean
	}
	for from := 0; from < len(order); {
		to, time := from+1, places[order[from]].time
		visits := members[order[from]]
		for to < len(order) && places[order[to]].time == time {
			visits = append(slices.Clip(visits), members[order[to]]...)
			to++
		}
		if to > from+1 {
			slices.Sort(visits)
		}
		var here float64
		for _, i := range visits {
			here += list[i].mean
		}
		share := (before + here/2) / all
		for _, at := range order[from:to] {
			places[at].share, places[at].p = share, legendre(2*share-1)
		}
		before += here
		from = to
	}
}

// misfit tests a curve.
func (m *maximum) misfit(o Options) Misfit {
	if !m.Converged {
		return untested()
	}
	list, places := m.residuals()
	scores := m.scores(list, places)
	if len(scores) < 2 || len(scores[0]) == 0 {
		return untested()
	}
	scores = folded(scores)
	r := permute.NewSignedSums(scores).Test(permute.Options{Seed: o.Seed, Replicates: o.replicates(), Limit: exhaustive}, smooth)
	return Misfit{Statistic: r.Statistic, P: r.P, SE: r.SE, Exact: r.Exact, Tried: r.Tried, Departure: m.departure(list, places)}
}

// mostSigned is the number of groups of clusters that have a sign of their own.
const mostSigned = 256

// folded adds up the scores of clusters that share a sign: turning groups of
// clusters is as good as turning each, and with hundreds of groups tells as much.
func folded(scores [][]float64) [][]float64 {
	if len(scores) <= mostSigned {
		return scores
	}
	sums := matrix(mostSigned, len(scores[0]))
	for c, s := range scores {
		for j, v := range s {
			sums[c%mostSigned][j] += v
		}
	}
	return sums
}

// untested is where there is no test.
func untested() Misfit {
	nan := math.NaN()
	return Misfit{Statistic: nan, P: nan, SE: nan, Departure: nan}
}

// smooth is Q.
func smooth(b []float64) float64 {
	var q float64
	for j, v := range b {
		q += v * v / float64((j+1)*(j+1))
	}
	return q
}

const polynomials = lastDegree - firstDegree + 1

// legendre are the polynomials of the test at x.
func legendre(x float64) (p [polynomials]float64) {
	before, at := 1.0, x
	for n := 1; n < lastDegree; n++ {
		before, at = at, (float64(2*n+1)*x*at-float64(n)*before)/float64(n+1)
		if n+1 >= firstDegree {
			p[n+1-firstDegree] = at
		}
	}
	return p
}

// scores are the effective scores b_c of the clusters, turned to be independent.
func (m *maximum) scores(list []residual, places []fittedPlace) [][]float64 {
	fitted := m.regressed(list, places)
	if fitted == nil {
		return nil
	}
	own, left := matrix(polynomials, polynomials), matrix(polynomials, polynomials)
	sums := matrix(m.clusters, polynomials)
	for i := range list {
		r, v := &list[i], &m.visits[i]
		at := &places[v.place]
		e := at.p
		for j := range e {
			e[j] -= dot(at.by[:m.shared], fitted[j][:m.shared]) + fitted[j][m.heights+v.cell]
			sums[v.cluster][j] += r.slope * e[j]
			for k := range j + 1 {
				own[j][k] += r.expected * at.p[j] * at.p[k]
				left[j][k] += r.expected * e[j] * e[k]
			}
		}
	}
	return turned(sums, own, left)
}

// regressed are the coefficients I_pt I_tt^-1 of the polynomials, nil where the
// information is singular.
func (m *maximum) regressed(list []residual, places []fittedPlace) [][]float64 {
	information, both := matrix(m.mean, m.mean), matrix(polynomials, m.mean)
	for i := range list {
		r, v := &list[i], &m.visits[i]
		by, at := &places[v.place].by, m.heights+v.cell
		for a := range m.shared {
			for b := range a + 1 {
				information[a][b] += r.expected * by[a] * by[b]
			}
			information[at][a] += r.expected * by[a]
		}
		information[at][at] += r.expected
		for j, p := range places[v.place].p {
			for a := range m.shared {
				both[j][a] += r.expected * p * by[a]
			}
			both[j][at] += r.expected * p
		}
	}
	for a := range information {
		for b := range a {
			information[b][a] = information[a][b]
		}
	}
	inverse := optimum.Inverse(information)
	if inverse == nil {
		return nil
	}
	return product(both, inverse)
}

// turned makes the components of sums independent, each of those before it, by
// the information left on them (Cholesky), without those of which too little is
// left of their own.
func turned(sums, own, left [][]float64) [][]float64 {
	low := matrix(polynomials, polynomials)
	var kept []int
	for i := range polynomials {
		rest := left[i][i]
		for _, k := range kept {
			low[i][k] = left[i][k]
			for _, l := range kept {
				if l < k {
					low[i][k] -= low[i][l] * low[k][l]
				}
			}
			low[i][k] /= low[k][k]
			rest -= low[i][k] * low[i][k]
		}
		if rest > leastTold*own[i][i] {
			low[i][i] = math.Sqrt(rest)
			kept = append(kept, i)
		}
	}
	out := matrix(len(sums), len(kept))
	for c, s := range sums {
		for at, i := range kept {
			v := s[i]
			for before, k := range kept[:at] {
				v -= low[i][k] * out[c][before]
			}
			out[c][at] = v / low[i][i]
		}
	}
	return out
}

// tenths are the parts of the expected finds over which a departure is measured.
const tenths = 10

// departure is the root mean square of found over expected less 1, by tenths of
// the expected finds, weighted by what is expected,
//
//	sqrt(max(0, sum_b (R_b^2 - sum_c R_bc^2) / E_b / sum_b E_b))
//
// with R_bc what cluster c was found to have in tenth b beyond what is expected.
func (m *maximum) departure(list []residual, places []fittedPlace) float64 {
	residuals := matrix(tenths, m.clusters)
	var expected [tenths]float64
	for i, r := range list {
		v := &m.visits[i]
		b := min(int(places[v.place].share*tenths), tenths-1)
		residuals[b][v.cluster] += v.count - r.mean
		expected[b] += r.mean
	}
	var sum, all float64
	for b, e := range expected {
		if e == 0 {
			continue
		}
		var total float64
		for _, r := range residuals[b] {
			total += r
		}
		sum += (total*total - dot(residuals[b], residuals[b])) / e
		all += e
	}
	return math.Sqrt(max(sum/all, 0))
}
