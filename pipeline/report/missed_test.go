package report

import (
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/stats"
)

func withLimits(value, lower, upper float64) analyze.Estimate {
	return analyze.Estimate{Value: column.Finite(value), Lower: column.Finite(lower), Upper: column.Finite(upper), Confidence: column.Finite(0.95), Interval: "invented"}
}

func inventedObservers() []analyze.ObserverRow {
	yes := column.Bool{Value: true, Known: true}
	all := analyze.ObserverRow{
		Method: analyze.PlotMethod, Stratum: analyze.All, Observer: analyze.All, Model: "by observer + group size", Selected: yes,
		Finds: column.Count(292), Seen: column.Count(292), Both: column.Count(193), Chance: withLimits(0.862, 0.827, 0.89),
		Present: withLimits(1220, 1169, 1282), Chapman: withLimits(304, 298, 317), DeltaAIC: column.Finite(0),
		Warnings: []stats.Warning{{Code: "finds-unlike", Text: "finds were not all as easy to see, by what was recorded of them; what was not recorded may differ too, and then more was missed than is made up for"}},
	}
	ada, other, nowhere := all, all, all
	ada.Observer, ada.Seen, ada.Alone, ada.Chance, ada.Present, ada.DeltaAIC = "Ada", column.Count(249), column.Count(56), withLimits(0.818, 0.764, 0.861), analyze.Estimate{}, column.Float{}
	other.Model, other.Selected.Value, other.DeltaAIC, other.Warnings = "by observer", false, column.Finite(3.4), nil
	nowhere.Stratum, nowhere.Finds, nowhere.Seen, nowhere.Chance, nowhere.Present, nowhere.DeltaAIC = "Kettle Bench", column.Count(0), column.Count(0), analyze.Estimate{}, analyze.Estimate{}, column.Float{}
	nowhere.Warnings = []stats.Warning{{Code: "no-finds", Text: "nothing was found where observers were named in this stratum"}}
	return []analyze.ObserverRow{all, ada, other, nowhere}
}

func inventedPasses() []analyze.PassRow {
	all := analyze.PassRow{
		Method: analyze.StripMethod, Stratum: analyze.All, Estimator: "zippin", Selected: column.Bool{Value: true, Known: true},
		Searches: column.Count(10), Passes: column.Count(3), Found: column.Count(320), Catches: "165; 101; 54",
		Chance: withLimits(0.421, 0.332, 0.499), Together: withLimits(0.805, 0.702, 0.874), Present: withLimits(397, 362, 458), FitP: column.Finite(0.81),
	}
	beside := all
	beside.Estimator, beside.Selected.Value, beside.Chance, beside.Together = "carle-strub", false, analyze.Estimate{Value: column.Finite(0.428)}, analyze.Estimate{Value: column.Finite(0.814)}
	beside.Present, beside.FitP = analyze.Estimate{Value: column.Finite(393)}, column.Float{}
	beside.Warnings = []stats.Warning{{Code: "no-interval", Text: "shown beside the other estimator, without a standard error; nothing is made up for by it"}}
	return []analyze.PassRow{all, beside}
}

func inventedCorrected() []analyze.CorrectedRow {
	plots := analyze.CorrectedRow{
		Method: analyze.PlotMethod, Stratum: analyze.All, Years: analyze.All, Units: column.Count(163), Finds: column.Count(1052),
		Counted: withLimits(242, 193, 347), Correction: byObservers, Chance: withLimits(0.855, 0.82, 0.884), Corrected: withLimits(283, 228, 400),
		FromUnits: column.Finite(97.2), FromMissed: column.Finite(2.8),
		Warnings: []stats.Warning{{Code: "missed-may-return", Text: "60 of 163 units were searched on several days, and a season is their sum"}},
	}
	strips := plots
	strips.Method, strips.Correction, strips.Corrected, strips.Chance = analyze.StripMethod, byPasses, analyze.Estimate{}, analyze.Estimate{}
	strips.FromUnits, strips.FromMissed = column.Float{}, column.Float{}
	strips.Warnings = []stats.Warning{{Code: "catches-not-falling", Text: "later passes found as much as earlier ones, so nothing tells how much is still there"}}
	along := plots
	along.Method, along.Correction, along.Chance, along.Corrected = analyze.LineMethod, onTheLine, withLimits(0.91, 0.84, 0.95), withLimits(390, 210, 724)
	along.Warnings, along.FromMissed = []stats.Warning{{Code: "land-not-reached", Text: "no line was searched in Saddle"}}, column.Finite(31)
	year := plots
	year.Years = "1"
	return []analyze.CorrectedRow{plots, year, strips, along}
}

