package pipeline

import (
	"math"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/report"
	"ashtally/plots"
)

// crop draws the mass that each stratum carries, in lb where the report is in
// US units; without any mass there is no figure.
func (d *drawer) crop() {
	unit, kg := report.PerMass(d.settings)
	in := plots.CropByStratum{Unit: "fresh mass in " + unit, Confidence: d.settings.Confidence}
	var shown []analyze.CropRow
	var reached []plots.StratumDensity
	weighed := false
	for _, r := range d.results.Crop {
		if r.Years != analyze.All || fieldwork.OverStrata(r.Stratum) && r.Ground != analyze.All {
			continue
		}
		row := plots.StratumDensity{Stratum: r.Stratum, Method: report.MethodName(r.Method), Estimate: plots.Estimate{
			Value: drawn(r.Kg.Value, kg), Lower: drawn(r.Kg.Lower, kg), Upper: drawn(r.Kg.Upper, kg),
			Units: d.unitsOf(r), Finds: int(r.Counted.Value), Note: note(r.Warnings),
		}}
		weighed = weighed || !math.IsNaN(row.Value)
		switch r.Stratum {
		case analyze.All:
			row.Stratum = "Land as a whole"
			in.Land = append(in.Land, row)
		case analyze.Reached:
			row.Stratum = strataReached
			reached = append(reached, row)
		default:
			in.Strata = append(in.Strata, row)
		}
		shown = append(shown, r)
	}
	in.Strata = append(in.Strata, reached...)
	if !weighed {
		return
	}
	d.add("Crop by stratum", in, report.Figure{Crop: shown})
}

// unitsOf is the units behind a row of the crop.
func (d *drawer) unitsOf(r analyze.CropRow) int {
	for _, row := range d.results.Density {
		if row.Key == fieldwork.Pooled(r.Method, r.Stratum) {
			return int(row.Units.Value)
		}
	}
	return 0
}

// drawn is a figure in the unit of a drawing; beyond what an axis can show
// there is none.
func drawn(f column.Float, size float64) float64 {
	const least, most = 1e-9, 1e11
	v := value(f) / size
	if v != 0 && !(v >= least && v <= most) {
		return math.NaN()
	}
	return v
}

// harvests draws the share that each scenario takes, by the first method that
// tells of any.
func (d *drawer) harvests() {
	in := plots.ShareOfHarvest{Confidence: d.settings.Confidence}
	var shown []analyze.HarvestRow
	method := report.HarvestMethod(d.results.Harvest)
	for _, r := range d.results.Harvest {
		if r.Method != method {
			continue
		}
		in.Rows = append(in.Rows, plots.HarvestShare{
			Scenario: r.Scenario, Ground: r.Ground, Percent: drawn(r.Share.Value, 1), Lower: drawn(r.Share.Lower, 1), Upper: drawn(r.Share.Upper, 1),
			Asked: r.Asked.Value, Chance: value(r.Passes), Note: note(r.Warnings),
		})
		shown = append(shown, r)
	}
	d.add("What a harvest would take of the crop", in, report.Figure{Harvest: shown})
}
