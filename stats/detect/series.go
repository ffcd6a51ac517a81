package detect

// seriesFunction is one order of a series at x, with its first and second
// derivative in x. All are even functions, smooth across the line.
type seriesFunction func(order int, x float64) (value, first, second float64)

var seriesFunctions = map[Series]seriesFunction{
	Cosine:     cosine,
	Polynomial: polynomial,
	Hermite:    hermite,
}

// basis is the series of a model.
type basis struct {
	function seriesFunction
	orders   []int
	onLine   [MaxTerms]float64 // p_j(0)
	byScale  bool              // the argument is t/scale, not t
}

func newBasis(m Model) basis {
	b := basis{
		function: seriesFunctions[m.Series],
		orders:   m.orders(),
		byScale:  m.Series == Hermite && m.Key != Uniform,
	}
	for j, order := range b.orders {
		b.onLine[j], _, _ = b.function(order, 0)
	}
	return b
}

// seriesJet is s(t) = 1 + sum_j a_j (p_j(t) - p_j(0)) and its derivatives. It
// is linear in the a_j, whose derivatives are the terms in brackets.
type seriesJet struct {
	value, s, ss float64 // in log scale; 0 unless the argument is by scale
	term, termS  [MaxTerms]float64

	slope, slopeS float64 // ds/dt and its derivative in log scale
	termSlope     [MaxTerms]float64
}

// at evaluates the series with coefficients a.
func (b basis) at(t float64, p *local, a []float64) seriesJet {
	jet := seriesJet{value: 1}
	x, stretch := t, 1.0
	if b.byScale {
		x, stretch = t/p.scale, 1/p.scale
	}
	for j, order := range b.orders {
		value, first, second := b.function(order, x)
		value -= b.onLine[j]
		jet.term[j], jet.termSlope[j] = value, first*stretch
		jet.value += a[j] * value
		jet.slope += a[j] * first * stretch
		if b.byScale { // d/d log scale = -x d/dx
			jet.termS[j] = -x * first
			jet.s -= a[j] * x * first
			jet.ss += a[j] * (x*first + x*x*second)
			jet.slopeS -= a[j] * stretch * (first + x*second)
		}
	}
	return jet
}
