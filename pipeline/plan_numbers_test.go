package pipeline

import (
	"bytes"
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/plan"
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats"
	"ashtally/stats/planning/pilot"
	"ashtally/stats/season"
)

// estimated is a figure with its standard error.
func estimated(value, se float64) stats.Estimate {
	e := stats.Estimate{Value: value, SE: se}
	e.DF = math.Inf(1)
	return e
}

// pilotOf is an invented pilot of the strata of twoStrata with a curve of its season.
func pilotOf() *plan.Pilot {
	missing := estimated(math.NaN(), math.NaN())
	flush := season.Flush{ReferenceM: 1000, Shape: season.Gaussian, K: 1, Peak: estimated(130, 1), Width: estimated(22, 1), DaysPer100M: missing, Lead: missing}
	p := &plan.Pilot{Folder: "last", Year: 2031, Seasons: []plan.Flush{{Year: 2031, All: flush}}, Weather: plan.Weather{}}
	for _, name := range []string{"ridge", "creek"} {
		s := pilot.Stratum{Name: name}
		for i := range 14 {
			s.AreaHa, s.Count = append(s.AreaHa, 0.01), append(s.Count, float64(i*i%9))
		}
		p.Strata = append(p.Strata, s)
		p.Bands = append(p.Bands, plan.Band{Stratum: name, Elevation: "1000-1200", ElevationM: 1100, Units: 14})
	}
	for day := 60; day <= 200; day++ {
		d := column.DateInYear(2031, day)
		p.Weather["lookout"] = append(p.Weather["lookout"], plan.Temperature{Date: d, Celsius: float64(day-50) / 10})
	}
	return p
}

// TestNumbersOfThePlan holds each number of plan.html to the cell of a table that it
// names; there are no others. With and without a pilot, and in both units.
func TestNumbersOfThePlan(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a plan")
	}
	m, faults, _ := outline.Read(outline.Files{Outline: outline.File{Name: "outline.geojson", Data: []byte(twoStrata)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for _, c := range []struct {
		name, units string
		pilot       *plan.Pilot
	}{{"pilot", survey.Metric, pilotOf()}, {"no pilot", survey.US, nil}} {
		s := survey.Defaults()
		s.Title, s.Units, s.Plan.UnitCount = "An invented burn", c.units, 24
		made, faults := plan.Make(plan.Input{Settings: s, Map: m, Strata: plan.StrataOf(m), Pilot: c.pilot, Surveys: 10})
		if len(faults) > 0 {
			t.Fatal(c.name, faults)
		}
		files := map[string][]byte{}
		for _, f := range made.Files {
			if f.Name == "plan.html" {
				files[page.ReportFile] = f.Data
			}
		}
		for _, of := range made.Tables {
			var out bytes.Buffer
			csv := table.NewCSV(&out, of.Schema())
			for b := range of.Batches() {
				if err := csv.Write(b); err != nil {
					t.Fatal(err)
				}
			}
			if err := csv.Flush(); err != nil {
				t.Fatal(err)
			}
			files["results/"+of.Name()+".csv"] = out.Bytes()
		}
		checkNumbers(t, files)
	}
}
