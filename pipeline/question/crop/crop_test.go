package crop

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/crop"
	"ashtally/stats/density"
	"ashtally/stats/statstest"
)

// densities are worked out as those of plots are, for the tests of the crop.
type densities struct {
	season *fieldwork.Season
}

func (d densities) part(f fieldwork.Domain, confidence float64) density.Part {
	counts := make([]float64, len(f.Units))
	for i, u := range f.Units {
		counts[i] = float64(u.Finds())
	}
	s := d.season
	area := s.Strata[f.Stratum].AreaHa
	e := density.Stratum(density.Sample{AreaHa: f.AreaHa, Count: counts, LandHa: area}, density.Options{Confidence: confidence, Interval: "t"})
	return density.Part{Name: s.Strata[f.Stratum].Name, AreaHa: area, Estimate: e}
}

func (d densities) Of(method, stratum, years string) (stats.Estimate, bool) {
	var parts []density.Part
	level := d.season.Settings.Confidence
	for _, f := range d.season.Domains(method, d.season.UnitSeasons()) {
		if f.Years == years && (fieldwork.OverStrata(stratum) || d.season.Strata[f.Stratum].Name == stratum) {
			parts = append(parts, d.part(f, level))
		}
	}
	switch {
	case len(parts) == 0:
		return stats.Missing(level, 0, stats.NoUnits.With("nothing was searched")), true
	case !fieldwork.OverStrata(stratum):
		return parts[0].Estimate, true
	}
	return density.Land(parts, level), true
}

func (d densities) Over(_ context.Context, strata []fieldwork.Domain, confidence float64) (stats.Estimate, error) {
	var parts []density.Part
	for _, f := range strata {
		parts = append(parts, d.part(f, confidence))
	}
	return density.Land(parts, confidence), nil
}

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	s := w.Season(t)
	a, err := Ask(context.Background(), s, &question.Known{Densities: densities{s}})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// weighed adds a find with its mass.
func weighed(t *testing.T, w *fieldworktest.World, unit string, n int64, mode string, massG float64) {
	w.Find(t, unit, "2031-05-01", 1, n, mode, "spruce").MassG = fieldworktest.Known(massG)
}

// weighedWorld has four plots of 0.01 ha in each of the burn's 30 ha and the
// green's 10 ha: 10 fruit bodies of 112 g and 2 of 30 g.
func weighedWorld(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	for _, stratum := range []string{"burn", "green"} {
		for i := range 4 {
			w.Plot(t, stratum, fmt.Sprint(stratum[:1], i), "2031-05-01")
		}
	}
	weighed(t, &w, "b0", 4, survey.Saprotrophic, 40)
	weighed(t, &w, "b2", 5, survey.Saprotrophic, 60)
	weighed(t, &w, "b3", 1, survey.Saprotrophic, 12)
	weighed(t, &w, "g1", 2, survey.HostAssociated, 30)
	return w
}

func (a Answer) row(t *testing.T, method, ground, stratum, years string) Row {
	t.Helper()
	for _, r := range a.rows {
		if r.Method == method && r.Ground == ground && r.Stratum == stratum && r.Years == years {
			return r
		}
	}
	t.Fatalf("no row of %s, %s, %s, %s", method, ground, stratum, years)
	return Row{}
}

func near(t *testing.T, what string, got column.Float, want float64) {
	t.Helper()
	if !got.Known {
		t.Errorf("%s is not known, want %v", what, want)
		return
	}
	statstest.Relative(t, what, got.Value, want, 1e-12)
}

