package statstest

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
)

// Units is a sample of searched units, one entry per unit. Cluster and Order
// may be nil.
type Units struct {
	AreaHa, Count  []float64
	Cluster, Order []int
}

// DrawUnits makes up a sample: 1 to 25 units of equal or unequal area, with
// counts from none at all to a few large ones, with or without sites, at random
// or along a layout.
func DrawUnits(t *rapid.T) Units {
	n := rapid.IntRange(1, 25).Draw(t, "units")
	u := Units{AreaHa: make([]float64, n), Count: make([]float64, n)}
	equal := rapid.Bool().Draw(t, "equal areas")
	most := rapid.SampledFrom([]int{0, 1, 3, 40, 400}).Draw(t, "most finds")
	for i := range n {
		u.AreaHa[i] = 0.01
		if !equal {
			u.AreaHa[i] = rapid.Float64Range(0.001, 0.5).Draw(t, "area")
		}
		if rapid.IntRange(0, 2).Draw(t, "holds") > 0 {
			u.Count[i] = float64(rapid.IntRange(0, most).Draw(t, "count"))
		}
	}
	if rapid.Bool().Draw(t, "sites") {
		u.Cluster = rapid.SliceOfN(rapid.IntRange(1, 8), n, n).Draw(t, "site")
	}
	if rapid.Bool().Draw(t, "layout") {
		u.Order = rapid.Permutation(positions(n)).Draw(t, "order")
	}
	return u
}

func positions(n int) []int {
	p := make([]int, n)
	for i := range p {
		p[i] = i + 1
	}
	return p
}

// shuffled has the same units in another order of rows.
func (u Units) shuffled(seed uint64) Units {
	order := rand.New(rand.NewPCG(seed, 0)).Perm(len(u.Count))
	s := Units{AreaHa: make([]float64, len(order)), Count: make([]float64, len(order))}
	for to, from := range order {
		s.AreaHa[to], s.Count[to] = u.AreaHa[from], u.Count[from]
		if u.Cluster != nil {
			s.Cluster = append(s.Cluster, u.Cluster[from])
		}
		if u.Order != nil {
			s.Order = append(s.Order, u.Order[from])
		}
	}
	return s
}

// renamed numbers the sites otherwise and leaves them the same sites.
func (u Units) renamed() Units {
	names := make([]int, len(u.Cluster))
	for i, c := range u.Cluster {
		names[i] = -7 * c
	}
	u.Cluster = names
	return u
}

func times(values []float64, factor float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = factor * v
	}
	return out
}

// CheckUnits checks an estimator of density, or of anything per area, on
// samples made up by rapid:
//
//   - the estimate is [WellFormed]
//   - the order of the rows does not matter, to the last bit
//   - the numbers of the sites are but names
//   - the unit of area cancels: areas four times as large have a quarter of the
//     density, in value, standard error and limits
//   - twice the finds in every unit have twice the density
//   - the sample it is given is left as it was
func CheckUnits(t *testing.T, estimate func(Units) stats.Estimate) {
	t.Helper()
	rapid.Check(t, func(t *rapid.T) {
		u := DrawUnits(t)
		e := estimate(u)
		WellFormed(t, e)
		Same(t, "estimated again", estimate(u), e)
		Same(t, "rows in another order", estimate(u.shuffled(rapid.Uint64().Draw(t, "shuffle"))), e)
		if u.Cluster != nil {
			// Sites of equal area, finds and place may change their turn.
			Scaled(t, "sites numbered otherwise", estimate(u.renamed()), e, 1, 1e-9)
		}
		wide := u
		wide.AreaHa = times(u.AreaHa, 4)
		// Limits are found by search, which ends within 1e-8 on a log scale.
		Scaled(t, "areas four times as large", estimate(wide), e, 0.25, 1e-6)
		rich := u
		rich.Count = times(u.Count, 2)
		if got := estimate(rich).Value; !alike(got, 2*e.Value) {
			t.Errorf("twice the finds: %v, want twice %v", got, e.Value)
		}
	})
}
