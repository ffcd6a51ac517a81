package report

import (
	"bytes"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// adaptivePage is a made-up report of adaptive cluster plots; naive is the mean
// of all plots.
func adaptivePage(naive float64) Page {
	row := headlineRow(analyze.AdaptiveMethod, 61, 38, estimated(48.4, 12, 233))
	row.Interval = "log-t-networks"
	few := stats.Warning{Code: "few-with-finds", Text: "only 2 networks or plots with finds came into the draw"}
	a := analyze.AdaptiveRow{
		Stratum: analyze.All, Years: analyze.All, Grid: column.Count(1600), Drawn: column.Count(40), Added: column.Count(21), Edge: column.Count(15), Networks: column.Count(1),
		HansenHurwitz: column.Finite(45.7), HansenHurwitzSE: column.Finite(36.4), HorvitzThompson: column.Finite(48.4), HorvitzThompsonSE: column.Finite(36.3),
		Estimator: "horvitz-thompson", Naive: column.Finite(naive), Overstates: column.Finite(100 * (naive/48.4 - 1)), Warnings: []stats.Warning{few},
	}
	n := analyze.NetworkRow{Stratum: "severe", Years: "1", Network: "S1", Plots: column.Count(7), Searched: column.Count(7), Drawn: column.Count(1), Finds: column.Count(25), Inclusion: column.Finite(0.1627)}
	return Page{Settings: survey.Defaults(), Results: analyze.Results{
		Density: []analyze.DensityRow{row}, Adaptive: []analyze.AdaptiveRow{a}, Networks: []analyze.NetworkRow{n},
	}}
}

func TestAdaptiveAnswer(t *testing.T) {
	for naive, want := range map[float64]string{
		249.2: "Had the 21 added plots been taken for drawn ones, the figure would be 249 per hectare, 415 % more: they lie where finds were, and count through their networks alone.",
		24.2:  "Had the 21 added plots been taken for drawn ones, the figure would be 24.2 per hectare, 50.0 % less: the plots were added where finds were, and their plain mean estimates nothing.",
	} {
		got := spaced(allAnswers(adaptivePage(naive))[0])
		if !strings.HasPrefix(got, "Adaptive cluster plots put the land at 48.4 fruit bodies per hectare (95 % interval 12.0 to 233.0; 61 adaptive cluster plots, 38 finds). ") || !strings.Contains(got, want) {
			t.Errorf("got %s\nwant in it %s", got, want)
		}
	}
	p := adaptivePage(249.2)
	p.Settings.Units = survey.US
	if got := spaced(allAnswers(p)[0]); !strings.Contains(got, "101 per acre, 415 % more") { // 249.2 * 0.40468564224
		t.Errorf("got %s", got)
	}
}

func TestAdaptivePage(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, adaptivePage(249.2)); err != nil {
		t.Fatal(err)
	}
	page := spaced(b.String())
	for _, want := range []string{
		"<h3>Adaptive cluster plots</h3>", "Reported is the estimate of Horvitz and Thompson", "Thompson, S. K. (1990)",
		"Networks of adaptive cluster plots", ">16.3<", "Few units with finds", "Student’s t on the log scale, by networks",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}
