package detect

import "math"

// key is the shape of a detection function before any series. Distances t
// are in units of the sample's scale, so that t = 1 is the half-width.
type key interface {
	// parameters is how many of log scale and log shape the key has.
	parameters() int
	// log is the log of the key and its derivatives in log scale and log shape.
	log(x spot, p *local) keyJet
	// value is the key itself, with the derivatives of its log.
	value(x spot, p *local) keyJet
	// slope is d log key / dt and its derivatives in log scale and log shape.
	slope(t float64, p *local) slopeJet
	// spread adds quadrature points that make the integral of the key, or of
	// the key times a series, good to 1e-10 of itself.
	spread(from, to float64, p *local, q *nodes)
	// starts lists places for the maximization to begin: scale and shape, given the
	// root mean square distance.
	starts(rms float64) [][2]float64
}

// spot is a distance and its log, which the hazard-rate would else take again
// and again of the same distances.
type spot struct{ t, log float64 }

func spotAt(t float64) spot { return spot{t, math.Log(t)} }

var keys = map[Key]key{
	Uniform:    uniform{},
	HalfNormal: halfNormal{},
	HazardRate: hazardRate{},
}

// local is the scale and shape of the key at one row of covariates.
type local struct {
	scale, shape       float64
	logScale, logShape float64
}

func newLocal(logScale, logShape float64) local {
	return local{scale: math.Exp(logScale), shape: math.Exp(logShape), logScale: logScale, logShape: logShape}
}

// keyJet is a value with its first and second derivatives in log scale (s) and
// log shape (b).
type keyJet struct{ value, s, b, ss, sb, bb float64 }

// slopeJet is a value with its first derivatives.
type slopeJet struct{ value, s, b float64 }
