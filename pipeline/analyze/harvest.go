package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/harvest"
)

// harvests holds each scenario of the settings against the crop of the land by
// each method, and of burned and unburned land apart, as if all of it were
// taken there.
func (c *cropper) harvests() []HarvestRow {
	var rows []HarvestRow
	for _, h := range c.settings.Harvest {
		for i, row := range c.rows {
			if row.Stratum == All && row.Years == All {
				rows = append(rows, c.harvestRow(h, row, i))
			}
		}
	}
	return rows
}

func (c *cropper) harvestRow(h survey.Harvest, of CropRow, at int) HarvestRow {
	limit, mass := h.PerDay()
	crop, unit, shown := c.figures[at].Bodies, survey.FruitBodies, of.Bodies
	if mass {
		crop, unit, shown = c.figures[at].Kg, survey.Kilograms, of.Kg
	}
	r := harvest.Of(harvest.Scenario{People: h.People, Days: h.Days, Limit: limit, Filled: h.Filled, Share: h.Share}, crop, harvest.Options{Seed: c.settings.Seed})
	percent := r.Share
	percent.Value, percent.Lower, percent.Upper = 100*percent.Value, 100*percent.Lower, 100*percent.Upper
	row := HarvestRow{
		Scenario: h.Name, Method: of.Method, Ground: of.Ground, LandHa: of.LandHa,
		People: column.Finite(h.People), Days: column.Finite(h.Days), Limit: column.Finite(h.Limit), LimitUnit: h.Unit, Filled: column.Finite(100 * h.Filled),
		Taken: column.Finite(r.Taken), Unit: unit, Crop: shown.Value, Share: figures(percent),
		Asked: column.Finite(100 * h.Share), Passes: column.Finite(r.Passes),
		Warnings: slices.Clone(r.Share.Warnings),
	}
	for _, w := range of.Warnings { // what the crop itself is doubtful by, of the land and the weighing
		if slices.Contains([]string{"land-not-reached", "weighed-in-part", "few-weighed", "seasons-pooled", "no-mass", "no-units"}, w.Code) {
			row.Warnings = append(row.Warnings, w)
		}
	}
	if of.Ground != All {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "all-taken-here", Text: "the share is that of all people picking on " + of.Ground + " land alone"})
	}
	return row
}
