package analyze

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/adaptive"
	"ashtally/stats/density"
)

// grid is how the plots of a frame came into the sample: drawn from a grid of
// equal plots, or added beside one that met the threshold.
type grid struct {
	plots   int       // N, of the whole stratum
	areaHa  float64   // of one
	at      []int     // plot of each element; a plot has an element for each season
	seasons []float64 // elements of each plot
	drawn   []bool
	network []int // -1 under the threshold
	size    []int // of each network, searched or not
	names   []string
}

// densityMethods lists the methods that densities are estimated by: those of
// the units, and adaptive clusters, which are plots with those added to them.
func (s *Season) densityMethods() []string {
	var methods []string
	for _, method := range s.methods() {
		if method == AddedMethod {
			continue
		}
		methods = append(methods, method)
		if method == PlotMethod && slices.ContainsFunc(s.strata, func(st stratum) bool { return st.adaptive }) {
			methods = append(methods, AdaptiveMethod)
		}
	}
	return methods
}

// countsFor reports whether a unit counts in the figures of a method.
func (s *Season) countsFor(method string, u unit) bool {
	if method == AdaptiveMethod {
		return s.strata[u.stratum].adaptive && (u.method == PlotMethod || u.method == AddedMethod)
	}
	return u.method == method
}

// noun is what a unit of a method is called in a sentence.
func noun(method string) string {
	switch method {
	case AdaptiveMethod:
		return "adaptive cluster plot"
	case AddedMethod:
		return "added plot"
	}
	return method
}

// adaptiveFrames returns the frames of a stratum of adaptive cluster plots.
// Roadside plots stay in: they were drawn from the grid like the others.
func (s *Season) adaptiveFrames(at int, here []element) []frame {
	warnings := s.plotsWithoutSequence()
	roadside, sited := 0, false
	for _, e := range here {
		sited = sited || e.unit.site != ""
		if e.unit.roadside {
			roadside++
		}
	}
	if roadside > 0 {
		warnings = append(warnings, stats.Warning{Code: "roadside-in-grid",
			Text: fmt.Sprintf("%d plots lie along roads and count like any other, as plots of the grid; if they were picked for the road, the figure is none of the stratum", roadside)})
	}
	if sited {
		warnings = append(warnings, stats.Warning{Code: "sites-in-grid",
			Text: "plots are of sites, and the estimate takes the drawn plots for drawn one by one; if whole sites were drawn, the interval is too narrow"})
	}
	var frames []frame
	for _, years := range append([]string{All}, yearsOf(here)...) {
		f := newFrame(AdaptiveMethod, at, years, here, warnings)
		f.grid = s.gridOf(f)
		frames = append(frames, f)
	}
	return frames
}

// gridOf numbers the plots and networks of a frame, in the order of their names.
func (s *Season) gridOf(f frame) *grid {
	g := &grid{}
	var listed int
	size := map[string]int{}
	for _, u := range s.units {
		if u.stratum == f.stratum && s.countsFor(AdaptiveMethod, u) {
			listed++
			size[u.network]++
		}
	}
	for _, e := range f.elements {
		if name := e.unit.network; name != "" && !slices.Contains(g.names, name) {
			g.names = append(g.names, name)
		}
	}
	slices.Sort(g.names)
	for _, name := range g.names {
		g.size = append(g.size, size[name])
	}
	last := ""
	for _, e := range f.elements { // the seasons of a plot stand together
		if e.unit.id != last || len(g.seasons) == 0 {
			last = e.unit.id
			g.seasons = append(g.seasons, 0)
			g.drawn = append(g.drawn, e.unit.method == PlotMethod)
			k, _ := slices.BinarySearch(g.names, e.unit.network)
			if e.unit.network == "" {
				k = -1
			}
			g.network = append(g.network, k)
			g.areaHa += e.unit.areaHa
		}
		g.at = append(g.at, len(g.seasons)-1)
		g.seasons[len(g.seasons)-1]++
	}
	g.areaHa /= float64(len(g.seasons))
	// Both areas are rounded; there are at least as many plots as were laid.
	g.plots = max(listed, int(math.Round(min(s.strata[f.stratum].landHa/g.areaHa, mostPlots))))
	return g
}

