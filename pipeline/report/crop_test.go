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

// cropPage is a made-up report of a crop and two harvests.
func cropPage() Page {
	land := analyze.CropRow{
		Method: analyze.PlotMethod, Ground: analyze.All, Stratum: analyze.All, Years: analyze.All, LandHa: column.Finite(40),
		Bodies: estimated(9600, 4800, 20000), Kg: estimated(110, 52, 240), KgPerHa: estimated(2.75, 1.3, 6), Grams: estimated(11.46, 9.8, 13.4),
		Counted: column.Count(48), Weighed: column.Count(31),
		Warnings: []stats.Warning{{Code: "weighed-in-part", Text: "31 of 48 fruit bodies were weighed; if they were picked, the mass is too high"}},
	}
	share := func(ground string, e analyze.Estimate, passes float64, w ...stats.Warning) analyze.HarvestRow {
		return analyze.HarvestRow{
			Scenario: "weekend permits", Method: analyze.PlotMethod, Ground: ground, Stratum: analyze.All, LandHa: column.Finite(40),
			People: column.Finite(40), Days: column.Finite(6), Limit: column.Finite(1), LimitUnit: survey.Gallons, Filled: column.Finite(60),
			Taken: column.Finite(136.27), Crop: column.Finite(110), Unit: survey.Kilograms, Share: e, Asked: column.Finite(30), Passes: column.Finite(passes), Warnings: w,
		}
	}
	over := stats.Warning{Code: "over-crop", Text: "the limit lets these people take 1.24 times what the land is estimated to carry; they will find less"}
	return Page{Settings: survey.Defaults(), Results: analyze.Results{
		Density: []analyze.DensityRow{headlineRow(analyze.PlotMethod, 24, 48, estimated(240, 120, 500))},
		Crop:    []analyze.CropRow{land},
		Mass:    []analyze.MassRow{{Taxon: "black morel", Mode: survey.Saprotrophic, Finds: column.Count(48), Weighed: column.Count(31), Sites: column.Count(9), Grams: estimated(11.46, 9.8, 13.4)}},
		Harvest: []analyze.HarvestRow{
			share(analyze.All, estimated(123.9, 56.8, 262), 1, over),
			share(analyze.Burned, estimated(140, 60, 290), 1),
			share(analyze.Unburned, analyze.Estimate{}, 0, stats.Warning{Code: "no-crop", Text: "the crop is not known"}),
		},
	}}
}

func TestCropAnswers(t *testing.T) {
	var got []string
	for _, c := range newWriter(cropPage()).cropAnswers() {
		got = append(got, spaced(c.String()))
	}
	want := []string{
		"By plots the land carries some 9,600 fruit bodies, 110 kg fresh (95 % interval 4,800 to 20,000; of the mass in kg, 95 % interval 52 to 240, or 2.75 kg per hectare). A fruit body weighs 11.5 g on average, by 31 fruit bodies weighed. 31 of 48 fruit bodies were weighed; if they were picked, the mass is too high.",
		"“weekend permits”: 40 people, 6 days each, at 1 US gallon a day of which 60 % is filled, take 136 kg: 124 % of the crop by plots (95 % interval 57 to 262 %). The chance that this passes 30 % is over 0.99. All taken on burned land, it would be 140 % of what stands there (95 % interval 60 to 290 %). They would find less than they may take.",
	}
	for i, w := range want {
		if i >= len(got) || got[i] != w {
			t.Errorf("got  %q\nwant %q", got, w)
		}
	}
	if last := got[len(got)-1]; !strings.Contains(last, "bag limits") || !strings.Contains(last, "nothing here is identified") {
		t.Errorf("the answers end without their caution: %s", last)
	}
	p := cropPage()
	p.Settings.Units = survey.US
	// 110 kg / 0.45359237 kg; 2.75 kg/ha * 0.40468564224 ha / 0.45359237 kg.
	if us := spaced(newWriter(p).cropAnswers()[0].String()); !strings.Contains(us, "243 lb fresh") || !strings.Contains(us, "2.45 lb per acre") || !strings.Contains(us, "2.75 kg per hectare") {
		t.Errorf("got %s", us)
	}
}

func TestCropWithoutMass(t *testing.T) {
	p := cropPage()
	r := &p.Results.Crop[0]
	r.Kg, r.KgPerHa, r.Grams = analyze.Estimate{}, analyze.Estimate{}, analyze.Estimate{}
	r.Warnings = []stats.Warning{{Code: "few-units", Text: "few"}, {Code: "no-mass", Text: "no find has a mass"}}
	if got := spaced(newWriter(p).cropAnswers()[0].String()); got != "By plots the land carries some 9,600 fruit bodies (95 % interval 4,800 to 20,000). No find has a mass." {
		t.Errorf("got %s", got)
	}
}

func TestCropPage(t *testing.T) {
	for _, units := range []string{survey.Metric, survey.US} {
		p := cropPage()
		p.Settings.Units = units
		var b bytes.Buffer
		if err := Write(&b, p); err != nil {
			t.Fatal(err)
		}
		page := spaced(b.String())
		for _, want := range []string{
			"<h3>Crop</h3>", "<h3>Harvest</h3>", "What a fruit body weighs", "What a harvest would take of the crop", "black morel, saprotrophic",
			"Donner, A. &amp; Zou", "id=\"cautions\"", "More may be taken than there is", "None of this is a permission",
		} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the page does not say %q", units, want)
			}
		}
	}
}
