package ingest

import (
	"fmt"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// empty reports a table without rows.
func (r *reading) empty(t *inputTable, count TableCount) {
	if count.Read > 0 || len(t.files) == 0 {
		return
	}
	if _, lost := r.known.lost[t.Name]; lost {
		return
	}
	f := fileFault(t.files[0].Name, "has no rows", "")
	switch t.Name {
	case survey.Strata.Name:
		f.Remedy = "write a row for each part of the land that is estimated on its own"
		r.block(f)
		r.known.lose(t.Name, f.Place)
	case survey.Visits.Name:
		f.Remedy = "write a row for each search of a unit, with finds or without"
		r.block(f)
		r.known.lose(t.Name, f.Place)
	case survey.Finds.Name:
		f.Remedy = "the survey is one without finds"
		r.notice(f)
	default:
		r.notice(f)
	}
}

// acrossRows makes the checks that need all rows, and those of the settings.
type acrossRows struct{ *checks }

// across makes the checks that need all rows, and puts the questions.
func (r *reading) across() {
	a := &acrossRows{r.checks}
	a.noUnits()
	a.size()
	for _, s := range r.known.stratumOrder {
		a.stratumWhole(s)
	}
	a.pairsOfStrata()
	a.adaptive()
	a.namesOfSettings()
	r.tellFarHosts()
	r.tellReduced()
	a.passGaps()
	a.weatherGaps()
	a.unsearched()
	a.unnamed()
	r.doubts.questions()
}

func (r *reading) tellFarHosts() {
	f := r.firstFarHost
	switch {
	case r.farHosts == 0:
		return
	case r.farHosts > 1:
		f.Problem += fmt.Sprintf("; %d finds are like this one", r.farHosts)
	}
	r.notice(f)
}

// noUnits reports a survey whose plots and transects have headers alone.
func (a *acrossRows) noUnits() {
	if _, lost := a.known.lostUnit(); lost || len(a.known.unitOrder) > 0 {
		return
	}
	for _, t := range a.folder.tables {
		if (t.Name == survey.Plots.Name || t.Name == survey.Transects.Name) && len(t.files) > 0 {
			a.block(fileFault(t.files[0].Name, "the survey has neither a plot nor a transect", "write a row for each that was laid"))
			return
		}
	}
}

// stratumWhole checks a stratum against the units laid in it.
func (a *acrossRows) stratumWhole(s *stratum) {
	if s.aside {
		return
	}
	if _, lost := a.known.lostUnit(); s.units == 0 && !lost {
		a.notice(survey.Fault{Place: s.place, Problem: "the stratum " + phrase.Quote(s.name) + " has no plot and no transect",
			Remedy: "nothing can be estimated for it"})
	}
	// A thousandth is left for the rounding of a stratum that was searched whole.
	if searched := s.searched / 1e4; s.areaHa.Known && searched > s.areaHa.Value*1.001 {
		a.block(survey.Fault{
			Place: s.place, Name: "area_ha",
			Problem: fmt.Sprintf("the units in %s cover %s ha, more than its %s ha", phrase.Quote(s.name),
				phrase.Decimal(round(searched)), phrase.Decimal(s.areaHa.Value)),
			Remedy: "check the area and its unit, and the sizes of the units",
		})
	}
}
