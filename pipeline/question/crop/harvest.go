package crop

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/crop"
	"ashtally/stats/harvest"
	"ashtally/stats/strata"
)

// Warnings are the types that rows of the question may carry.
func Warnings() []stats.WarningTypes {
	return append([]stats.WarningTypes{own, crop.Warnings, harvest.Warnings, strata.Warnings}, transect.AllWarnings()...)
}

// own are those that arise here.
var own stats.WarningTypes

var allTakenHere = own.New("all-taken-here", stats.Note, "All of the harvest taken on one ground")

// carried are the types of warnings that the share of a harvest takes over from
// the crop: those of the area and of the weighing.
var carried = []*stats.WarningType{
	fieldwork.AreaNotReached, crop.WeighedInPart, crop.FewWeighed, fieldwork.SeasonsPooled, crop.NoMass, stats.NoUnits,
}

// harvests compares each scenario of the settings with the crop of the survey
// area by each method, and with that of burned and of unburned ground, as if all
// of it were taken there.
func (e *estimator) harvests() []HarvestRow {
	var rows []HarvestRow
	for _, h := range e.Settings.Harvest {
		for i, row := range e.rows {
			if fieldwork.OverStrata(row.Stratum) && row.Years == result.All {
				rows = append(rows, e.harvestRow(h, row, e.crops[i], e.atLevel[i]))
			}
		}
	}
	return rows
}

func (e *estimator) harvestRow(h survey.Harvest, of Row, c, atLevel crop.Crop) HarvestRow {
	limit, mass := h.PerDay()
	carries, fixed, unit, shown := c.Bodies, atLevel.Bodies, survey.FruitBodies, of.Bodies
	if mass {
		carries, fixed, unit, shown = c.Kg, atLevel.Kg, survey.Kilograms, of.Kg
	}
	r := harvest.Of(harvest.Scenario{People: h.People, Days: h.Days, Limit: limit, Filled: h.Filled, Share: h.Share, Chance: h.Chance}, carries, fixed)
	percent := r.Share
	percent.Value, percent.Lower, percent.Upper = 100*percent.Value, 100*percent.Lower, 100*percent.Upper
	row := HarvestRow{
		Scenario: h.Name, Method: of.Method, Ground: of.Ground, Stratum: of.Stratum, AreaHa: of.AreaHa,
		People: column.Finite(h.People), Days: column.Finite(h.Days), Limit: column.Finite(h.Limit), LimitUnit: h.Unit, Filled: column.Finite(100 * h.Filled),
		Taken: column.Finite(r.Taken), Unit: unit, Crop: shown.Value, Share: result.Of(percent),
		Asked: column.Finite(100 * h.Share), Exceeds: column.Finite(r.Passes), Basis: of.Basis,
		Chance: column.Finite(h.Chance), MostPeople: column.Finite(r.Most.People), MostDays: column.Finite(r.Most.Days),
		MostLimit: column.Finite(r.Most.Limit / limit * h.Limit),
		Warnings:  slices.Clone(r.Share.Warnings),
	}
	for _, w := range of.Warnings {
		if slices.ContainsFunc(carried, w.Is) {
			row.Warnings = append(row.Warnings, w)
		}
	}
	if of.Stratum == result.Reached {
		row.Warnings = append(row.Warnings, allTakenHere.With("the share is that of all people picking in the strata that were reached alone"))
	}
	if of.Ground != result.All {
		row.Warnings = append(row.Warnings, allTakenHere.With("the share is that of all people picking on %s land alone", of.Ground))
	}
	return row
}