// mostPlots bounds a grid: beyond it one more plot changes no digit shown.
const mostPlots = 1e12

// adaptive estimates what is counted on the plots of a frame, their mean of
// several seasons where they have them.
func (s *Season) adaptive(f frame, counts []float64) adaptive.Result {
	g := f.grid
	mean := make([]float64, len(g.seasons))
	for i, at := range g.at {
		mean[at] += counts[i]
	}
	for at := range mean {
		mean[at] /= g.seasons[at]
	}
	return adaptive.Stratum(adaptive.Sample{
		Plots: g.plots, AreaHa: g.areaHa, Count: mean, Drawn: g.drawn, Network: g.network, Size: g.size,
	}, adaptive.Options{Confidence: s.settings.Confidence, Estimator: s.settings.Adaptive.Estimator})
}

// adaptiveRows tells how the samples of adaptive cluster plots came out, with
// both estimates, and what their networks are.
func (s *Season) adaptiveRows(elements []element) ([]AdaptiveRow, []NetworkRow) {
	c := s.crossings()
	frames := s.frames(AdaptiveMethod, elements)
	results := make([]adaptive.Result, len(frames))
	var networks []NetworkRow
	for i, f := range frames {
		counts := dense(make([]float64, len(f.elements)), c.count(f)[0]) // the first crossing is all finds
		results[i] = s.adaptive(f, counts)
		if f.years != All {
			networks = append(networks, s.networkRows(f, counts, results[i])...)
		}
	}
	var rows []AdaptiveRow
	for _, years := range append([]string{All}, yearClasses(frames)...) {
		if row := s.adaptiveLand(frames, results, years); row.Drawn.Known {
			rows = append(rows, row)
		}
	}
	for i, f := range frames {
		rows = append(rows, s.adaptiveRow(f, results[i]))
	}
	return rows, networks
}

func (s *Season) adaptiveRow(f frame, r adaptive.Result) AdaptiveRow {
	ha := f.grid.areaHa
	row := AdaptiveRow{
		Stratum: s.strata[f.stratum].name, Years: f.years, Estimator: s.settings.Adaptive.Estimator,
		Grid: column.Count(f.grid.plots), Drawn: column.Count(r.Drawn), Added: column.Count(r.Searched - r.Drawn), Edge: column.Count(r.Edge),
		HansenHurwitz: column.Finite(r.HansenHurwitz.Value / ha), HansenHurwitzSE: column.Finite(math.Sqrt(r.HansenHurwitz.Variance) / ha),
		HorvitzThompson: column.Finite(r.HorvitzThompson.Value / ha), HorvitzThompsonSE: column.Finite(math.Sqrt(r.HorvitzThompson.Variance) / ha),
		Naive: column.Finite(r.Naive), Overstates: column.Finite(100 * r.Overstates()),
		Warnings: append(slices.Clip(r.Density.Warnings), f.warnings...),
	}
	met := 0
	for _, k := range r.Networks {
		if k.Number >= 0 {
			met++
		}
	}
	row.Networks = column.Count(met)
	if r.Drawn == 0 {
		row.HansenHurwitz, row.HansenHurwitzSE, row.HorvitzThompson, row.HorvitzThompsonSE = column.Float{}, column.Float{}, column.Float{}, column.Float{}
	}
	return row
}

