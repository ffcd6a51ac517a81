package analyze

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// weighed adds a find with its mass.
func (w *world) weighed(t *testing.T, unit string, n int64, mode string, massG float64) {
	w.find(t, unit, "2031-05-01", 1, n, mode, "spruce")
	w.finds[len(w.finds)-1].MassG = known1(massG)
}

// croppedWorld has four plots of 0.01 ha in each of the burn's 30 ha and the
// green's 10 ha: 10 fruit bodies of 112 g and 2 of 30 g.
func croppedWorld(t *testing.T) world {
	w := newWorld()
	for _, stratum := range []string{"burn", "green"} {
		for i := range 4 {
			w.plot(t, stratum, fmt.Sprint(stratum[:1], i), "2031-05-01")
		}
	}
	w.weighed(t, "b0", 4, survey.Saprotrophic, 40)
	w.weighed(t, "b2", 5, survey.Saprotrophic, 60)
	w.weighed(t, "b3", 1, survey.Saprotrophic, 12)
	w.weighed(t, "g1", 2, survey.HostAssociated, 30)
	return w
}

func cropRow(t *testing.T, rows []CropRow, method, ground, stratum, years string) CropRow {
	t.Helper()
	for _, r := range rows {
		if r.Method == method && r.Ground == ground && r.Stratum == stratum && r.Years == years {
			return r
		}
	}
	t.Fatalf("no row of %s, %s, %s, %s", method, ground, stratum, years)
	return CropRow{}
}

func TestCrop(t *testing.T) {
	r := croppedWorld(t).answer(t)
	burn := cropRow(t, r.Crop, PlotMethod, Burned, "burn", All)
	// 250 per ha on 30 ha. Two of one kind are too few for a mean of their own:
	// they weigh as all of them, 142 g / 12.
	wantNear(t, "fruit bodies", burn.Bodies.Value, 7500, 1e-12)
	wantNear(t, "kg", burn.Kg.Value, 7500*0.0112, 1e-12)
	wantNear(t, "kg per ha", burn.KgPerHa.Value, 250*0.0112, 1e-12)
	d := row(t, r.Density, fieldwork.Pooled(PlotMethod, "burn"))
	wantNear(t, "lower", burn.Bodies.Lower, 30*d.Lower.Value, 1e-12)
	green := cropRow(t, r.Crop, PlotMethod, Unburned, "green", All)
	wantNear(t, "kg of the green", green.Kg.Value, 10*50*0.142/12, 1e-12)
	land := cropRow(t, r.Crop, PlotMethod, All, All, All)
	wantNear(t, "kg of the land", land.Kg.Value, 84+10*50*0.142/12, 1e-12)
	wantNear(t, "its land", land.LandHa, 40, 1e-12)
	for name, pair := range map[string][2]CropRow{
		"burned":   {cropRow(t, r.Crop, PlotMethod, Burned, All, All), burn},
		"unburned": {cropRow(t, r.Crop, PlotMethod, Unburned, All, All), green},
		"year":     {cropRow(t, r.Crop, PlotMethod, All, All, "1"), burn},
	} {
		if pair[0].Kg != pair[1].Kg || pair[0].Bodies != pair[1].Bodies {
			t.Errorf("%s land is one stratum, and differs from it: %+v, %+v", name, pair[0], pair[1])
		}
	}
	if burn.Counted.Value != 10 || burn.Weighed.Value != 12 {
		t.Errorf("burn: %+v", burn)
	}
}

// What was found along roads counts in no stratum, and weighs.
func TestRoadsidesWeigh(t *testing.T) {
	w := croppedWorld(t)
	w.plot(t, "burn", "road", "2031-05-01")
	w.plots[len(w.plots)-1].Roadside = column.Bool{Value: true, Known: true}
	w.weighed(t, "road", 90, survey.Saprotrophic, 900)
	burn := cropRow(t, w.answer(t).Crop, PlotMethod, Burned, "burn", All)
	wantNear(t, "fruit bodies", burn.Bodies.Value, 7500, 1e-12)
	wantNear(t, "g", burn.Grams.Value, 1012./100, 1e-12)
}

