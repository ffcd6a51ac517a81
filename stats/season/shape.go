package season

// Shape is a family of curves of the rate.
type Shape string

// The shapes of a flush. Each is a special case of those below it, or their
// limit: a leaning curve of skewness 0 and two humps that coincide are Gaussian.
const (
	Gaussian Shape = "gaussian"
	Leaning  Shape = "leaning"
	TwoHumps Shape = "two humps"
)

// mostForm is the largest number of parameters of a shape, mostShared that of
// the parameters that the cells share: the shape's, delay, grade and lead.
const (
	mostForm   = 5
	mostShared = mostForm + 3
)

// family makes the rates of a shape.
type family interface {
	// parameters is the number of parameters of the shape.
	parameters() int
	// at is the rate at the parameters x of the shape.
	at(x []float64) rate
	// box sets the bounds of the parameters, and the longest step of each.
	box(lower, upper, stride []float64)
	// bending is by which share the curvature of the logarithm of the rate changes
	// when parameters x change by d.
	bending(x, d []float64) float64
}

func (s Shape) family() family {
	switch s {
	case Gaussian:
		return gaussians{}
	case Leaning:
		return leanings{}
	case TwoHumps:
		return humps{}
	}
	panic("season: unknown shape " + string(s))
}

// rate is the curve of the rate over the scaled time z, up to its height, which
// each cell has of its own. All of its derivatives are by the parameters of the
// shape and, last, by z.
type rate interface {
	// integrate sums weight x rate over the nodes of a window.
	integrate(nodes []node, a axis, to *logIntegral)
	// whole is the integral over all z; its derivative by z is 0.
	whole(to *logIntegral)
	// share is the part of the flush that has come by z.
	share(z float64) float64
	// peaks are the modes, ascending, and how much of the height of the highest
	// each has.
	peaks() []hump
	// spread is the standard deviation of the flush.
	spread() float64
}

// hump is a mode of the rate: its place and its height as a share of that of
// the highest.
type hump struct{ z, height float64 }

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

// byTime fills in the derivatives by z of a rate of n parameters: it depends on
// z less each of the places given alone.
func (l *logIntegral) byTime(n int, places ...int) {
	l.first[n], l.second[n][n] = 0, 0
	for _, p := range places {
		l.first[n] -= l.first[p]
	}
	for i := range n {
		l.second[i][n] = 0
		for _, p := range places {
			l.second[i][n] -= l.second[i][p]
		}
		l.second[n][i] = l.second[i][n]
	}
	for _, p := range places {
		l.second[n][n] -= l.second[p][n]
	}
}
