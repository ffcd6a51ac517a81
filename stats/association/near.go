package association

import (
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/linear"
	"ashtally/stats/permute"
)

// Near compares finds with the points of their own units. Within distance d of
// a live host stand
//
//	O = sum_u w_u x_u,   E = sum_u w_u n_u y_u / r_u
//
// fruit bodies, and would stand if finds fell like points: x_u of the n_u finds
// and y_u of the r_u points of unit u are that near to the host recorded with
// them, and w_u is the unit's weight in the land. The risk ratio is O / E; its
// logarithm has the linearised variance of the residuals x_u / O - e_u / E over
// sites (see [linear.Layout.Spread]). Each unit is its own standard, so units
// rich in both hosts and finds make no difference.
//
// Under the hypothesis that finds stand like points, the finds and the points
// of a site may change places. Such swaps leave O + E as it is, and T = O - E
// becomes the sum of the sites' differences with signs drawn at random. From
// this come the p at each distance, and, with T over its standard deviation at
// the worst distance, one p for the whole range; the envelopes are what ratios
// the same swaps reach (Myllymäki et al. 2017, studentised maximum).
//
// Distances must be in ascending order. Special cases, each with a warning: no
// finds, no points or no unit with both gives no figure; no point within d
// leaves no ratio, no find within d a ratio of 0 without limits; finds in one
// site leave ratios without limits. Over 200 sites are put together in groups
// for swaps and bootstrap.
//
// It panics on a spot outside the design, a negative or infinite distance, an
// empty count and distances out of order.
func Near(s Survey, distances []float64, o Options) Nearness {
	s.check(distances, o)
	if o.Replicates == 0 {
		o.Replicates = 1999
	}
	w := s.lay(distances, o)
	n := Nearness{Units: w.units, Clusters: w.layout.Clusters(), Finds: w.finds, Points: w.points, FindsLeft: w.findsLeft, P: math.NaN()}
	if reason := w.impossible(s); reason != nil {
		return n.without(*reason, distances, o.Confidence)
	}
	n.Warnings = w.doubts()
	n.Within = make([]Within, len(distances))
	for d := range distances {
		n.Within[d] = w.within(d)
	}
	w.envelopes(&n)
	n.Median = w.median()
	return n
}

func (s Survey) check(distances []float64, o Options) {
	if !(o.Confidence > 0 && o.Confidence < 1) {
		panic("association: confidence is not between 0 and 1")
	}
	if !slices.IsSorted(distances) {
		panic("association: distances are out of order")
	}
	for _, spots := range [][]Spot{s.Finds, s.Points} {
		for _, p := range spots {
			if p.Unit < 0 || p.Unit >= len(s.AreaHa) || !(p.DistanceM >= 0) || math.IsInf(p.DistanceM, 1) || !(p.Count > 0) {
				panic("association: a spot lies nowhere, or counts nothing")
			}
		}
	}
}

// work is a survey reduced to the units that hold both finds and points.
type work struct {
	Options
	layout    linear.Layout
	distances []float64
	spots     [2][]spot    // finds and points, points weighed to the finds
	counted   [2][]float64 // x_u and e_u, a row of units for each distance
	raw       [2][]int     // finds and points within each distance, as counted
	total     float64      // of finds, weighed
	perUnit   []float64    // finds
	group     []int        // of each cluster, for swaps and bootstrap
	groups    []int        // number in each stratum
	units     int
	finds     int
	points    int
	findsLeft int
}

// spot is a Spot by unit of the layout.
type spot struct {
	distanceM, count float64
	unit             int32
	host             bool
}

// lay picks the units with both, and weighs the points of each to its finds.
func (s Survey) lay(distances []float64, o Options) work {
	w := work{Options: o, distances: distances}
	n := len(s.AreaHa)
	finds, points := make([]float64, n), make([]float64, n)
	for _, p := range s.Finds {
		finds[p.Unit] += p.Count
	}
	for _, p := range s.Points {
		points[p.Unit] += p.Count
	}
	d := linear.Design{LandHa: s.LandHa, Strata: s.Strata}
	at := make([]int, n)
	for u := range n {
		at[u] = -1
		if points[u] == 0 {
			w.findsLeft += int(finds[u])
			continue
		}
		if finds[u] == 0 {
			continue
		}
		at[u] = w.units
		w.units++
		w.finds += int(finds[u])
		w.points += int(points[u])
		d.AreaHa = append(d.AreaHa, s.AreaHa[u])
		if s.Stratum != nil {
			d.Stratum = append(d.Stratum, s.Stratum[u])
		}
		if s.Cluster != nil {
			d.Cluster = append(d.Cluster, s.Cluster[u])
		}
		w.perUnit = append(w.perUnit, finds[u])
	}
	w.layout = linear.New(d)
	// The weight of a unit in the land is by all that was searched, finds or none.
	w.layout = w.layout.Weighed(weights(s.Design, at, w.units))
	w.count(s, at, finds, points)
	w.total = w.layout.Total(w.perUnit)
	w.gather()
	return w
}

// weights are those that the units with both have in the whole design.
func weights(d linear.Design, at []int, units int) []float64 {
	all, out := linear.New(d), make([]float64, units)
	for u, k := range at {
		if k >= 0 {
			out[k] = all.Weight(u)
		}
	}
	return out
}

