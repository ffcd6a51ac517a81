package plan

import (
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/table"
	"ashtally/stats"
)

// GroundRow is a combination of ground that the pilot visited, with the density that its
// model of counts expects of it (results/ground_ranked).
type GroundRow struct {
	Method, Severity, Aspect, Elevation string
	Years, Coming                       string // years since fire in the pilot's season, and in the one planned
	Units                               column.Int
	Density                             result.Estimate
	Warnings                            []stats.Warning
}

var groundTable = result.Declaration[GroundRow]{
	Name:  "pilot_ground",
	About: "the density that the pilot expects on one combination of ground that it visited, highest first",
	Key: []result.Columns[GroundRow]{
		result.Text("method", "plot or strip", func(r *GroundRow) *string { return &r.Method }),
		result.Text("pilot_years_since_fire", "growing seasons since the fire in the season of the pilot, or unburned",
			func(r *GroundRow) *string { return &r.Years }),
		result.Text("severity", "severity of the burn, or unburned", func(r *GroundRow) *string { return &r.Severity }),
		result.Text("aspect", "quarter of the compass; empty where it was not recorded", func(r *GroundRow) *string { return &r.Aspect }),
		result.Text("elevation_band_m", "from, and up to but without, a height in metres; empty where it was not recorded",
			func(r *GroundRow) *string { return &r.Elevation }),
	},
	Columns: []result.Columns[GroundRow]{
		result.Text("years_since_fire", "growing seasons since the fire in the season that is planned", func(r *GroundRow) *string { return &r.Coming }),
		result.Whole("units", "", "units that the pilot searched there", func(r *GroundRow) *column.Int { return &r.Units }),
		result.EstimateOf(func(r *GroundRow) *result.Estimate { return &r.Density },
			result.Value("expected_per_ha", "1/ha", "fruit bodies per hectare in the season of the pilot"),
			result.Lower("lower"), result.Upper("upper"), result.Confidence()),
	},
	Warnings: func(r *GroundRow) []stats.Warning { return r.Warnings },
}

// TakeGround takes results/ground_ranked: the combinations with a density.
func (p *Pilot) TakeGround(b table.Batch) {
	for i := range b.Rows() {
		number := func(name string) column.Float { return b.Floats(name).At(i) }
		if !number("expected_per_ha").Known {
			continue
		}
		text := func(name string) string { return strings.Clone(b.Texts(name).At(i)) }
		p.Ground = append(p.Ground, GroundRow{
			Method: text("method"), Severity: text("severity"), Aspect: text("aspect"), Elevation: text("elevation_band_m"),
			Years: text("years_since_fire"), Units: b.Ints("units").At(i),
			Density: result.Estimate{Value: number("expected_per_ha"), Lower: number("lower"), Upper: number("upper"), Confidence: number("confidence")},
		})
	}
}

// ground are the rows of the pilot with their years since fire in the season planned.
func (in Input) ground() []GroundRow {
	if in.Pilot == nil {
		return nil
	}
	rows := make([]GroundRow, len(in.Pilot.Ground))
	for i, r := range in.Pilot.Ground {
		r.Coming = r.Years
		if n, err := strconv.Atoi(r.Years); err == nil {
			r.Coming = strconv.Itoa(n + in.Year() - in.Pilot.Year)
		}
		rows[i] = r
	}
	return rows
}

// mostGround is how many combinations the page has, of those with this many units or
// more.
const mostGround, fewestUnits = 8, 5

// richest is where the pilot found most; false without such rows.
func (d document) richest() (page.DocumentPart, bool) {
	t := d.tables.Ground
	var rows []int
	for i := range t.Rows() {
		if t.Cell(i, "units").Number.Value >= fewestUnits && t.Cell(i, "method").Text == t.Cell(0, "method").Text && len(rows) < mostGround {
			rows = append(rows, i)
		}
	}
	if len(rows) < 2 {
		return page.DocumentPart{}, false
	}
	label := func(row int) page.Text {
		text := func(column string) string { return t.Cell(row, column).Text }
		return page.Ground(t.Cell(row, "pilot_years_since_fire"), text("severity"), text("aspect"), text("elevation_band_m"))
	}
	return page.DocumentPart{
		ID: "ground", Title: "Where the pilot found most",
		Finding: page.Say("Highest expected density in the pilot: %v, %v.", label(rows[0]), page.Estimate(t.Cell(rows[0], "expected_per_ha"))),
		Tables: []*page.Table{{
			Caption: page.Say("Combinations of ground that the pilot visited, by expected density, %v", page.Methods(t.Cell(rows[0], "method").Text)),
			Of:      t, Head: "Ground in the season of the pilot", Rows: rows, Label: label,
			Columns: []page.Column{{Head: "Units", Name: "units"}, {Head: "Expected density", Name: "expected_per_ha"},
				{Head: "Years since fire then", Name: "years_since_fire"}},
			Below: []page.Text{page.Say("The table pilot_ground has the others. Ground that the pilot did not visit is in none, and a season later " +
				"the fire is a season older.")},
		}},
		Text: []page.Text{page.Say("A survey estimates the area from units on all ground. Units on the richest alone say nothing of the rest.")},
	}, true
}
