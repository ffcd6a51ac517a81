package analyze

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// line adds a line with a half-width of 4 m and one visit to it.
func (w *world) line(t *testing.T, stratum, id string, lengthM float64) {
	w.transects = append(w.transects, survey.Transect{
		Transect: id, Stratum: stratum, Kind: survey.Line, LengthM: known1(lengthM), HalfWidthM: known1(4), Sides: column.Count(2), Laid: survey.Horizontal,
	})
	w.visit(t, id, "2031-05-01", 1)
}

// away adds a find so far from a line.
func (w *world) away(t *testing.T, unit string, distanceM float64, n int64, mode, tree string) {
	w.find(t, unit, "2031-05-01", 1, n, mode, tree)
	w.finds[len(w.finds)-1].DistanceM = known1(distanceM)
}

// linesWorld has six lines of 200 m in the burn and two of 100 m in the green,
// with the distances of a half-normal of scale 1.5 m placed by its quantiles.
func linesWorld(t *testing.T) world {
	w := newWorld()
	for i := range 6 {
		w.line(t, "burn", fmt.Sprint("B", i), 200)
	}
	w.line(t, "green", "G0", 100)
	w.line(t, "green", "G1", 100)
	modes := []string{survey.Saprotrophic, survey.Saprotrophic, survey.HostAssociated}
	for i := range 60 {
		on := fmt.Sprint("B", i*i%7%6)
		if i%10 == 3 {
			on = fmt.Sprint("G", i/10%2)
		}
		x := 1.5 * math.Sqrt2 * math.Erfinv((float64(i)+0.5)/60*math.Erf(4/1.5/math.Sqrt2))
		w.away(t, on, x, 1+int64(i%2), modes[i%3], []string{"spruce", "birch"}[i%2])
	}
	return w
}

// TestComparisonAlongLines: with one detection function the ratio of finds is
// that of densities, on strata by area.
func TestComparisonAlongLines(t *testing.T) {
	r := linesWorld(t).answer(t)
	ratios := 0
	for _, c := range r.Comparison {
		if c.Method != LineMethod || c.Comparison != HostToSapro {
			continue
		}
		host := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: c.Stratum, Years: c.Years, Mode: survey.HostAssociated, Tree: c.Tree, Taxon: All})
		sapro := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: c.Stratum, Years: c.Years, Mode: survey.Saprotrophic, Tree: c.Tree, Taxon: All})
		if !c.Value.Known {
			continue
		}
		ratios++
		if got := c.Value.Value; math.Abs(got-host.Value.Value/sapro.Value.Value) > 1e-9 || !slices.ContainsFunc(c.Warnings, hasCode("detection-alike")) {
			t.Errorf("%+v: %v, densities %v and %v", c, got, host.Value, sapro.Value)
		}
	}
	if ratios < 4 {
		t.Errorf("%d ratios along lines", ratios)
	}
}

// TestComparisonOfKindsSeenApart: with the mode among the covariates the ratio
// is that of the corrected densities, and carries what they do not know.
func TestComparisonOfKindsSeenApart(t *testing.T) {
	w := linesWorld(t)
	for i := range w.finds { // by chance, not in turn, so that lines differ
		if w.finds[i].Mode = survey.Saprotrophic; i*i*i%11 < 5 {
			w.finds[i].Mode = survey.HostAssociated
			w.finds[i].DistanceM.Value /= 2.5
		}
	}
	crude := comparisonOf(t, w.answer(t))
	w.settings.Lines.Covariates = []string{survey.OfMode}
	r := w.answer(t)
	c := comparisonOf(t, r)
	if c.Interval != "log-t" {
		t.Fatalf("%+v", c)
	}
	host, sapro := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: survey.HostAssociated, Tree: All, Taxon: All}), row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: survey.Saprotrophic, Tree: All, Taxon: All})
	if math.Abs(c.Value.Value-host.Value.Value/sapro.Value.Value) > 1e-9 || !(c.Value.Value > 1.5*crude.Value.Value) {
		t.Errorf("ratio %v, without the covariate %v, densities %v and %v", c.Value, crude.Value, host.Value, sapro.Value)
	}
	if slices.ContainsFunc(c.Warnings, hasCode("detection-alike")) || hasWarning(host, "detection-shared") {
		t.Errorf("a function of the mode is said to be shared: %q", join(c.Warnings))
	}
	if !(c.CV.Value > crude.CV.Value) {
		t.Errorf("cv %v, no more than %v of the counts", c.CV, crude.CV)
	}
}

func comparisonOf(t *testing.T, r answered) ComparisonRow {
	t.Helper()
	for _, c := range r.Comparison {
		if c.Method == LineMethod && c.Comparison == HostToSapro && c.Stratum == All && c.Years == All && c.Tree == All {
			return c
		}
	}
	t.Fatal("no comparison along lines")
	return ComparisonRow{}
}

func hasCode(code string) func(stats.Warning) bool {
	return func(w stats.Warning) bool { return w.Code == code }
}