// adaptiveLand weighs the strata of a class of years by their share of the
// land that adaptive cluster plots reached.
func (s *Season) adaptiveLand(frames []frame, results []adaptive.Result, years string) AdaptiveRow {
	row := AdaptiveRow{Stratum: s.pooledStratum(frames), Years: years, Estimator: s.settings.Adaptive.Estimator}
	var landHa float64
	for _, f := range frames {
		if f.years == years {
			landHa += s.strata[f.stratum].landHa
		}
	}
	var hh, ht, naive float64
	var members []frame
	var byHH, byHT []stats.Estimate
	for i, f := range frames {
		if f.years != years {
			continue
		}
		r, share := results[i], s.strata[f.stratum].landHa/landHa
		one := s.adaptiveRow(f, r)
		row.Warnings = fromStratum(row.Warnings, one)
		members = append(members, f)
		byHH, byHT = append(byHH, meanPerHa(r.HansenHurwitz, r.Drawn, f.grid.areaHa)), append(byHT, meanPerHa(r.HorvitzThompson, r.Drawn, f.grid.areaHa))
		row.Grid, row.Drawn, row.Added = plusInt(row.Grid, one.Grid), plusInt(row.Drawn, one.Drawn), plusInt(row.Added, one.Added)
		row.Edge, row.Networks = plusInt(row.Edge, one.Edge), plusInt(row.Networks, one.Networks)
		hh, ht, naive = hh+share*one.HansenHurwitz.Or(math.NaN()), ht+share*one.HorvitzThompson.Or(math.NaN()), naive+share*r.Naive
	}
	row.HansenHurwitz, row.HorvitzThompson, row.Naive = column.Finite(hh), column.Finite(ht), column.Finite(naive)
	row.HansenHurwitzSE, row.HorvitzThompsonSE = s.adaptiveSE(members, byHH), s.adaptiveSE(members, byHT)
	reported := ht
	if row.Estimator == adaptive.HansenHurwitz {
		reported = hh
	}
	if reported > 0 {
		row.Overstates = column.Finite(100 * (naive/reported - 1))
	}
	row.Warnings = append(row.Warnings, density.Groups(s.densityParts(members, byHH)).Warnings...)
	row.Warnings = append(row.Warnings, s.missedWarning(AdaptiveMethod, frames, years)...)
	return row
}

// meanPerHa is an estimated mean per plot as one per hectare.
func meanPerHa(m adaptive.Mean, drawn int, plotHa float64) stats.Estimate {
	return stats.Estimate{Value: m.Value / plotHa, SE: math.Sqrt(m.Variance) / plotHa, N: drawn}
}

// adaptiveSE is the standard error of some frames together.
func (s *Season) adaptiveSE(members []frame, estimates []stats.Estimate) column.Float {
	var landHa, variance float64
	for _, p := range s.collapsed(members, estimates, nil) {
		landHa += p.AreaHa
		variance += p.AreaHa * p.AreaHa * p.SE * p.SE
	}
	return column.Finite(math.Sqrt(variance) / landHa)
}

// fromStratum adds the warnings of a stratum that are not there yet.
func fromStratum(all []stats.Warning, row AdaptiveRow) []stats.Warning {
	for _, w := range row.Warnings {
		w = stats.Warning{Code: "stratum-" + w.Code, Text: "in stratum " + row.Stratum + ": " + w.Text}
		if !slices.Contains(all, w) {
			all = append(all, w)
		}
	}
	return all
}

func plusInt(a, b column.Int) column.Int {
	return column.Int{Value: a.Value + b.Value, Known: true}
}

// networkRows lists the networks of a frame, those without a drawn plot too.
func (s *Season) networkRows(f frame, counts []float64, r adaptive.Result) []NetworkRow {
	g := f.grid
	rows := make([]NetworkRow, len(g.names))
	finds, searched := make([]float64, len(rows)), make([]int, len(rows))
	for i, at := range g.at {
		if k := g.network[at]; k >= 0 {
			finds[k] += counts[i]
			searched[k]++
		}
	}
	for k, name := range g.names {
		rows[k] = NetworkRow{
			Stratum: s.strata[f.stratum].name, Years: f.years, Network: name,
			Plots: column.Count(g.size[k]), Searched: column.Count(searched[k]), Drawn: column.Count(0), Finds: column.Count(int(finds[k])),
			Warnings: []stats.Warning{{Code: "network-not-drawn", Text: "no plot of it was drawn in this stratum, so it counts nowhere"}},
		}
	}
	for _, k := range r.Networks {
		if k.Number < 0 {
			continue
		}
		row := &rows[k.Number]
		row.Drawn, row.Inclusion, row.Warnings = column.Count(k.Drawn), column.Finite(k.Inclusion), nil
		if k.Searched < k.Plots {
			row.Warnings = []stats.Warning{{Code: "network-incomplete", Text: "it was not searched whole; its other plots are taken for the mean of those that were"}}
		}
	}
	return rows
}
