package analyze

import (
	"fmt"
	"math"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// detectionRows tells of every detection function that was tried, the best
// first, and what the density of the land would be with it.
func (s *Season) detectionRows(t transects) ([]DetectionRow, error) {
	if len(t.elements) == 0 {
		return nil, nil
	}
	if len(t.selection.Ranking) == 0 {
		return []DetectionRow{s.noFunctionRow(t, "none", t.reason)}, nil
	}
	land, _, _ := s.partOf(t, t.pooledYears())
	var rows []DetectionRow
	for _, ranked := range t.selection.Ranking {
		if ranked.Fit == nil {
			rows = append(rows, s.noFunctionRow(t, ranked.Model.String(), t.noFunction(ranked.Err)))
			continue
		}
		row, err := s.detectionRow(t, land, ranked)
		if err != nil {
			return nil, err
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func (s *Season) noFunctionRow(t transects, function string, reason stats.Warning) DetectionRow {
	return DetectionRow{
		Method: LineMethod, Function: function, Selected: column.Bool{Known: true},
		Lines: column.Count(len(t.elements)), Detections: column.Count(t.within()), TruncationM: positive(t.reach.right), LeftM: positive(t.reach.left),
		Warnings: append([]stats.Warning{reason}, t.doubts...),
	}
}

// within counts the finds at the distances used.
func (t *transects) within() int {
	n := 0
	for _, f := range t.finds {
		if t.reach.holds(f.DistanceM) {
			n++
		}
	}
	return n
}

func positive(v float64) column.Float {
	if v == 0 {
		return column.Float{}
	}
	return column.Finite(v)
}

func (s *Season) detectionRow(t transects, land lines.Survey, ranked detect.Ranked) (DetectionRow, error) {
	f := ranked.Fit
	counting, err := land.Counted(f, t.size, s.lineOptions())
	if err != nil {
		return DetectionRow{}, fmt.Errorf("line transects: %w", err)
	}
	result, err := land.Density(f, s.lineOptions())
	if err != nil {
		return DetectionRow{}, fmt.Errorf("line transects: %w", err)
	}
	row := DetectionRow{
		Method: LineMethod, Function: f.Model.String(), Selected: column.Bool{Value: f == t.fit, Known: true},
		Lines: column.Count(len(t.elements)), Detections: column.Count(f.N), TruncationM: column.Finite(f.Sample().Right()), LeftM: positive(f.Sample().Left()),
		HalfWidth: figures(f.HalfWidth), Detected: figures(f.Detected),
		PerKm: column.Finite(result.Rate.Value), PerKmSE: column.Finite(column.UnlessRounding(result.Rate.SE, result.Rate.Value)),
		AIC: column.Finite(f.AIC), AICc: column.Finite(f.AICc), DeltaAIC: column.Finite(ranked.Delta), Weight: column.Finite(ranked.Weight),
		Density: figures(counting.Density), Warnings: append(counting.Density.Warnings, t.doubts...),
	}
	row.setParameters(f.Parameters)
	row.setShares(counting.Parts)
	tests := f.Test(detect.TestOptions{})
	row.ChiSquareP, row.KolmogorovP, row.CramerP = column.Finite(tests.ChiSquare.P), column.Finite(tests.KolmogorovSmirnov.P), column.Finite(tests.CramerVonMises.P)
	return row, nil
}

func (r *DetectionRow) setParameters(parameters []detect.Parameter) {
	var terms []string
	for _, p := range parameters {
		switch p.Name {
		case "scale":
			r.ScaleM, r.ScaleSE = column.Finite(p.Value), column.Finite(p.SE)
		case "shape":
			r.Shape, r.ShapeSE = column.Finite(p.Value), column.Finite(p.SE)
		default:
			term := fmt.Sprintf("%s %.4g", p.Name, p.Value)
			if !math.IsNaN(p.SE) {
				term += fmt.Sprintf(" (se %.2g)", p.SE)
			}
			terms = append(terms, term)
		}
	}
	r.Adjustments = strings.Join(terms, "; ")
}

func (r *DetectionRow) setShares(parts []lines.Part) {
	for _, p := range parts {
		share := column.Finite(100 * p.Share)
		switch p.Source {
		case lines.FromUnits:
			r.FromUnits = share
		case lines.FromDetectability:
			r.FromDetectability = share
		case lines.FromGroupSize:
			r.FromGroupSize = share
		}
	}
}

// distances are what the figure of the selected detection function shows.
func (t *transects) distances(confidence float64) Distances {
	if t.fit == nil {
		return Distances{}
	}
	sample := t.fit.Sample()
	left, right := sample.Left(), sample.Right()
	points, err := t.fit.Curve(steps(left, right, curveSteps), confidence)
	if err != nil { // of settings, and none are given
		panic("analyze: " + err.Error())
	}
	var cuts []float64 // nil: the classes that were recorded
	if t.reach.classes == nil {
		cuts = steps(left, right, max(leastBars, min(mostBars, int(math.Sqrt(float64(t.fit.N))))))
	}
	mu := t.fit.HalfWidth
	return Distances{
		Function: t.fit.Model.String(), Detections: t.fit.N,
		Bars: t.fit.Histogram(cuts), Curve: points,
		HalfWidthM: mu.Value, LowerM: mu.Lower, UpperM: mu.Upper,
	}
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
