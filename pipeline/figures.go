package pipeline

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/report"
	"ashtally/pipeline/survey"
	"ashtally/plots"
	"ashtally/stats"
)

// drawer plans the figures of a run. One that has nothing to show is left
// out, and the report with it.
type drawer struct {
	settings survey.Settings
	results  analyze.Results
	unit     string  // of the densities, in words
	scale    float64 // from fruit bodies per hectare to that unit
	sketches []sketch
}

// sketch is a figure that is still to be drawn, and the rows that it shows.
type sketch struct {
	of    drawable
	shown report.Figure
}

// drawFigures draws every figure and writes it as SVG and PNG.
func drawFigures(ctx context.Context, work *staging, settings survey.Settings, results analyze.Results) ([]report.Figure, error) {
	per, hectares := report.PerArea(settings)
	d := &drawer{settings: settings, results: results, unit: "fruit bodies per " + per, scale: hectares}
	for _, plan := range []func(){
		d.densityByStratum, d.modesByTree, d.ratios,
		d.observersShares,
	} {
		plan()
	}
	return d.drawAll(ctx, work)
}

// drawAll draws what was planned, several figures at once.
func (d *drawer) drawAll(ctx context.Context, work *staging) ([]report.Figure, error) {
	figures := make([]report.Figure, len(d.sketches))
	drawing, ctx := errgroup.WithContext(ctx)
	drawing.SetLimit(runtime.GOMAXPROCS(0))
	for i, s := range d.sketches {
		drawing.Go(func() (err error) {
			if err = ctx.Err(); err == nil {
				figures[i], err = s.draw(work)
			}
			return err
		})
	}
	if err := drawing.Wait(); err != nil {
		return nil, fmt.Errorf("draw: %w", err)
	}
	return figures, nil
}

// drawable is a figure's numbers.
type drawable interface{ Figure() (plots.Figure, error) }

// add plans a figure with the rows it shows; without rows there is none. The
// title is for a figure that cannot be drawn.
func (d *drawer) add(title string, of drawable, shown report.Figure) {
	if shown.ShowsRows() {
		shown.Title = title
		d.sketches = append(d.sketches, sketch{of, shown})
	}
}

// draw writes the figure to its files, and returns it for the report. Numbers
// that cannot be drawn cost the figure alone: the report then says so in its
// place. The error is for files that cannot be written.
func (s sketch) draw(work *staging) (report.Figure, error) {
	shown := s.shown
	f, svg, err := s.svg()
	if err != nil {
		shown.Undrawn = err
		return shown, nil
	}
	shown.Name, shown.Title, shown.Caption, shown.Alt, shown.SVG = f.Name, f.Title, f.Caption, f.Alt, svg
	return shown, writeFigure(work, "figures/", f, svg)
}

// svg draws the figure. What it shows was estimated before, so that not even a
// panic of the drawing may take it away.
func (s sketch) svg() (f plots.Figure, svg []byte, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", report.ErrDrawing, r)
		}
	}()
	return svgOf(s.of)
}

func svgOf(of drawable) (plots.Figure, []byte, error) {
	f, err := of.Figure()
	if err != nil {
		return f, nil, err
	}
	var svg bytes.Buffer
	err = f.WriteSVG(&svg)
	return f, svg.Bytes(), err
}

// tellUndrawn tells of the figures that the report has a sentence for instead.
func tellUndrawn(figures []report.Figure, watch Watch) {
	for _, f := range figures {
		if f.Undrawn != nil {
			problem, remedy := f.WhyUndrawn()
			watch.notice(survey.Fault{Place: survey.Place{File: "report.html"}, Problem: fmt.Sprintf("%q %s", f.Title, problem), Remedy: remedy})
		}
	}
}

// writeFigure writes a figure into a folder as SVG, which was drawn already,
// and PNG.
func writeFigure(work *staging, folder string, f plots.Figure, svg []byte) error {
	if err := work.write(folder+f.Name+".svg", bytesOf(svg)); err != nil {
		return err
	}
	return work.write(folder+f.Name+".png", f.WritePNG)
}

// strataReached stands beside the strata for those of a method together that did
// not reach all.
const strataReached = "Strata reached"

