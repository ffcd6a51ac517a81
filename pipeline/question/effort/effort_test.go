package effort

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
	"ashtally/stats"
)

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	return questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
}

// world has four plots of 100 m2 in the burn, one along a road, two of them of one
// site, and a strip transect of 50 m; nothing was searched in the green.
func world(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	for i := range 4 {
		w.Plot(t, "burn", fmt.Sprint("P", i), fmt.Sprintf("2031-05-0%d", i+1))
		w.Visit(t, fmt.Sprint("P", i), "2031-05-20", 1)
	}
	w.Plots[0].Site, w.Plots[1].Site = "a", "a"
	w.Plots[3].Roadside = column.Bool{Value: true, Known: true}
	w.Plots = append(w.Plots, survey.Plot{Plot: "P4", Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal})
	w.Transects = append(w.Transects, survey.Transect{Transect: "S", Stratum: "burn", Kind: survey.Strip, LengthM: fieldworktest.Known(50), HalfWidthM: fieldworktest.Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
	w.Visit(t, "S", "2031-06-11", 1)
	w.Find(t, "P0", "2031-05-01", 1, 2, survey.Saprotrophic, "")
	w.Find(t, "P3", "2031-05-20", 1, 7, survey.Saprotrophic, "")
	return w
}

// TestRows: areas and shares by hand.
func TestRows(t *testing.T) {
	a := answer(t, world(t))
	if len(a.rows) != 4 {
		t.Fatalf("%d rows, want those of two methods in two strata", len(a.rows))
	}
	burn, green, strips := a.rows[0], a.rows[1], a.rows[2]
	if burn.Stratum != "burn" || burn.Years != "1" || burn.Units.Value != 4 || burn.Sites.Value != 3 || burn.Visits.Value != 8 ||
		burn.RoadsideUnits.Value != 1 || burn.Finds.Value != 9 || burn.First.String() != "2031-05-01" || burn.Last.String() != "2031-05-20" || burn.LengthM.Known {
		t.Errorf("plots in the burn: %+v", burn)
	}
	if math.Abs(burn.SearchedHa.Value-0.04) > 1e-12 || math.Abs(burn.SearchedPercent.Value-100*0.04/30) > 1e-12 {
		t.Errorf("searched %v ha, %v %%", burn.SearchedHa, burn.SearchedPercent)
	}
	if !fieldwork.UnitsNeverSearched.In(burn.Warnings) {
		t.Errorf("a plot without a visit is not told: %v", burn.Warnings)
	}
	if green.Units.Value != 0 || green.First.Known() || !stats.NoUnits.In(green.Warnings) {
		t.Errorf("plots in the green: %+v", green)
	}
	if strips.Method != result.Strip || strips.LengthM.Value != 50 || math.Abs(strips.SearchedHa.Value-0.01) > 1e-12 || !fieldwork.OneVisit.In(strips.Warnings) {
		t.Errorf("strips in the burn: %+v", strips)
	}
}

// TestGroundOfSeasons: 40 plots of 0.01 ha in each of two strata of 2 ha are a
// fifth of them, in however many seasons they are searched.
func TestGroundOfSeasons(t *testing.T) {
	for seasons := 1; seasons <= 4; seasons++ {
		w := fieldworktest.New()
		w.Strata[0].AreaHa, w.Strata[1].AreaHa = fieldworktest.Known(2), fieldworktest.Known(2)
		for i := range 80 {
			id, stratum := fmt.Sprint("P", i), w.Strata[i/40].Stratum
			w.Plot(t, stratum, id, "2031-05-01")
			for more := 1; more < seasons; more++ {
				w.Visit(t, id, fmt.Sprintf("%d-05-01", 2031+more), 1)
			}
		}
		a := answer(t, w)
		if len(a.rows) != seasons+1 {
			t.Errorf("%d rows of %d seasons", len(a.rows), seasons)
		}
		for _, r := range a.rows {
			if math.Abs(r.SearchedPercent.Value-20) > 1e-9 {
				t.Errorf("%s, %s: %v %% searched, want 20", r.Stratum, r.Years, r.SearchedPercent)
			}
			if r.Years != result.Unburned && r.Units.Value != 40 {
				t.Errorf("%s, %s: %v units, want 40 of one season", r.Stratum, r.Years, r.Units)
			}
		}
		units := map[bool]string{true: "80 plots", false: fmt.Sprintf("%d unit-seasons of plots", 80*seasons)}[seasons == 1]
		if lead := a.Sections(page.Units{})[0].Lead.Sentence(page.Units{}); !strings.Contains(lead, "4 ha; "+units+"; searched 1 May 2031") {
			t.Errorf("%d seasons: %s", seasons, lead)
		}
	}
}

// TestTaxa: targets come first, with what is wrong with them.
func TestTaxa(t *testing.T) {
	w := world(t)
	w.Settings.Taxa.Target = []string{"black morel", "yellow morel"}
	w.Finds[0].Hollow = "no"
	w.Find(t, "P0", "2031-05-01", 1, 7, survey.Saprotrophic, "").Taxon = "false morel"
	a := answer(t, w)
	want := []struct {
		taxon   string
		target  bool
		finds   int64
		warning *stats.WarningType
	}{{"black morel", true, 9, targetNotHollow}, {"yellow morel", true, 0, targetNotFound}, {"false morel", false, 7, nil}}
	if len(a.taxa) != len(want) {
		t.Fatalf("%d taxa, want %d", len(a.taxa), len(want))
	}
	for i, want := range want {
		got := a.taxa[i]
		if got.Taxon != want.taxon || got.Target.Value != want.target || got.Finds.Value != want.finds || want.warning != nil != (len(got.Warnings) == 1) {
			t.Errorf("taxon %d is %+v, want %+v", i, got, want)
		}
		if want.warning != nil && !want.warning.In(got.Warnings) {
			t.Errorf("%s: %v", got.Taxon, got.Warnings)
		}
	}
	if n := a.taxa[0]; n.NotHollow.Value != 2 || n.Unchecked.Value != 7 || n.MassG.Known {
		t.Errorf("cuts: %+v", n)
	}
}

// TestSections: the head of the report sums over methods and strata.
func TestSections(t *testing.T) {
	u := page.Units{}
	w := world(t)
	w.Settings.Taxa.Target = []string{"black morel"}
	w.Find(t, "P0", "2031-05-01", 1, 7, survey.Saprotrophic, "").Taxon = "false morel"
	s := answer(t, w).Sections(u)[0]
	if got, want := s.Lead.Sentence(u), "40 ha; 4 plots and 1 strip transect; searched 1 May 2031 to 11 June 2031; 9 fruit bodies of target taxa counted."; got != want {
		t.Errorf("the head is %q, want %q", got, want)
	}
	if got := page.Say("%v", *s.Area).Plain(u); got != "40 ha" {
		t.Errorf("the area is %s", got)
	}
	for i, want := range []string{"the sum over its visits, of 9 visits in all", "left out of strata with other units: 1.", "Recorded and not estimated, in fruit bodies: false morel (7)."} {
		if got := slices.Concat(s.Text, s.Details)[i].Sentence(u); !strings.Contains(got, want) {
			t.Errorf("it says %q, want %q", got, want)
		}
	}
	if len(s.Limitations) == 0 || len(s.Appendix[0].Tables[0].Rows) != 2 {
		t.Errorf("%d limitations, rows %v", len(s.Limitations), s.Appendix[0].Tables[0].Rows)
	}
	w.Settings.Counting.Rule, w.Settings.Density.Roadside = survey.Standing, survey.Together
	s = answer(t, w).Sections(u)[0]
	for i, want := range []string{"its fullest visit", "count like all others (setting density.roadside): 1."} {
		if got := slices.Concat(s.Text, s.Details)[i].Sentence(u); !strings.Contains(got, want) {
			t.Errorf("it says %q, want %q", got, want)
		}
	}
	if s := (Answer{}).Sections(u)[0]; !s.Lead.Empty() || len(s.Text) != 0 || s.Area != nil {
		t.Error("of nothing it says something")
	}
	nothing := fieldworktest.New()
	nothing.Plots = w.Plots[:1]
	if got := answer(t, nothing).Sections(u)[0].Lead.Sentence(u); got != "40 ha; no unit was searched." {
		t.Errorf("of a survey without visits: %q", got)
	}
}

// TestUnitSeasons: a row of all finds for each unit, those along roads among them, and
// one for each mode and tree found; the counts of these add up to it.
func TestUnitSeasons(t *testing.T) {
	w := world(t)
	w.Find(t, "P0", "2031-05-20", 1, 3, survey.HostAssociated, "spruce")
	w.Plots[0].SlopePercent = fieldworktest.Known(12)
	a := answer(t, w)
	all, parts := map[string]int64{}, map[string]int64{}
	for _, r := range a.units {
		if r.Mode == result.All {
			all[r.Unit] = r.Finds.Value
		} else {
			parts[r.Unit] += r.Finds.Value
		}
		if r.Unit == "P0" && (r.SlopePercent.Value != 12 || r.Site != "a" || r.Visits.Value != 2 || r.Counted.Value != 2 || r.Season.Value != 2031 || r.Years != "1") {
			t.Errorf("%+v", r)
		}
	}
	if len(all) != 5 || all["P0"] != 5 || all["P3"] != 7 || all["S"] != 0 {
		t.Errorf("all finds: %v", all)
	}
	for unit, n := range parts {
		if all[unit] != n {
			t.Errorf("%s: %d of all, %d by mode and tree", unit, all[unit], n)
		}
	}
}

// TestUnits: finds and effort of a unit over its seasons, by hand, and the map.
func TestUnits(t *testing.T) {
	w := world(t)
	at := fieldworktest.Known
	for i := range w.Plots {
		w.Plots[i].Latitude, w.Plots[i].Longitude = at(46.1+float64(i/2)/100), at(179.99)
	}
	w.Transects[0].Latitude, w.Transects[0].Longitude, w.Transects[0].BearingDeg = at(46.1), at(-179.99), at(90)
	w.Visit(t, "P0", "2032-05-20", 1)
	a := answer(t, w)
	if len(a.places) != 5 {
		t.Fatalf("%d units, want those that were searched", len(a.places))
	}
	p0, strip := a.places[0], a.places[4]
	if p0.Unit != "P0" || p0.Seasons.Value != 2 || p0.Finds.Value != 2 || math.Abs(p0.PerHa.Value-2/(0.01*2)) > 1e-9 || p0.Positions != "exact" || p0.Latitude != at(46.1) {
		t.Errorf("%+v", p0)
	}
	if strip.Method != result.Strip || strip.BearingDeg != at(90) || strip.PerHa != at(0) || strip.PerKm.Known {
		t.Errorf("%+v", strip)
	}
	where := a.Sections(page.Units{})[1]
	if got, want := where.Finding.Sentence(page.Units{}), "Fruit bodies were found in 2 of 6 unit-seasons searched."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	form := where.Map.Form(plots.About{Name: "m"}).(plots.Map)
	if len(form.Places) != 3 || len(form.Lines) != 1 || len(form.Outlines) != 1 || len(form.Series) != 2 {
		t.Fatalf("%d symbols, %d lines, %d strata, %d methods: want plots at two positions and a strip", len(form.Places), len(form.Lines), len(form.Outlines), len(form.Series))
	}
	// P0 and P1 lie at one position: 2 fruit bodies on 0.03 ha, two seasons of P0.
	if first := form.Places[0]; math.Abs(first.Value-2/0.03) > 1e-9 {
		t.Errorf("%+v", first)
	}
	// 0.02 degrees of longitude across 180 degrees: 2 km x cos 46.1 = 1.54 km.
	if apart := form.Places[2].X - form.Places[0].X; math.Abs(apart-1546) > 5 {
		t.Errorf("%v m apart", apart)
	}
	w.Settings.Report.Positions = survey.Generalized
	w.Settings.Dataset.BlurM = 500
	w.Plots[0].ElevationM = at(1234)
	a = answer(t, w)
	if u := a.places[0]; u.Latitude == at(46.1) || !u.UncertaintyM.Known || a.units[0].ElevationM.Known {
		t.Errorf("generalized: %+v", u)
	}
	if text := a.Sections(page.Units{})[1].Map.Caption.Sentence(page.Units{}); !strings.Contains(text, "grid cell with sides of 500 m") {
		t.Errorf("it says %q", text)
	}
	w.Settings.Report.Positions = survey.Withheld
	if s := answer(t, w).Sections(page.Units{})[1]; s.Map != nil || !strings.Contains(s.Finding.Sentence(page.Units{}), "withheld") {
		t.Errorf("withheld: %+v", s)
	}
}
