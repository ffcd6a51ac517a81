package darwincore

import (
	"maps"
	"slices"

	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
)

// inventories are the effort, the scope and the absences of each visit, by the
// Humboldt extension.
func (a *archive) inventories() part {
	fixed := func(text string) func(*export.Visit) string { return func(*export.Visit) string { return text } }
	terms := []term[export.Visit]{
		{dwc + "eventID", visitID},
		{eco + "siteCount", fixed("1")},
		{eco + "verbatimSiteNames", func(v *export.Visit) string { return v.Of.ID }},
		{eco + "totalAreaSampledValue", areaSampled},
		{eco + "totalAreaSampledUnit", func(v *export.Visit) string { return ifNot(areaSampled(v), "m²") }},
		{eco + "eventDurationValue", func(v *export.Visit) string { return known(v.Hours) }},
		{eco + "eventDurationUnit", func(v *export.Visit) string { return ifNot(known(v.Hours), "hours") }},
		{eco + "targetTaxonomicScope", fixed(list(a.names(a.survey.Taxa)))},
		{eco + "isTaxonomicScopeFullyReported", fixed("true")},
		{eco + "isAbsenceReported", fixed("true")},
		{eco + "absentTaxa", func(v *export.Visit) string { return list(a.names(a.absent(v))) }},
		{eco + "hasNonTargetTaxa", func(v *export.Visit) string { return truth(len(a.others(v)) > 0) }},
		{eco + "nonTargetTaxa", func(v *export.Visit) string { return list(a.names(a.others(v))) }},
		{eco + "areNonTargetTaxaFullyReported", fixed("false")},
		{eco + "compilationTypes", fixed("samplingEvents")},
		{eco + "inventoryTypes", fixed("restrictedSearch")},
		{eco + "protocolNames", func(v *export.Visit) string { return protocol(v.Of) }},
		{eco + "protocolDescriptions", func(v *export.Visit) string { return a.protocolText(v.Of) }},
		{eco + "isAbundanceReported", fixed("true")},
		{eco + "isAbundanceCapReported", fixed("false")},
		{eco + "samplingPerformedBy", func(v *export.Visit) string { return list(v.Observers) }},
		{eco + "isSamplingEffortReported", func(v *export.Visit) string { return truth(v.Hours.Known) }},
		{eco + "samplingEffortProtocol", func(v *export.Visit) string { return ifNot(known(v.Hours), "hours of search") }},
		{eco + "samplingEffortValue", func(v *export.Visit) string { return known(v.Hours) }},
		{eco + "samplingEffortUnit", func(v *export.Visit) string { return ifNot(known(v.Hours), "hours") }},
	}
	return partOf(a, "humboldt.csv", eco+"Event", terms, func(put func(*export.Visit) error) error {
		for _, u := range a.survey.Visited() {
			for _, v := range u.Visits {
				if err := put(v); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// ifNot returns text where there is a value.
func ifNot(value, text string) string {
	if value == "" {
		return ""
	}
	return text
}

func areaSampled(v *export.Visit) string {
	if v.Of.SearchedM2 == 0 {
		return ""
	}
	return number(v.Of.SearchedM2)
}

// names are the scientific names of taxa, or else the crew's, each once.
func (a *archive) names(taxa []string) []string {
	var names []string
	for _, taxon := range taxa {
		if name := a.survey.TaxonName(taxon); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// absent lists the target taxa that a visit shows to be absent.
func (a *archive) absent(v *export.Visit) []string {
	return slices.DeleteFunc(slices.Clone(a.survey.Taxa), func(taxon string) bool { return !a.survey.Absent(v, taxon) })
}

// others lists the taxa that a visit found and that were not searched for.
func (a *archive) others(v *export.Visit) []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(v.Bodies)), a.survey.Target)
}

// protocolText says how a unit was searched and what a visit records.
func (a *archive) protocolText(u *export.Unit) string {
	text := "All fruit bodies within the plot were counted."
	switch u.Kind {
	case survey.Strip:
		text = "All fruit bodies within the half-width of the transect were counted."
	case survey.Line:
		text = "Fruit bodies seen from the line were recorded with their perpendicular distance; not all that stood there were seen."
	}
	return text + " " + a.rule()
}

// rule says what a visit records.
func (a *archive) rule() string {
	if a.survey.Settings.Counting.Rule == survey.New {
		return "Each visit records only fruit bodies that were not recorded before."
	}
	return "Each visit records all fruit bodies that stand; a second pass of a day only those that its first did not."
}
