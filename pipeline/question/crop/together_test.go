package crop

import (
	"context"
	"math"
	"testing"

	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/statstest"
)

// chained is a chain that ends at so many times the density counted on plots.
type chained struct {
	densities
	times float64
}

func (c chained) Strata() []int {
	var list []int
	for _, d := range c.plots() {
		list = append(list, d.Stratum)
	}
	return list
}

func (c chained) plots() []fieldwork.Domain {
	return inYears(c.season.Domains(result.Plot, c.season.UnitSeasons()), result.All)
}

func (c chained) Over(ctx context.Context, strata []int, confidence float64) (question.End, error) {
	var members []fieldwork.Domain
	for _, d := range c.plots() {
		for _, at := range strata {
			if d.Stratum == at {
				members = append(members, d)
			}
		}
	}
	if len(members) == 0 {
		return question.End{Density: stats.Missing(confidence, 0, stats.NoUnits.With("nothing was searched here")), Link: survey.Counted}, nil
	}
	d, err := c.densities.Over(ctx, members, confidence)
	d.Value, d.SE, d.Lower, d.Upper = d.Value*c.times, d.SE*c.times, d.Lower*c.times, d.Upper*c.times
	return question.End{Density: d, Link: survey.Whole, Members: mass.Whole(c.season, members)}, err
}

// TestTogether: the crop of all methods is that of the end of the chain, says so, and
// leads; the rows by method stay.
func TestTogether(t *testing.T) {
	w := weighedWorld(t)
	w.Settings.Harvest = []survey.Harvest{{Name: "a few", People: 3, Days: 2, Limit: 5, Unit: survey.FruitBodies, Filled: 1, Share: 0.3, Chance: 0.9}}
	w.Settings.Confidence = 0.8
	s := w.Season(t)
	d := densities{season: s}
	a, err := Ask(context.Background(), s, &question.Known{Densities: d, Chain: chained{d, 2}})
	if err != nil {
		t.Fatal(err)
	}
	all, plots := a.rows[0], Row{}
	for _, r := range a.rows {
		if r.Method == result.Plot && r.Ground == result.All && fieldwork.OverStrata(r.Stratum) && r.Years == result.All {
			plots = r
		}
	}
	if all.Method != result.All || all.Basis != survey.Whole || plots.Basis != survey.Counted {
		t.Fatalf("%+v", all)
	}
	statstest.Relative(t, "fruit bodies", all.Bodies.Value.Value, 2*plots.Bodies.Value.Value, 1e-9)
	statstest.Relative(t, "mass", all.Kg.Value.Value, 2*plots.Kg.Value.Value, 1e-9)
	v := a.view()
	if v.method != result.All || v.all != 0 {
		t.Errorf("the crop of %s leads", v.method)
	}
	var one, two HarvestRow
	for _, r := range a.harvests {
		if r.Ground == result.All && r.Method == result.All {
			two = r
		}
		if r.Ground == result.All && r.Method == result.Plot {
			one = r
		}
	}
	statstest.Relative(t, "share", two.Share.Value.Value, one.Share.Value.Value/2, 1e-9)
	if two.Basis != survey.Whole || math.Abs(two.MostLimit.Value/one.MostLimit.Value-2) > 1e-9 || !(two.MostPeople.Value >= 2*one.MostPeople.Value) {
		t.Errorf("%+v and %+v", one, two)
	}
	if text := v.turned().Sentence(page.Units{}); text == "" {
		t.Error("no sentence on how many people keep the share")
	}
}