// TestCrop: the crops are worked out by hand.
func TestCrop(t *testing.T) {
	w := weighedWorld(t)
	a := answer(t, w)
	burn := a.row(t, result.Plot, result.Burned, "burn", result.All)
	// 250 per ha on 30 ha. Two of one kind are too few for a mean of their own:
	// they weigh as all of them, 142 g / 12.
	near(t, "fruit bodies", burn.Bodies.Value, 7500)
	near(t, "kg", burn.Kg.Value, 7500*0.0112)
	near(t, "kg per ha", burn.KgPerHa.Value, 250*0.0112)
	d, _ := densities{w.Season(t)}.Of(result.Plot, "burn", result.All)
	near(t, "upper", burn.Bodies.Upper, 30*d.Upper)
	near(t, "se", burn.Bodies.SE, 30*d.SE)
	green := a.row(t, result.Plot, result.Unburned, "green", result.All)
	near(t, "kg of the green", green.Kg.Value, 10*50*0.142/12)
	area := a.row(t, result.Plot, result.All, result.All, result.All)
	near(t, "kg of both", area.Kg.Value, 84+10*50*0.142/12)
	near(t, "their area", area.AreaHa, 40)
	for name, pair := range map[string][2]Row{
		"burned":   {a.row(t, result.Plot, result.Burned, result.All, result.All), burn},
		"unburned": {a.row(t, result.Plot, result.Unburned, result.All, result.All), green},
		"year":     {a.row(t, result.Plot, result.All, result.All, "1"), burn},
	} {
		if pair[0].Kg.Value != pair[1].Kg.Value || pair[0].Bodies.Value != pair[1].Bodies.Value {
			t.Errorf("%s ground is one stratum, and differs from it: %+v, %+v", name, pair[0], pair[1])
		}
	}
	if burn.Counted.Value != 10 || burn.Weighed.Value != 12 {
		t.Errorf("burn: %+v", burn)
	}
}

// TestRoadsidesWeigh: what was found along roads counts in no stratum, and weighs.
func TestRoadsidesWeigh(t *testing.T) {
	w := weighedWorld(t)
	w.Plot(t, "burn", "road", "2031-05-01")
	w.Plots[len(w.Plots)-1].Roadside = column.Bool{Value: true, Known: true}
	weighed(t, &w, "road", 90, survey.Saprotrophic, 900)
	burn := answer(t, w).row(t, result.Plot, result.Burned, "burn", result.All)
	near(t, "fruit bodies", burn.Bodies.Value, 7500)
	near(t, "g", burn.Grams.Value, 1012./100)
}

func TestMass(t *testing.T) {
	rows := answer(t, weighedWorld(t)).masses
	want := []struct {
		taxon, mode string
		g           float64
		weighed     int64
	}{
		{result.All, result.All, 142. / 12, 12}, {"black morel", result.All, 142. / 12, 12},
		{"black morel", survey.HostAssociated, 15, 2}, {"black morel", survey.Saprotrophic, 11.2, 10},
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows", len(rows))
	}
	for i, r := range rows {
		if r.Taxon != want[i].taxon || r.Mode != want[i].mode || r.Weighed.Value != want[i].weighed {
			t.Errorf("row %d: %+v", i, r)
		}
		near(t, "g", r.Grams.Value, want[i].g)
	}
}

// TestReasons: every row that has no figure has its reason.
func TestReasons(t *testing.T) {
	for what, c := range map[string]struct {
		of     *stats.WarningType
		change func(w *fieldworktest.World)
	}{
		"no mass": {crop.NoMass, func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].MassG = column.Float{}
			}
		}},
		"weighed in part": {crop.WeighedInPart, func(w *fieldworktest.World) { w.Finds[1].MassG = column.Float{} }},
		"few weighed":     {crop.FewWeighed, func(*fieldworktest.World) {}},
		"no units":        {stats.NoUnits, func(w *fieldworktest.World) { w.Visits, w.Finds = w.Visits[:4], w.Finds[:3] }},
		"not reached": {fieldwork.AreaNotReached, func(w *fieldworktest.World) {
			w.Strata = append(w.Strata, survey.Stratum{Stratum: "new", AreaHa: fieldworktest.Known(5), FireDate: "2029"})
		}},
		"no finds": {stats.NoFinds, func(w *fieldworktest.World) { w.Finds = w.Finds[:3] }},
	} {
		w := weighedWorld(t)
		c.change(&w)
		w.Settings.Harvest = []survey.Harvest{{Name: "x", People: 1, Days: 1, Limit: 1, Unit: survey.Kilograms, Filled: 1, Share: 0.5}}
		a := answer(t, w)
		said := false
		for _, r := range a.rows {
			said = said || c.of.In(r.Warnings)
			if !(r.Kg.Value.Known && r.Kg.Upper.Known && r.Bodies.Upper.Known) && len(r.Warnings) == 0 {
				t.Errorf("%s: something is missing without a reason: %+v", what, r)
			}
		}
		if !said {
			t.Errorf("%s is not said", what)
		}
		for _, h := range a.harvests {
			if !(h.Share.Value.Known && h.Share.Upper.Known && h.Exceeds.Known) && len(h.Warnings) == 0 {
				t.Errorf("%s: something is missing without a reason: %+v", what, h)
			}
		}
	}
}