func TestMassTable(t *testing.T) {
	rows := croppedWorld(t).answer(t).Mass
	want := []struct {
		taxon, mode string
		g           float64
		weighed     int64
	}{
		{All, All, 142. / 12, 12}, {"black morel", All, 142. / 12, 12},
		{"black morel", survey.HostAssociated, 15, 2}, {"black morel", survey.Saprotrophic, 11.2, 10},
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows", len(rows))
	}
	for i, r := range rows {
		if r.Taxon != want[i].taxon || r.Mode != want[i].mode || r.Weighed.Value != want[i].weighed {
			t.Errorf("row %d: %+v", i, r)
		}
		wantNear(t, "g", r.Grams.Value, want[i].g, 1e-12)
	}
}

// Every row that has no figure has its reason.
func TestCropReasons(t *testing.T) {
	for code, change := range map[string]func(w *world){
		"no-mass": func(w *world) {
			for i := range w.finds {
				w.finds[i].MassG = column.Float{}
			}
		},
		"weighed-in-part":      func(w *world) { w.finds[1].MassG = column.Float{} },
		"few-weighed":          func(*world) {},
		"weighed-in-one-place": func(w *world) { w.finds = w.finds[:1] },
		"no-units":             func(w *world) { w.visits = w.visits[:4] },
		"land-not-reached":     func(w *world) { w.visits = w.visits[:4]; w.finds = w.finds[:3] },
		"no-finds":             func(w *world) { w.finds = w.finds[:3] },
	} {
		w := croppedWorld(t)
		change(&w)
		if code == "no-units" {
			w.finds = w.finds[:3]
		}
		w.settings.Harvest = []survey.Harvest{{Name: "x", People: 1, Days: 1, Limit: 1, Unit: survey.Kilograms, Filled: 1, Share: 0.5}}
		r := w.answer(t)
		said := false
		for _, c := range r.Crop {
			said = said || strings.Contains(join(c.Warnings), code+": ")
			if !(c.Kg.Value.Known && c.Kg.Upper.Known && c.Bodies.Upper.Known) && len(c.Warnings) == 0 {
				t.Errorf("%s: something is missing without a reason: %+v", code, c)
			}
		}
		if !said {
			t.Errorf("%s is not said", code)
		}
		for _, h := range r.Harvest {
			if !(h.Share.Value.Known && h.Share.Upper.Known && h.Passes.Known) && len(h.Warnings) == 0 {
				t.Errorf("%s: something is missing without a reason: %+v", code, h)
			}
		}
	}
}

func TestHarvest(t *testing.T) {
	w := croppedWorld(t)
	w.settings.Harvest = []survey.Harvest{
		{Name: "by mass", People: 10, Days: 3, Limit: 1, Unit: survey.Pounds, Filled: 0.5, Share: 0.3},
		{Name: "by count", People: 10, Days: 3, Limit: 20, Unit: survey.FruitBodies, Filled: 1, Share: 0.3},
		{Name: "by volume", People: 10, Days: 3, Limit: 1, Unit: survey.Gallons, KgPerLitre: 0.25, Filled: 1, Share: 0.3},
		{Name: "by bushel", People: 1, Days: 1, Limit: 1, Unit: survey.Bushels, BodiesPerLitre: 10, Filled: 1, Share: 0.3},
	}
	r := w.answer(t)
	if len(r.Harvest) != 12 {
		t.Fatalf("%d rows", len(r.Harvest))
	}
	// An international pound is 0.45359237 kg, a US gallon 3.785411784 l and a US
	// bushel 35.23907016688 l, by definition.
	for i, taken := range []float64{15 * 0.45359237, 600, 30 * 3.785411784 * 0.25, 352.3907016688} {
		for k, ground := range []string{All, Burned, Unburned} {
			h := r.Harvest[3*i+k]
			of := cropRow(t, r.Crop, PlotMethod, ground, All, All)
			crop := of.Kg
			if h.Unit == survey.FruitBodies {
				crop = of.Bodies
			}
			if h.Ground != ground || h.Scenario != w.settings.Harvest[i].Name {
				t.Errorf("%+v", h)
			}
			wantNear(t, "taken", h.Taken, taken, 1e-12)
			wantNear(t, "share", h.Share.Value, 100*taken/crop.Value.Value, 1e-12)
			if h.Passes.Known && !(h.Passes.Value >= 0 && h.Passes.Value <= 1) {
				t.Errorf("%+v", h)
			}
		}
	}
	again := w.answer(t).Harvest
	for i := range again {
		if again[i].Passes != r.Harvest[i].Passes || again[i].Share != r.Harvest[i].Share {
			t.Errorf("another run gives %+v, the first %+v", again[i], r.Harvest[i])
		}
	}
}

