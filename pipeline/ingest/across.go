package ingest

import (
	"fmt"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// settingsNames lets the names in survey.toml be the first of their kind, so
// that a row that spells one otherwise is told against it.
func (r *reading) settingsNames() {
	place := func(table, key string) survey.Place {
		return survey.Place{File: settingsName, Line: r.folder.lines.line(table, key)}
	}
	for _, tree := range r.folder.Settings.Hosts.Trees {
		r.names("tree").take(tree, place("hosts", "trees"))
	}
}

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

// across makes the checks that need all rows.
func (r *reading) across() {
	r.noUnits()
	r.size()
	for _, s := range r.known.stratumOrder {
		r.stratumWhole(s)
	}
	_, lost := r.known.lost[survey.Visits.Name]
	for _, u := range r.known.unitOrder {
		if len(u.visits) == 0 && u.lost == nil && !lost && !u.aside {
			r.notice(survey.Fault{Place: u.place, Problem: "the unit " + phrase.Quote(u.name) + " was never visited", Remedy: "it counts in no estimate; add its visits if it was searched"})
		}
	}
	r.pairsOfStrata()
	r.adaptive()
	r.targets()
	r.tellFarHosts()
	r.passGaps()
	r.weatherGaps()
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
func (r *reading) noUnits() {
	if _, lost := r.known.lostUnit(); lost || len(r.known.unitOrder) > 0 {
		return
	}
	for _, t := range r.folder.tables {
		if (t.Name == survey.Plots.Name || t.Name == survey.Transects.Name) && len(t.files) > 0 {
			r.block(fileFault(t.files[0].Name, "the survey has neither a plot nor a transect", "write a row for each that was laid"))
			return
		}
	}
}

// stratumWhole checks a stratum against the units laid in it.
func (r *reading) stratumWhole(s *stratum) {
	if s.aside {
		return
	}
	if _, lost := r.known.lostUnit(); s.units == 0 && !lost {
		r.notice(survey.Fault{Place: s.place, Problem: "the stratum " + phrase.Quote(s.name) + " has no plot and no transect", Remedy: "nothing can be estimated for it"})
	}
	// A thousandth is left for the rounding of a stratum that was searched whole.
	if searched := s.searched / 1e4; s.areaHa.Known && searched > s.areaHa.Value*1.001 {
		r.block(survey.Fault{
			Place: s.place, Name: "area_ha",
			Problem: fmt.Sprintf("the units in %s cover %s ha, more than its %s ha", phrase.Quote(s.name), phrase.Decimal(round(searched)), phrase.Decimal(s.areaHa.Value)),
			Remedy:  "check the area and its unit, and the sizes of the units",
		})
	}
}

// targets tells of taxa that are to be estimated and were never found, which
// is most often a name written in two ways.
func (r *reading) targets() {
	found := r.names("taxon")
	if len(found.seen) >= maxNames {
		return // not all that was found is known
	}
	for _, target := range r.folder.Settings.Taxa.Target {
		if found.has(target) {
			continue
		}
		near := ""
		if other, ok := found.folded[fold(target)]; ok {
			near = "did you mean " + phrase.Quote(other.text) + "?"
		}
		r.notice(survey.Fault{
			Place: survey.Place{File: settingsName, Line: r.folder.lines.line("taxa", "target")}, Name: "taxa.target",
			Problem: "no find is of the taxon " + phrase.Quote(target), Remedy: join(near, "it is estimated as not found"),
		})
	}
}
