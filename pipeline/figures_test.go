package pipeline

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/report"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// badDrawing stands for numbers that cannot be drawn.
type badDrawing struct{ panics bool }

func (b badDrawing) Figure() (plots.Figure, error) {
	if b.panics {
		panic("index out of range [3]")
	}
	return plots.Figure{}, errors.New("plots: value 1e300 is out of all reason")
}

// TestUndrawnFigure: a figure that cannot be drawn, or whose drawing panics,
// costs no other and no result; the report and a notice say so in its place,
// without a word of the runtime.
func TestUndrawnFigure(t *testing.T) {
	for _, bad := range []badDrawing{{}, {panics: true}} {
		work, err := stage(filepath.Join(t.TempDir(), "out"))
		if err != nil {
			t.Fatal(err)
		}
		defer work.discard()
		if err := work.folder("figures"); err != nil {
			t.Fatal(err)
		}
		rows := report.Figure{Observers: []analyze.ObserverRow{{Method: analyze.PlotMethod}}}
		d := &drawer{settings: survey.Defaults()}
		d.add("Density of nothing", bad, rows)
		figures, err := d.drawAll(context.Background(), work)
		if err != nil || len(figures) != 1 || figures[0].Undrawn == nil {
			t.Fatalf("%d figures, %v", len(figures), err)
		}
		var told []string
		tellUndrawn(figures, Watch{Notice: func(f survey.Fault) { told = append(told, f.String()) }})
		var page bytes.Buffer
		if err := report.Write(&page, report.Page{Settings: survey.Defaults(), Figures: figures}); err != nil {
			t.Fatal(err)
		}
		want := map[bool]string{false: "is not drawn", true: "could not be drawn, by a mistake of this program"}[bad.panics]
		for _, text := range []string{strings.Join(told, "\n"), page.String()} {
			if !strings.Contains(text, "Density of nothing") || !strings.Contains(text, want) || strings.Contains(text, "index out of range") || strings.Contains(text, "plots:") {
				t.Errorf("it is told as:\n%s", text)
			}
		}
	}
}
