package season

// Shape is a family of curves of the rate.
type Shape string

// The shapes of a flush: a normal curve; a log-gamma curve, one side of which is
// steeper; the sum of two normal curves. The first is a special case of the others.
const (
	Gaussian Shape = "gaussian"
	Skewed   Shape = "skewed"
	Bimodal  Shape = "bimodal"
)

// mostForm is the largest number of parameters of a shape, mostShared that of
// the parameters that the cells share: the shape's, delay, grade and lead.
const (
	mostForm   = 5
	mostShared = mostForm + 3
)

// family is a shape with its parameters open.
type family interface {
	// parameters is their number.
	parameters() int
	// at is the rate at the parameters x.
	at(x []float64) rate
	// box sets the bounds of the parameters, and the longest step of each.
	box(lower, upper, stride []float64)
	// move changes the parameters x to those of the same curve on another axis.
	move(x []float64, to axis)
	// bending is the relative change of the curvature of the logarithm of the rate
	// at its peak, to first order, for a change d of all parameters.
	bending(x, d []float64) float64
}

func (s Shape) family() family {
	switch s {
	case Gaussian:
		return gaussianFamily{}
	case Skewed:
		return skewedFamily{}
	case Bimodal:
		return bimodalFamily{}
	}
	panic("season: unknown shape " + string(s))
}

// rate is the curve of the rate over the scaled time z, without its height, which
// each cell has of its own.
type rate interface {
	// integrate sums weight x rate over the nodes of a window.
	integrate(nodes []node, a axis, to *logIntegral)
	// whole is the integral over all z; its derivative by z is 0.
	whole(to *logIntegral)
	// share is the part of the flush that has come by z.
	share(z float64) float64
	// peaks are the modes, ascending.
	peaks() []peak
	// spread is the standard deviation of the flush.
	spread() float64
}

// peak is a mode of the rate: its place and its height as a share of that of
// the highest.
type peak struct{ z, height float64 }

// axis takes a time x to z = scale x + offset.
type axis struct{ scale, offset float64 }

func (a axis) at(x float64) float64 { return a.scale*x + a.offset }

// logIntegral is the logarithm of an integral of the rate with its derivatives
// by the parameters of the shape and, at their number, by z.
type logIntegral struct {
	value  float64
	first  [mostForm + 1]float64
	second [mostForm + 1][mostForm + 1]float64 // symmetric
}

// shifts fills in the derivatives by z of a rate of n parameters that depends on z
// less the location parameters given alone: they are those by all of these, turned
// round.
func (l *logIntegral) shifts(n int, locations ...int) {
	l.first[n], l.second[n][n] = 0, 0
	for _, p := range locations {
		l.first[n] -= l.first[p]
	}
	for i := range n {
		l.second[i][n] = 0
		for _, p := range locations {
			l.second[i][n] -= l.second[i][p]
		}
		l.second[n][i] = l.second[i][n]
	}
	for _, p := range locations {
		l.second[n][n] -= l.second[p][n]
	}
}
