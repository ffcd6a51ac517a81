package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/crop"
	"ashtally/stats/harvest"
)

// harvests holds each scenario of the settings against the crop of the land by
// each method, and of burned and unburned land apart, as if all of it were
// taken there.
func (c *cropper) harvests() []HarvestRow {
	var rows []HarvestRow
	for _, h := range c.Settings.Harvest {
		for i, row := range c.rows {
			if fieldwork.OverStrata(row.Stratum) && row.Years == All {
				rows = append(rows, c.harvestRow(h, row, i))
			}
		}
	}
	return rows
}

func (c *cropper) harvestRow(h survey.Harvest, of CropRow, at int) HarvestRow {
	limit, mass := h.PerDay()
	carried, atLevel, unit, shown := c.figures[at].Bodies, c.atLevel[at].Bodies, survey.FruitBodies, of.Bodies
	if mass {
		carried, atLevel, unit, shown = c.figures[at].Kg, c.atLevel[at].Kg, survey.Kilograms, of.Kg
	}
	r := harvest.Of(harvest.Scenario{People: h.People, Days: h.Days, Limit: limit, Filled: h.Filled, Share: h.Share}, carried, atLevel)
	percent := r.Share
	percent.Value, percent.Lower, percent.Upper = 100*percent.Value, 100*percent.Lower, 100*percent.Upper
	row := HarvestRow{
		Scenario: h.Name, Method: of.Method, Ground: of.Ground, Stratum: of.Stratum, LandHa: of.LandHa,
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
	if of.Stratum == Reached {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "all-taken-here", Text: "the share is that of all people picking in the strata that were reached alone"})
	}
	if of.Ground != All {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "all-taken-here", Text: "the share is that of all people picking on " + of.Ground + " land alone"})
	}
	return row
}

// addAtLevel works out the crop of the row added last with limits at the level
// that chances rest on.
func (c *cropper) addAtLevel(method string, members []fieldwork.Domain) error {
	at := len(c.rows) - 1
	if len(c.Settings.Harvest) == 0 {
		return nil
	}
	if c.Settings.Confidence == harvest.Level {
		c.atLevel[at] = c.figures[at]
		return nil
	}
	e, err := c.densityAtLevel(method, members)
	if err != nil {
		return err
	}
	p := c.part(members)
	p.Density, p.SE, p.Lower, p.Upper, p.Confidence = e.Value, e.SE, e.Lower, e.Upper, harvest.Level
	p.Apart = apart(method)
	c.atLevel[at] = crop.Of(p)
	return nil
}

// densityAtLevel is the density of some frames together with limits at that level.
func (c *cropper) densityAtLevel(method string, members []fieldwork.Domain) (stats.Estimate, error) {
	if len(members) == 0 {
		return stats.Missing(harvest.Level, 0, stats.Warning{Code: "no-units", Text: "no " + fieldwork.UnitNoun(method) + " was searched here"}), nil
	}
	s := Season{c.Season.Season.WithConfidence(harvest.Level)}
	all := s.Subgroups()
	if method == LineMethod {
		t := c.lines
		if t.replay != nil {
			t.replay = t.replay.At(harvest.Level)
		}
		f, err := s.linesIn(c.ctx, t, members, t.kinds(all)[:1]) // the first crossing is all finds
		if err != nil {
			return stats.Estimate{}, err
		}
		return f[0].Estimate, nil
	}
	estimates := make([]stats.Estimate, len(members))
	for i, f := range members {
		estimates[i] = s.estimateOne(f, fieldwork.FindsOf(f)).Estimate
	}
	return s.pooledDensity(members, estimates, func(member int) []float64 { return fieldwork.FindsOf(members[member]) }), nil
}
