package pipeline

import (
	"bytes"
	"context"
	"fmt"
	"runtime"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/report"
	"ashtally/pipeline/survey"
	"ashtally/plots"
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