func (w *work) count(s Survey, at []int, finds, points []float64) {
	for side, spots := range [2][]Spot{s.Finds, s.Points} {
		w.counted[side] = make([]float64, len(w.distances)*w.units)
		w.raw[side] = make([]int, len(w.distances))
		w.spots[side] = make([]spot, 0, len(spots))
		for _, p := range spots {
			unit := at[p.Unit]
			if unit < 0 {
				continue
			}
			weighed := spot{p.DistanceM, p.Count, int32(unit), p.Host}
			if side == 1 {
				weighed.count *= finds[p.Unit] / points[p.Unit]
			}
			w.spots[side] = append(w.spots[side], weighed)
			if !p.Host {
				continue
			}
			from, _ := slices.BinarySearch(w.distances, p.DistanceM)
			for d := from; d < len(w.distances); d++ {
				w.counted[side][d*w.units+unit] += weighed.count
				w.raw[side][d] += int(p.Count)
			}
		}
	}
}

// row is x_u or e_u at a distance.
func (w work) row(side, d int) []float64 { return w.counted[side][d*w.units : (d+1)*w.units] }

// within compares the shares at one distance.
func (w work) within(d int) Within {
	x, e := w.row(0, d), w.row(1, d)
	observed, expected := w.layout.Total(x), w.layout.Total(e)
	r := Within{
		DistanceM: w.distances[d], FindsWithin: w.raw[0][d], PointsWithin: w.raw[1][d],
		FindShare: observed / w.total, PointShare: expected / w.total, P: math.NaN(),
		Lower: math.NaN(), Upper: math.NaN(), EnvelopeLower: math.NaN(), EnvelopeUpper: math.NaN(),
	}
	n := w.layout.Clusters()
	switch {
	case expected == 0:
		r.Ratio = stats.Missing(w.Confidence, n, noPointWithin)
		return r
	case observed == 0:
		r.Ratio = stats.Estimate{SE: math.NaN(), Interval: stats.NoInterval(w.Confidence), N: n, Warnings: []stats.Warning{noFindWithin}}
		return r
	}
	z := make([]float64, w.units)
	for u := range z {
		z[u] = x[u]/observed - e[u]/expected
	}
	value := observed / expected
	spread := w.layout.Spread(z)
	if n < 2 || w.layout.Lone() || spread.Variance <= max(tooEven*w.chance(r), nothing) {
		r.Ratio = stats.Estimate{Value: value, SE: math.NaN(), Interval: stats.NoInterval(w.Confidence), N: n, Warnings: []stats.Warning{noSpread}}
		return r
	}
	half := spread.Half(w.Confidence)
	r.Ratio = stats.Estimate{Value: value, SE: value * spread.SE(), N: n, Interval: stats.Interval{
		Lower: value * math.Exp(-half), Upper: value * math.Exp(half), Confidence: w.Confidence, DF: spread.DF, Method: LogT,
	}}
	if half > math.Log(widest) {
		r.Ratio.Interval, r.Ratio.Warnings = stats.NoInterval(w.Confidence), []stats.Warning{tooWide}
	}
	return r
}

// chance is about the variance of the log ratio if spots were independent.
func (w work) chance(r Within) float64 {
	of := func(share float64, n int) float64 { return max(0, 1-share) / (share * float64(n)) }
	return of(r.FindShare, w.finds) + of(r.PointShare, w.points)
}

// envelopes fills in what swaps reach.
func (w work) envelopes(n *Nearness) {
	groups := len(w.groupList())
	if groups < 2 {
		return
	}
	count := len(w.distances)
	apart := make([][]float64, count) // by distance, then group
	size := make([]float64, count)
	var both = make([]float64, count)
	for d := range apart {
		apart[d] = make([]float64, groups)
		x, e := w.row(0, d), w.row(1, d)
		for u := range x {
			apart[d][w.group[w.layout.Cluster(u)]] += w.layout.Weight(u) * (x[u] - e[u])
			both[d] += w.layout.Weight(u) * (x[u] + e[u])
		}
		for _, v := range apart[d] {
			size[d] += v * v
		}
		size[d] = math.Sqrt(size[d])
	}
	departures := func(swap []int) []float64 {
		out := make([]float64, count)
		for d := range out {
			var sum float64
			for s, v := range apart[d] {
				sum += float64(1-2*swap[s]) * v
			}
			if size[d] > 0 {
				out[d] = math.Abs(sum) / size[d]
			}
		}
		return out
	}
	scheme, options := permute.Swaps(groups), permute.Options{Seed: w.Seed, Replicates: w.Replicates, Limit: float64(w.Replicates)}
	values, exact := permute.Values(scheme, options, departures)
	seen := departures(make([]int, groups))
	column, worst := make([]float64, len(values)), make([]float64, len(values))
	for i, v := range values {
		worst[i] = slices.Max(v)
	}
	n.P, _ = permute.PValue(slices.Max(seen), worst, exact)
	envelope := critical(worst, w.Confidence)
	for d := range n.Within {
		for i, v := range values {
			column[i] = v[d]
		}
		r := &n.Within[d]
		r.Lower, r.Upper = reach(critical(column, w.Confidence)*size[d], both[d])
		r.EnvelopeLower, r.EnvelopeUpper = reach(envelope*size[d], both[d])
		if both[d] > 0 {
			r.P, _ = permute.PValue(seen[d], column, exact)
		}
	}
}

// critical is the value that the given share of the values do not exceed.
func critical(values []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	const rounding = 1e-9 // so that 0.95 of 2000 is 1900
	return sorted[max(0, min(len(sorted)-1, int(math.Ceil(share*float64(len(sorted))-rounding))-1))]
}

// reach turns a difference O - E of a fixed sum into the ratios O / E that it
// reaches: a ratio and its inverse. No ratio can be had of nothing.
func reach(half, both float64) (lower, upper float64) {
	switch {
	case both == 0:
		return math.NaN(), math.NaN()
	case half >= both:
		return 0, math.NaN()
	}
	return (both - half) / (both + half), (both + half) / (both - half)
}