// TestMissedAnswers holds the answers to what each correction says, or why it
// says nothing.
func TestMissedAnswers(t *testing.T) {
	got := strings.ReplaceAll(strings.Join(allAnswers(inventedPage()), "\n"), noBreak, " ")
	for _, want := range []string{
		"By independent observers, plots found 85.5 % (95 % interval 82.0 to 88.4 %) of what was there. With those missed the land carries 283 fruit bodies per hectare (95 % interval 228 to 400), against 242 as counted. Of the variance 2.8 % comes from not knowing how much was missed; more units would help more than more observers or passes.",
		"Nothing can be said of what was missed on strip transects. Later passes found as much as earlier ones",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the answers lack %q:\n%s", want, got)
		}
	}
	quiet := inventedPage()
	quiet.Results.Corrected = nil
	if got := strings.Join(allAnswers(quiet), "\n"); strings.Contains(got, "missed") {
		t.Errorf("a survey without observers is told of what was missed: %s", got)
	}
}

// TestMissedMethods holds the methods to explaining what was used and nothing
// else.
func TestMissedMethods(t *testing.T) {
	got := section(t, inventedPage(), "methods")
	for _, want := range []string{"no observer knew what another saw", "Chapman’s estimate", "distance 0", "1 − (1 − p)K", "Huggins, R. M.", "Zippin, C.", "Carle, F. L.", "Sadinle, M.", "Laake, J. L. (1999)", "Nichols, J. D.", "What is hidden from every observer"} {
		if !strings.Contains(got, want) {
			t.Errorf("the methods lack %q", want)
		}
	}
	p := inventedPage()
	p.Results.Observers, p.Results.Passes, p.Results.Corrected = nil, nil, nil
	got = section(t, p, "methods")
	for _, other := range []string{"Huggins", "Zippin", "repeated passes", "Nichols", "What is hidden from every observer"} {
		if strings.Contains(got, other) {
			t.Errorf("the methods tell of %q, which was not used", other)
		}
	}
}

// TestMissedTables holds the tables to their figures and to the reasons of
// those that are empty.
func TestMissedTables(t *testing.T) {
	w := newWriter(inventedPage())
	g, ok := w.correctedGrid()
	if !ok || len(g.Groups) != 3 || g.Groups[0].Rows[0].Label.Text != "Land as a whole" || !strings.HasPrefix(g.Groups[0].Rows[1].Label.Text, "Land, 1") {
		t.Fatalf("%+v", g)
	}
	if cells := g.Groups[0].Rows[0].Cells; cells[4].Text != "283" || cells[4].Sub != "228 to 400" || cells[3].Text != "85.5" || cells[2].Text != "independent observers" {
		t.Errorf("%+v", cells)
	}
	if empty := g.Groups[1].Rows[0]; empty.Cells[4].Text != none || len(empty.Marks) == 0 {
		t.Errorf("an empty figure without its reason: %+v", empty)
	}
	g, _ = w.observersGrid()
	if rows := g.Groups[0].Rows; len(rows) != 3 || rows[0].Label.Text != "All together: by observer + group size" || !rows[0].Strong || rows[2].Strong || rows[1].Label.Text != "Ada" || rows[1].Cells[2].Text != "56" {
		t.Errorf("%+v", rows)
	}
	g, _ = w.passesGrid()
	if rows := g.Groups[0].Rows; rows[0].Cells[1].Text != "165; 101; 54" || rows[0].Cells[4].Text != "397" || rows[1].Cells[4].Text != "393" || rows[1].Label.Text != "Strata reached: weighted likelihood" {
		t.Errorf("%+v", rows)
	}
	var quiet writer
	for _, grid := range []func() (grid, bool){quiet.passesGrid} {
		if _, ok := grid(); ok {
			t.Error("a table of nothing")
		}
	}
}

// TestMissedKinds holds the list of kinds to codes that no other kind has.
func TestMissedKinds(t *testing.T) {
	for code, k := range missedKinds {
		if _, twice := kinds[code]; twice || k.title == "" {
			t.Errorf("%s is listed twice, or has no title", code)
		}
		if kindOf(code) != k {
			t.Errorf("%s is not found", code)
		}
	}
	var weighty []string
	for _, d := range newWriter(inventedPage()).doubts() {
		weighty = append(weighty, d.code)
	}
	if !slices.Contains(weighty, "missed-may-return") || !slices.Contains(weighty, "finds-unlike") || !slices.Contains(weighty, "catches-not-falling") {
		t.Errorf("doubts %v", weighty)
	}
}
