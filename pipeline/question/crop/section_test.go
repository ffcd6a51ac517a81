package crop

import (
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// invented is an answer of a crop by plots and by strips, which reached less, and
// of two harvests.
func invented() Answer {
	estimate := func(v, lower, upper float64) result.Estimate {
		return result.Of(stats.Estimate{Value: v, Interval: stats.Interval{Lower: lower, Upper: upper, Confidence: 0.95}})
	}
	row := func(method, ground, stratum string, ha, kg float64) Row {
		return Row{Method: method, Basis: survey.Counted, Ground: ground, Stratum: stratum, Years: result.All, AreaHa: column.Finite(ha),
			Bodies: estimate(100*kg, 80*kg, 150*kg), Kg: estimate(kg, 0.8*kg, 1.5*kg), KgPerHa: estimate(kg/ha, 0.8*kg/ha, 1.5*kg/ha),
			Grams: estimate(10, 9, 11), Counted: column.Count(240), Weighed: column.Count(200)}
	}
	harvest := func(scenario, ground string, share, exceeds float64) HarvestRow {
		return HarvestRow{Scenario: scenario, Method: result.Plot, Ground: ground, People: column.Finite(40), Days: column.Finite(6), Limit: column.Finite(1), LimitUnit: survey.Gallons,
			Filled: column.Finite(60), Taken: column.Finite(136.27), Unit: survey.Kilograms, Share: estimate(share, share/2, 2*share), Asked: column.Finite(30), Exceeds: column.Finite(exceeds), Basis: survey.Counted, Chance: column.Finite(0.9), MostPeople: column.Finite(700)}
	}
	few := stats.NoFinds.With("made up: nothing was found")
	whole := row(result.Plot, result.All, result.All, 40, 52_000)
	whole.Warnings = []stats.Warning{few}
	return Answer{
		rows:     []Row{whole, row(result.Plot, result.Burned, "burn", 30, 50_000), row(result.Plot, result.Unburned, "green", 10, 2_000), row(result.Strip, result.All, result.All, 30, 60_000)},
		masses:   []MassRow{{Taxon: result.All, Mode: result.All, Finds: column.Count(240), Weighed: column.Count(200), Grams: estimate(10, 9, 11)}},
		harvests: []HarvestRow{harvest("permits", result.All, 0.5, 0.001), harvest("permits", result.Unburned, 21.4, 0.18)},
	}
}

func TestSections(t *testing.T) {
	u := page.Units{}
	s := invented().Sections(u)[0]
	if got, want := s.Finding.Sentence(u), "Largest share that a harvest would take: 21.4 % of the crop (95 % CI 10.7 to 42.8), by permits, all taken on unburned ground."; got != want {
		t.Errorf("the finding is %q, want %q", got, want)
	}
	text := questiontest.Said(s.Text, u)
	for _, want := range []string{
		"Most people with which the share set is kept, with the probability wanted (0.90). For permits, taken anywhere: 700. For permits, all taken on unburned ground: 700.",
		"Probability of exceeding the share set for each scenario, taken anywhere: below 0.01 for permits.",
		"Estimated crop of the 40 ha sampled by plots, as counted: 52.0 t of fresh mass (95 % CI 41.6 to 78.0). In number: 5,200,000 fruit bodies (4,160,000 to 7,800,000).",
		"Mean fresh mass of a fruit body: 10.0 g (95 % CI 9.0 to 11.0), from 200 of 240 fruit bodies weighed.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("not said: %q, of\n%s", want, text)
		}
	}
	if got, want := s.Lines[0].Text.Plain(u)+"; "+s.Lines[1].Text.Plain(u), "52.0 t fresh (41.6-78.0); permits, unburned: 21.4 % of the crop (10.7-42.8)"; got != want {
		t.Errorf("the terminal has %q, want %q", got, want)
	}
	if len(s.Limitations) != 1 || len(s.Table.Rows) != 2 || s.Card == nil {
		t.Errorf("%d limitations, %d rows", len(s.Limitations), len(s.Table.Rows))
	}
	for _, f := range []*page.Figure{s.Figure, s.Card.Figure, s.Appendix[0].Figures[0]} {
		if f.Draw(u); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
	}
}

// TestNoTotalOfAPart: a method that reached a part has no row in bold.
func TestNoTotalOfAPart(t *testing.T) {
	a := invented()
	a.rows[0].Stratum, a.harvests[0].Stratum, a.harvests[1].Stratum = result.Reached, result.Reached, result.All
	s := a.Sections(page.Units{})[0]
	for _, table := range append([]page.Table{*s.Table}, s.Appendix[0].Tables...) {
		for _, row := range table.Rows {
			if table.Strong(row) {
				t.Errorf("%s: row %d stands for the whole", table.Of.Name(), row)
			}
		}
	}
}

func TestSectionsInUSUnits(t *testing.T) {
	u := page.UnitsOf(survey.Settings{Units: survey.US})
	text := questiontest.Said(invented().Sections(u)[0].Text, u)
	for _, want := range []string{"of the 98.8 acres sampled", "115,000 lb of fresh mass (95 % CI 92,000 to 172,000)", "0.353 oz"} {
		if !strings.Contains(text, want) {
			t.Errorf("not said: %q, of\n%s", want, text)
		}
	}
}

// TestSectionsOfLess: what cannot be had is left out, and nothing is drawn of it.
func TestSectionsOfLess(t *testing.T) {
	u := page.Units{}
	a := invented()
	a.harvests = nil
	s := a.Sections(u)[0]
	if !strings.HasPrefix(s.Finding.Sentence(u), "Estimated crop") || s.Card == nil || s.Card.Figure != nil || s.Figure != nil || len(s.Table.Rows) != 3 {
		t.Errorf("without a harvest the finding is %q", s.Finding.Sentence(u))
	}
	for i := range a.rows {
		a.rows[i].Kg = result.Estimate{}
	}
	a.masses[0].Weighed.Value = 0
	s = a.Sections(u)[0]
	if got := s.Finding.Sentence(u); !strings.HasSuffix(got, "5,200,000 fruit bodies (95 % CI 4,160,000 to 7,800,000); nothing was weighed.") {
		t.Errorf("without a mass the finding is %q", got)
	}
	if questiontest.Said(s.Text, u) != "" {
		t.Errorf("without a mass it says %q", questiontest.Said(s.Text, u))
	}
	if f := s.Appendix[0].Figures[0]; f != nil {
		if f.Draw(u); f.Err() != nil {
			t.Error(f.Err())
		}
	}
	s = Answer{}.Sections(u)[0]
	if !s.Finding.Empty() || len(s.Text)+len(s.Appendix)+len(s.Lines) != 0 {
		t.Errorf("an empty answer says %q", s.Finding.Sentence(u))
	}
}