func TestHarvest(t *testing.T) {
	w := weighedWorld(t)
	w.Settings.Harvest = []survey.Harvest{
		{Name: "by mass", People: 10, Days: 3, Limit: 1, Unit: survey.Pounds, Filled: 0.5, Share: 0.3},
		{Name: "by count", People: 10, Days: 3, Limit: 20, Unit: survey.FruitBodies, Filled: 1, Share: 0.3},
		{Name: "by volume", People: 10, Days: 3, Limit: 1, Unit: survey.Gallons, KgPerLitre: 0.25, Filled: 1, Share: 0.3},
		{Name: "by bushel", People: 1, Days: 1, Limit: 1, Unit: survey.Bushels, BodiesPerLitre: 10, Filled: 1, Share: 0.3},
	}
	a := answer(t, w)
	if len(a.harvests) != 12 {
		t.Fatalf("%d rows", len(a.harvests))
	}
	// An international pound is 0.45359237 kg, a US gallon 3.785411784 l and a US
	// bushel 35.23907016688 l, by definition.
	for i, taken := range []float64{15 * 0.45359237, 600, 30 * 3.785411784 * 0.25, 352.3907016688} {
		for k, ground := range []string{result.All, result.Burned, result.Unburned} {
			h := a.harvests[3*i+k]
			of := a.row(t, result.Plot, ground, result.All, result.All)
			carries := of.Kg
			if h.Unit == survey.FruitBodies {
				carries = of.Bodies
			}
			if h.Ground != ground || h.Scenario != w.Settings.Harvest[i].Name {
				t.Errorf("%+v", h)
			}
			near(t, "taken", h.Taken, taken)
			near(t, "share", h.Share.Value, 100*taken/carries.Value.Value)
			if h.Exceeds.Known && !(h.Exceeds.Value >= 0 && h.Exceeds.Value <= 1) {
				t.Errorf("%+v", h)
			}
			if on := ground != result.All; on != allTakenHere.In(h.Warnings) {
				t.Errorf("on %s ground: %v", ground, h.Warnings)
			}
		}
	}
	for i, again := range answer(t, w).harvests {
		if again.Exceeds != a.harvests[i].Exceeds || again.Share != a.harvests[i].Share {
			t.Errorf("another run gives %+v, the first %+v", again, a.harvests[i])
		}
	}
}

// TestProbabilityHasNoLevel: the probability of exceeding a share is the same at
// every nominal level; the limits of the share are not.
func TestProbabilityHasNoLevel(t *testing.T) {
	w := weighedWorld(t)
	for i := range 20 {
		id := fmt.Sprint("more", i)
		w.Plot(t, "burn", id, "2031-05-01")
		weighed(t, &w, id, 1+int64(i*i%5), survey.Saprotrophic, float64(10+i))
	}
	area := answer(t, w).rows[0] // a harvest of under the share set of this
	w.Settings.Harvest = []survey.Harvest{
		{Name: "by mass", People: 1, Days: 1, Limit: 0.24 * area.Kg.Value.Value, Unit: survey.Kilograms, Filled: 1, Share: 0.3},
		{Name: "by count", People: 1, Days: 1, Limit: 0.24 * area.Bodies.Value.Value, Unit: survey.FruitBodies, Filled: 1, Share: 0.3},
	}
	at := func(level float64) []HarvestRow {
		w.Settings.Confidence = level
		return answer(t, w).harvests
	}
	at95, known, moved := at(0.95), 0, 0
	for _, level := range []float64{0.9, 0.99} {
		for i, h := range at(level) {
			if h.Exceeds.Known != at95[i].Exceeds.Known || math.Abs(h.Exceeds.Value-at95[i].Exceeds.Value) > 1e-12 {
				t.Errorf("%s on %s ground at %v: %v, at 0.95 %v", h.Scenario, h.Ground, level, h.Exceeds, at95[i].Exceeds)
			}
			if h.Exceeds.Known && h.Exceeds.Value > 0.001 && h.Exceeds.Value < 0.999 {
				known++
			}
			if h.Share.Lower != at95[i].Share.Lower {
				moved++
			}
		}
	}
	if known < 2 || moved < 2 {
		t.Errorf("%d probabilities and %d limits: this survey tries nothing", known, moved)
	}
}

