package detect

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Point is a place on a detection function.
type Point struct {
	Distance     float64 // m
	G            float64 // chance that an object at this distance is found
	Lower, Upper float64 // pointwise limits; NaN if there is no variance
}

// Curve is the detection function at the distances given, each from 0 to the
// half-width, with pointwise limits by the delta method on the scale of
// log(g / (1-g)), which keeps them between 0 and 1:
//
//	logit g -+ z se(g) / (g (1-g))
//
// A curve that rises above 1 has symmetric limits there. With covariates and
// no setting it is the mean over the objects that the detections stand for,
// each weighted by 1/mu_i; with settings it is the curve at these, at the mean
// of every other measured covariate and the commonest of other levels.
//
// It fails on a covariate or a level that the model does not have, and panics
// on a distance out of range.
func (f *Fit) Curve(distances []float64, confidence float64, at ...Setting) ([]Point, error) {
	rows, weights, err := f.mixture(at)
	if err != nil {
		return nil, err
	}
	points := make([]Point, len(distances))
	for i, x := range distances {
		if !(x >= 0 && x <= f.sample.right) {
			panic("detect: distance outside the half-width")
		}
		g, variance := f.mean(x, rows, weights)
		points[i] = band(x, g, math.Sqrt(variance), distuv.UnitNormal.Quantile((1+confidence)/2))
	}
	return points, nil
}

func band(x, g, se, z float64) Point {
	p := Point{Distance: x, G: g}
	if g <= 0 || g >= 1 || se == 0 {
		p.Lower, p.Upper = max(0, g-z*se), g+z*se
		return p
	}
	odds, spread := math.Log(g/(1-g)), z*se/(g*(1-g))
	p.Lower, p.Upper = 1/(1+math.Exp(spread-odds)), 1/(1+math.Exp(-spread-odds))
	return p
}

// mean is the mean of g over rows and its variance.
func (f *Fit) mean(x float64, rows [][]float64, weights []float64) (g, variance float64) {
	gradient := make([]float64, f.likelihood.size())
	for r, row := range rows {
		value, own := f.jetAt(x, row)
		g += weights[r] * value
		for i := range own {
			gradient[i] += weights[r] * own[i]
		}
	}
	return g, f.variance(gradient)
}

// mixture is the rows of covariates that a curve stands for, with weights
// that add up to 1.
func (f *Fit) mixture(at []Setting) (rows [][]float64, weights []float64, err error) {
	l := f.likelihood
	if len(at) > 0 {
		row, err := f.settingRow(at)
		return [][]float64{row}, []float64{1}, err
	}
	if len(l.rows) == 1 {
		return l.rows, []float64{1}, nil
	}
	var sum float64
	for r, row := range l.rows {
		w := l.groups[r].weight / f.widthAt(row).value
		weights = append(weights, w)
		sum += w
	}
	for r := range weights {
		weights[r] /= sum
	}
	return l.rows, weights, nil
}

// G is the detection function at a distance, averaged as in [Fit.Curve].
func (f *Fit) G(distance float64) float64 {
	rows, weights, _ := f.mixture(nil)
	g, _ := f.mean(distance, rows, weights)
	return g
}
