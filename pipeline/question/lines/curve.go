package lines

import (
	"math"

	"ashtally/pipeline/estimate/transect"
	"ashtally/stats/detect"
)

// curve is what the figures of the selected detection function show; its zero value
// is that of none.
type curve struct {
	bars  []detect.Bar
	curve []detect.Point
	pairs []detect.Agreement // shares expected and observed
	band  float64            // half-width of the 95 % band of the pairs; NaN in classes
}

// curveOf evaluates the selected function at equal steps, and counts the finds in
// the classes of distance recorded or in bars of equal width.
func curveOf(t *transect.Lines, confidence float64) curve {
	if t.Fit == nil {
		return curve{}
	}
	sample := t.Fit.Sample()
	left, right := sample.Left(), sample.Right()
	points, err := t.Fit.Curve(steps(left, right, curveSteps), confidence)
	if err != nil { // of settings, and none are given
		panic("lines: " + err.Error())
	}
	c := curve{curve: points, pairs: t.Fit.Agreement(), band: detect.Band(t.Fit.N)}
	var cuts []float64 // nil: the classes that were recorded
	if t.Range.Classes == nil {
		cuts = steps(left, right, max(leastBars, min(mostBars, int(math.Sqrt(float64(t.Fit.N))))))
	} else {
		c.band = math.NaN()
	}
	c.bars = t.Fit.Histogram(cuts)
	return c
}

const (
	curveSteps = 80
	leastBars  = 4
	mostBars   = 16
)

// steps are so many equal ones from a start to an end.
func steps(start, end float64, n int) []float64 {
	at := make([]float64, n+1)
	for i := range at {
		at[i] = start + (end-start)*float64(i)/float64(n)
	}
	at[n] = end
	return at
}