// TestReached: strips reached one of three strata, one of two that burned. What
// follows is of that one, and says so.
func TestReached(t *testing.T) {
	w := weighedWorld(t)
	w.Strata = append(w.Strata, survey.Stratum{Stratum: "new", AreaHa: fieldworktest.Known(5), FireDate: "2029"})
	w.Plot(t, "new", "n0", "2031-05-01")
	for i := range 4 {
		id := fmt.Sprint("s", i)
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: "burn", Kind: survey.Strip, LengthM: fieldworktest.Known(50), HalfWidthM: fieldworktest.Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
		w.Visit(t, id, "2031-05-01", 1)
		weighed(t, &w, id, int64(i+1), survey.Saprotrophic, float64(9*i+9))
	}
	w.Settings.Harvest = []survey.Harvest{{Name: "x", People: 1, Days: 1, Limit: 1, Unit: survey.Kilograms, Filled: 1, Share: 0.5}}
	a := answer(t, w)
	for _, ground := range []string{result.All, result.Burned} {
		near(t, "area reached of "+ground, a.row(t, result.Strip, ground, result.Reached, result.All).AreaHa, 30)
		near(t, "area of "+ground+" by plots", a.row(t, result.Plot, ground, result.All, result.All).AreaHa, map[string]float64{result.All: 45, result.Burned: 35}[ground])
	}
	if r := a.row(t, result.Strip, result.Burned, result.Reached, result.All); !fieldwork.AreaNotReached.In(r.Warnings) {
		t.Errorf("burned ground by strips: %v", r.Warnings)
	}
	if r := a.row(t, result.Strip, result.Unburned, result.All, result.All); r.Bodies.Value.Known || !stats.NoUnits.In(r.Warnings) {
		t.Errorf("unburned ground by strips: %+v", r)
	}
	reached := 0
	for _, h := range a.harvests {
		if h.Stratum == result.Reached {
			reached++
			if !allTakenHere.In(h.Warnings) {
				t.Errorf("a harvest of a part: %+v", h)
			}
		}
	}
	if reached != 2 {
		t.Errorf("%d harvests of a part, want 2", reached)
	}
}

// TestCollapsed: the mass collapses strata of a single unit as the density does.
func TestCollapsed(t *testing.T) {
	w := weighedWorld(t)
	w.Settings.SingleUnitStrata = map[string]string{"green": "burn"}
	s := w.Season(t)
	of := mass.Weigh(s, s.UnitSeasons())
	domains := inYears(s.Domains(result.Plot, s.UnitSeasons()), result.All)
	p := of.Part(mass.Whole(s, domains))
	for i, d := range domains {
		if p.Strata[i].Stratum != s.CollapsedWith(d) {
			t.Errorf("%+v, want %+v", p.Strata[i].Stratum, s.CollapsedWith(d))
		}
	}
	if p.Strata[1].With != "burn" {
		t.Errorf("the settings do not reach it: %+v", p.Strata[1].Stratum)
	}
}

// TestOrder: the order of rows reaches no digit, by which masses are added too.
func TestOrder(t *testing.T) {
	w := weighedWorld(t)
	for i := range 50 {
		weighed(t, &w, []string{"b0", "b1", "g2"}[i%3], 1, survey.Saprotrophic, 0.1+math.Sqrt(float64(i)))
	}
	first := answer(t, w).rows
	slices.Reverse(w.Finds)
	for i, r := range answer(t, w).rows {
		if r.Kg != first[i].Kg || r.Grams != first[i].Grams {
			t.Errorf("%+v, before %+v", r, first[i])
		}
	}
}

// TestApart: along lines density and mass are not of the same ground.
func TestApart(t *testing.T) {
	w := weighedWorld(t)
	e := &estimator{Season: w.Season(t)}
	e.Weighing = mass.Weigh(e.Season, e.UnitSeasons())
	for method, apart := range map[string]bool{result.Plot: false, result.Strip: false, result.Line: true, result.Adaptive: true} {
		e.rows = nil
		e.add(Row{Method: method}, e.whole(e.Domains(result.Plot, e.UnitSeasons())[:1]), stats.Estimate{Value: 10, SE: 1, Interval: stats.Interval{Lower: 8, Upper: 12, Confidence: 0.95}})
		found := slices.ContainsFunc(e.rows[0].Warnings, func(w stats.Warning) bool { return w.Code == "mass-apart" })
		if found != apart {
			t.Errorf("%s: %v", method, e.rows[0].Warnings)
		}
	}
}