func (d *drawer) densityByStratum() {
	in := plots.DensityByStratum{Unit: d.unit, Confidence: d.settings.Confidence}
	var shown []analyze.DensityRow
	var reached []plots.StratumDensity
	for _, r := range d.results.Density {
		if r.Key != fieldwork.Pooled(r.Method, r.Stratum) {
			continue
		}
		row := plots.StratumDensity{Stratum: r.Stratum, Method: report.MethodName(r.Method), Estimate: d.estimate(r)}
		switch r.Stratum {
		case analyze.All:
			row.Stratum = "Land as a whole"
			in.Land = append(in.Land, row)
		case analyze.Reached:
			row.Stratum = strataReached
			reached = append(reached, row)
		default:
			in.Strata = append(in.Strata, row)
		}
		shown = append(shown, r)
	}
	in.Strata = append(in.Strata, reached...)
	d.add("Density by stratum", in, report.Figure{Density: shown})
}

// modesByTree draws a figure for each method, so that no panel mixes two.
func (d *drawer) modesByTree() {
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod, analyze.LineMethod} {
		in := plots.DensityByModeAndTree{Unit: d.unit, Confidence: d.settings.Confidence, Axis: plots.AutoAxis}
		in.Name, in.Title = "density-by-mode-and-tree-"+method, "Density by mode, tree and years since fire, from "+method+"s"
		var shown []analyze.DensityRow
		for _, r := range d.results.Density {
			if r.Method != method || !fieldwork.OverStrata(r.Stratum) || r.Taxon != analyze.All ||
				r.Years == analyze.All || r.Tree == analyze.All || r.Mode == analyze.All {
				continue
			}
			in.Rows = append(in.Rows, plots.ModeTreeDensity{
				Years: r.Years, Tree: r.Tree, Mode: r.Mode, Estimate: d.estimate(r),
			})
			shown = append(shown, r)
		}
		d.add(in.Title, in, report.Figure{Density: shown})
	}
}

func (d *drawer) ratios() {
	for _, method := range []string{analyze.PlotMethod, analyze.StripMethod, analyze.LineMethod} {
		in := plots.RatioByTree{Confidence: d.settings.Confidence}
		in.Name, in.Title = "ratio-by-tree-"+method, "Host-associated to saprotrophic, from "+method+"s"
		var shown []analyze.ComparisonRow
		for _, r := range d.results.Comparison {
			if r.Method != method || r.Comparison != analyze.HostToSapro || !fieldwork.OverStrata(r.Stratum) {
				continue
			}
			switch {
			case r.Tree != analyze.All && r.Years == analyze.All:
				in.Trees = append(in.Trees, ratio(r.Tree, r))
			case r.Tree == analyze.All && r.Years != analyze.All:
				in.Years = append(in.Years, ratio(r.Years, r))
			case r.Tree == analyze.All:
				in.All = append(in.All, ratio("All finds", r))
			default:
				continue
			}
			shown = append(shown, r)
		}
		d.add(in.Title, in, report.Figure{Comparison: shown})
	}
}

func (d *drawer) estimate(r analyze.DensityRow) plots.Estimate {
	return plots.Estimate{
		Value: value(r.Value) * d.scale, Lower: value(r.Lower) * d.scale, Upper: value(r.Upper) * d.scale,
		Units: int(r.Units.Value), Finds: int(r.Finds.Value), Note: note(r.Warnings),
	}
}

func ratio(label string, r analyze.ComparisonRow) plots.Ratio {
	return plots.Ratio{
		Label: label, Value: value(r.Value), Lower: value(r.Lower), Upper: value(r.Upper),
		Units: int(r.Units.Value), HostFinds: int(r.FirstFinds.Value), SaproFinds: int(r.BaseFinds.Value), Note: note(r.Warnings),
	}
}

// note says in a few words why a figure is empty.
func note(warnings []stats.Warning) string {
	if len(warnings) == 0 {
		return ""
	}
	return strings.ReplaceAll(warnings[0].Code, "-", " ")
}

func value(f column.Float) float64 { return f.Or(math.NaN()) }