// TestChanceHasNoLevel: the chance to pass a share is the same at every
// confidence, of every method and unit; the limits of the share are not.
func TestChanceHasNoLevel(t *testing.T) {
	lines := linesWorld(t)
	lines.settings.Lines.Interval, lines.settings.Lines.Replicates = survey.ModelAverage, 199
	for i := range lines.finds {
		lines.finds[i].MassG = known1(8 + float64(i%5))
	}
	plots := croppedWorld(t)
	for i := range 20 {
		plots.plot(t, "burn", fmt.Sprint("more", i), "2031-05-01")
		plots.weighed(t, fmt.Sprint("more", i), 1+int64(i*i%5), survey.Saprotrophic, float64(10+i))
	}
	for name, w := range map[string]world{"plots": plots, "lines": lines} {
		all := w.answer(t).Crop[0] // a harvest of a fifth under its share of this
		w.settings.Harvest = []survey.Harvest{
			{Name: "by mass", People: 1, Days: 1, Limit: 0.24 * all.Kg.Value.Value, Unit: survey.Kilograms, Filled: 1, Share: 0.3},
			{Name: "by count", People: 1, Days: 1, Limit: 0.24 * all.Bodies.Value.Value, Unit: survey.FruitBodies, Filled: 1, Share: 0.3},
		}
		answered := func(confidence float64) []HarvestRow {
			w.settings.Confidence = confidence
			return w.answer(t).Harvest
		}
		at95, known, moved := answered(0.95), 0, 0
		for _, confidence := range []float64{0.9, 0.99} {
			for i, h := range answered(confidence) {
				if h.Passes.Known != at95[i].Passes.Known || math.Abs(h.Passes.Value-at95[i].Passes.Value) > 1e-12 {
					t.Errorf("%s, %s of %s at %v: chance %v, at 0.95 %v", name, h.Scenario, h.Ground, confidence, h.Passes, at95[i].Passes)
				}
				known += oneIf(h.Passes.Known && h.Passes.Value > 0.001 && h.Passes.Value < 0.999)
				moved += oneIf(h.Share.Lower != at95[i].Share.Lower)
			}
		}
		if known < 2 || moved < 2 {
			t.Errorf("%s: %d chances and %d limits: these surveys try nothing", name, known, moved)
		}
	}
}

// The order of rows reaches no digit, by which masses are added too.
func TestCropHasNoOrder(t *testing.T) {
	w := croppedWorld(t)
	for i := range 50 {
		w.weighed(t, []string{"b0", "b1", "g2"}[i%3], 1, survey.Saprotrophic, 0.1+math.Sqrt(float64(i)))
	}
	first := w.answer(t).Crop
	for i, j := 0, len(w.finds)-1; i < j; i, j = i+1, j-1 {
		w.finds[i], w.finds[j] = w.finds[j], w.finds[i]
	}
	for i, c := range w.answer(t).Crop {
		if c.Kg != first[i].Kg || c.Grams != first[i].Grams {
			t.Errorf("%+v, before %+v", c, first[i])
		}
	}
}

// Along lines and from adaptive clusters the mass is put to the density apart.
func TestCropOfLines(t *testing.T) {
	w := linesWorld(t)
	for i := range w.finds {
		w.finds[i].MassG = known1(10 * float64(w.finds[i].Count.Value))
	}
	r := w.answer(t)
	d := row(t, r.Density, fieldwork.Headline(LineMethod))
	land := cropRow(t, r.Crop, LineMethod, All, All, All)
	wantNear(t, "fruit bodies", land.Bodies.Value, 40*d.Value.Value, 1e-12)
	wantNear(t, "kg", land.Kg.Value, 0.4*d.Value.Value, 1e-12)
	if !strings.Contains(join(land.Warnings), "mass-apart") {
		t.Errorf("%s", join(land.Warnings))
	}
	burn, both := cropRow(t, r.Crop, LineMethod, Burned, "burn", All), cropRow(t, r.Crop, LineMethod, Burned, All, All)
	if burn.Bodies.Value != both.Bodies.Value || burn.Bodies.Upper != both.Bodies.Upper {
		t.Errorf("burned land is one stratum, and differs: %+v, %+v", burn.Bodies, both.Bodies)
	}
}
