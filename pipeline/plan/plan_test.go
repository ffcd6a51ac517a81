package plan

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/layout"
	"ashtally/stats/planning/pilot"
)

// burn is an invented burn: two strata side by side, one with a hole, whose areas are
// known from Planimeter (GeographicLib 2.1.2, Debian's geographiclib-tools).
const burn = `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"stratum":"severe","fire_date":"2030"},"geometry":{"type":"Polygon","coordinates":[
 [[-118.42,46.10],[-118.40,46.10],[-118.395,46.115],[-118.41,46.12],[-118.43,46.11],[-118.42,46.10]],
 [[-118.415,46.105],[-118.415,46.11],[-118.41,46.11],[-118.41,46.105],[-118.415,46.105]]]}},
{"type":"Feature","properties":{"stratum":"moderate","fire_date":"2030"},"geometry":{"type":"Polygon","coordinates":[
 [[-118.40,46.10],[-118.375,46.102],[-118.37,46.113],[-118.395,46.115],[-118.40,46.10]]]}}]}`

// planned is the input of a plan of the burn, with settings changed.
func planned(t *testing.T, change func(*survey.Settings)) Input {
	t.Helper()
	m, faults, _ := outline.Read(outline.Files{Outline: outline.File{Name: "outline.geojson", Data: []byte(burn)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	s := survey.Defaults()
	s.Title, s.Seed, s.Plan.UnitCount = "Hollin Creek burn (invented)", 4127, 30
	if change != nil {
		change(&s)
	}
	return Input{Surveys: 10, Settings: s, Map: m, Strata: StrataOf(m), Document: []byte("title = \"Hollin Creek burn (invented)\"\n")}
}

// file is a file of a plan that was made.
func file(t *testing.T, p *Plan, name string) []byte {
	t.Helper()
	for _, f := range p.Files {
		if f.Name == name {
			return f.Data
		}
	}
	t.Fatalf("there is no %s", name)
	return nil
}

func made(t *testing.T, in Input) *Plan {
	t.Helper()
	p, faults := Make(in)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return p
}

func rowsOf(t *testing.T, data []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// 4081878.1 m2 less a hole of 214840.5 m2, both from Planimeter.
func TestStrataHaveTheirAreas(t *testing.T) {
	in := planned(t, nil)
	if a, want := in.Strata[0].AreaHa.Value, (4081878.1-214840.5)/1e4; math.Abs(a/want-1) > 1e-6 {
		t.Errorf("%v ha, want %v", a, want)
	}
}

func TestFolderToFill(t *testing.T) {
	p := made(t, planned(t, nil))
	plots := rowsOf(t, file(t, p, "survey/plots.csv"))
	if len(plots) != 31 {
		t.Errorf("%d rows of plots, want 30 and the header", len(plots))
	}
	if spares := rowsOf(t, file(t, p, "spares.csv")); len(spares) != 7 || spares[1][0] != "AR01" {
		t.Errorf("spares %v", spares)
	}
	for name, first := range map[string]string{"visits": "unit,date,pass", "finds": "unit,date,pass,taxon"} {
		data := file(t, p, "survey/"+name+".csv")
		if !bytes.HasPrefix(data, []byte(first)) || bytes.Count(data, []byte("\n")) != 1 {
			t.Errorf("%s.csv is %q, want headers alone", name, data)
		}
	}
	if strata := rowsOf(t, file(t, p, "survey/strata.csv")); len(strata) != 3 || strata[1][0] != "severe" || strata[1][2] != "2030" {
		t.Errorf("strata %v", strata)
	}
}

func TestTransects(t *testing.T) {
	p := made(t, planned(t, func(s *survey.Settings) {
		s.Plan.Unit, s.Plan.Layout, s.Plan.BearingDeg = survey.Strip, survey.LaidSystematic, 30
	}))
	rows := rowsOf(t, file(t, p, "survey/transects.csv"))
	at := func(name string) string { return rows[1][slices.Index(rows[0], name)] }
	if at("kind") != "strip" || at("length_m") != "50" || at("half_width_m") != "1" || at("sequence") != "1" {
		t.Errorf("%v", rows[1])
	}
	if b := at("bearing_deg"); b != "30" {
		t.Errorf("bearing %s", b)
	}
	if !bytes.Contains(file(t, p, "units.gpx"), []byte("<trk>")) {
		t.Error("no track of a transect")
	}
}

// Every file is the same when made again, and another seed lays other units.
func TestSameBytes(t *testing.T) {
	a, b := made(t, planned(t, nil)), made(t, planned(t, nil))
	other := made(t, planned(t, func(s *survey.Settings) { s.Seed++ }))
	for i, f := range a.Files {
		if !bytes.Equal(f.Data, b.Files[i].Data) {
			t.Errorf("%s differs", f.Name)
		}
	}
	if bytes.Equal(file(t, a, "survey/plots.csv"), file(t, other, "survey/plots.csv")) {
		t.Error("another seed lays the same units")
	}
}

// Units lie whole within their stratum and outside of their buffers: corners and
// ends, and points around a plot.
func TestUnitsLieWithinTheirStratum(t *testing.T) {
	for _, unit := range []string{survey.PlannedPlot, survey.Strip, survey.Line} {
		for _, name := range survey.Layouts {
			in := planned(t, func(s *survey.Settings) {
				s.Plan.Unit, s.Plan.Layout, s.Plan.EdgeM, s.Plan.BearingDeg = unit, name, 25, 77
			})
			frames, faults := in.frames()
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			for _, p := range in.place(frames, []int{12, 9}) {
				f := in.footprint()
				frame, err := layout.NewFrame(in.Map.Ground(p.Stratum, outline.Buffers{Edge: 25}), f)
				if err != nil {
					t.Fatal(err)
				}
				for _, u := range append(slices.Clone(p.Units), p.Spares...) {
					if !frame.Contains(in.Map.Point(u.Center)) {
						t.Errorf("%s %s: unit %s lies outside of its frame", unit, name, u.ID)
					}
				}
			}
		}
	}
}

// Sheets: a page for each unit and spare, well-formed, with the rules and cautions.
func TestSheets(t *testing.T) {
	in := planned(t, func(s *survey.Settings) { s.Title = "Ash & <Ember>" })
	html := string(file(t, made(t, in), "sheets.html"))
	if n := strings.Count(html, "<section "); n != 36 {
		t.Errorf("%d pages, want 30 units and 6 spares", n)
	}
	for _, want := range []string{"Ash &amp; &lt;Ember&gt;", "no finds", "taxon", "hollow from tip to base", "false morels are poisonous", "burned trees fall", "Permits", "not proof of a root partnership", "A01", "Spare 1 of its stratum", "From A01:"} {
		if !strings.Contains(html, want) {
			t.Errorf("the sheets do not have %q", want)
		}
	}
	if strings.Contains(html, "distance_</") {
		t.Error("the sheet of a plot asks for the distance from a line")
	}
}

// Without an outline there is a plan of numbers, and no unit.
func TestWithoutAnOutline(t *testing.T) {
	in := planned(t, nil)
	in.Map = nil
	p := made(t, in)
	for _, f := range p.Files {
		if f.Name == "survey/plots.csv" || f.Name == "sheets.html" {
			t.Errorf("%s without an outline", f.Name)
		}
	}
	if !strings.HasPrefix(p.Lines[0], "Search 30 plots in") {
		t.Errorf("%q", p.Lines)
	}
}

// The plan says what it lacks: a pilot without finds, a stratum without a pilot, and a
// precision that no number of units reaches within the hours.
func TestClearAnswers(t *testing.T) {
	empty := planned(t, nil)
	empty.Pilot = &Pilot{Folder: "last", Strata: []pilot.Stratum{{Name: "severe", AreaHa: []float64{0.01, 0.01}, Count: []float64{0, 0}}}}
	partly := planned(t, nil)
	partly.Pilot = counted(30)
	hours := planned(t, func(s *survey.Settings) { s.Plan.UnitCount, s.Plan.Hours, s.Plan.CV = 0, 12, 0.05 })
	for _, c := range []struct {
		name, want string
		in         Input
	}{
		{"pilot without finds", "nothing was found, which gives no information on aggregation", empty},
		{"stratum without a pilot", "no unit of it was searched", partly},
		{"precision out of reach", "the field time allows at most", hours},
	} {
		if html := file(t, made(t, c.in), "plan.html"); !bytes.Contains(html, []byte(c.want)) {
			t.Errorf("%s: the plan does not say %q", c.name, c.want)
		}
	}
}

// counted is a pilot of plots of one stratum.
func counted(n int) *Pilot {
	s := pilot.Stratum{Name: "severe"}
	r := rand.New(rand.NewPCG(1, 1))
	for range n {
		s.AreaHa, s.Count = append(s.AreaHa, 0.01), append(s.Count, float64(r.IntN(6)))
	}
	return &Pilot{Folder: "last", Strata: []pilot.Stratum{s}}
}

func TestLetters(t *testing.T) {
	for h, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letters(h); got != want {
			t.Errorf("%d is %s, want %s", h, got, want)
		}
	}
}

func TestNoRoomIsAFault(t *testing.T) {
	in := planned(t, func(s *survey.Settings) { s.Plan.EdgeM = 1500 })
	p, faults := Make(in)
	if p != nil || len(faults) != 2 || faults[0].Line == 0 || !strings.Contains(faults[0].Problem, "no room") {
		t.Errorf("%v", fmt.Sprint(faults))
	}
}

// TestGround: the combinations of ground of a pilot of 2031 are a year older in the plan
// of 2032, and the page names the highest with units enough.
func TestGround(t *testing.T) {
	known := func(v float64) column.Float { return column.Float{Value: v, Known: true} }
	row := func(years, aspect string, units int, density float64) GroundRow {
		return GroundRow{Method: "plot", Years: years, Severity: "severe", Aspect: aspect, Units: column.Count(units),
			Density: result.Estimate{Value: known(density), Lower: known(density / 2), Upper: known(2 * density), Confidence: known(0.95)}}
	}
	in := Input{Pilot: &Pilot{Folder: "last", Year: 2031, Ground: []GroundRow{
		row("1", "south", 2, 900), row("1", "west", 6, 700), row("unburned", "north", 9, 50),
	}}}
	rows := in.ground()
	if rows[0].Coming != "2" || rows[2].Coming != result.Unburned {
		t.Errorf("%+v", rows)
	}
	part, ok := document{Input: in, tables: tables{Ground: groundTable.Of(rows)}}.richest()
	if got := part.Finding.Plain(page.Units{}); !ok || !strings.Contains(got, "700") || !strings.Contains(got, "west") {
		t.Errorf("%v: %s", ok, got)
	}
	if _, ok := (document{tables: tables{Ground: groundTable.Of(nil)}}).richest(); ok {
		t.Error("a plan without a pilot says where it found most")
	}
}
