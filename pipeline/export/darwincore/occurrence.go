package darwincore

import (
	"strconv"
	"strings"

	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// occurrence is a find or, where find is nil, a taxon that a visit did not find.
type occurrence struct {
	visit *export.Visit
	taxon string
	find  *survey.Find
}

// occurrences are the finds of the survey in the order of the archive, then the
// absences by unit, visit and taxon.
func (a *archive) occurrences() part {
	terms := []term[occurrence]{
		{dwc + "eventID", func(o *occurrence) string { return visitID(o.visit) }},
		{dwc + "occurrenceID", (*occurrence).id},
		{dwc + "basisOfRecord", func(*occurrence) string { return "HumanObservation" }},
		{dwc + "occurrenceStatus", (*occurrence).status},
		{dwc + "scientificName", func(o *occurrence) string { name, _ := a.survey.Scientific(o.taxon); return name.Name }},
		{dwc + "scientificNameID", func(o *occurrence) string { name, _ := a.survey.Scientific(o.taxon); return name.ID }},
		{dwc + "verbatimIdentification", func(o *occurrence) string { return o.taxon }},
		{dwc + "individualCount", (*occurrence).bodies},
		{dwc + "organismQuantity", (*occurrence).bodies},
		{dwc + "organismQuantityType", func(*occurrence) string { return "fruit bodies" }},
		{dwc + "recordedBy", (*occurrence).recordedBy},
		{dwc + "associatedTaxa", a.nearestTree},
		{dwc + "occurrenceRemarks", (*occurrence).remarks},
		{dwc + "dataGeneralizations", func(o *occurrence) string { text, _ := a.survey.Statements(o.visit.Unit); return text }},
		{dwc + "informationWithheld", func(o *occurrence) string { _, text := a.survey.Statements(o.visit.Unit); return text }},
	}
	return partOf(a, "occurrence.csv", dwc+"Occurrence", terms, func(put func(*occurrence) error) error {
		err := a.eachFind(func(v *export.Visit, f *survey.Find) error {
			a.count("finds")
			return put(&occurrence{v, f.Taxon, f})
		})
		if err != nil {
			return err
		}
		return a.eachAbsence(func(v *export.Visit, taxon string) error {
			a.count("absences")
			return put(&occurrence{v, taxon, nil})
		})
	})
}

// eachFind hands on the finds, with the file and line each was read from.
func (a *archive) eachFind(take func(*export.Visit, *survey.Find) error) error {
	return a.results.Each(a.ctx, export.Archive+"/"+survey.Finds.Name, func(b table.Batch) error {
		files, lines := b.Texts(table.SourceFile), b.Ints(table.SourceLine)
		return table.Scan(survey.Finds, b, func(i int, f *survey.Find) error {
			v := a.survey.VisitOf(f)
			if v == nil {
				return nil // a find without its visit is a fault, and no archive has it
			}
			f.Place = survey.Place{File: files.At(i), Line: lines.At(i).Value}
			return take(v, f)
		})
	})
}

func (a *archive) eachAbsence(take func(*export.Visit, string) error) error {
	for _, u := range a.survey.Visited() {
		for _, v := range u.Visits {
			for _, taxon := range a.survey.Taxa {
				if !a.survey.Absent(v, taxon) {
					continue
				}
				if err := take(v, taxon); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// findID identifies a find by the line it was written on.
func findID(f *survey.Find) string { return "find:" + f.File + ":" + strconv.FormatInt(f.Line, 10) }

func (o *occurrence) id() string {
	if o.find != nil {
		return findID(o.find)
	}
	return "absence:" + strconv.Itoa(len(o.taxon)) + ":" + o.taxon + ":" + visitID(o.visit)
}

func (o *occurrence) status() string {
	if o.find != nil {
		return "present"
	}
	return "absent"
}

func (o *occurrence) bodies() string {
	if o.find == nil {
		return "0"
	}
	return strconv.FormatInt(o.find.Count.Value, 10)
}

// recordedBy names those who saw a find, or else those who searched.
func (o *occurrence) recordedBy() string {
	if o.find == nil || o.find.SeenBy == "" {
		return list(o.visit.Observers)
	}
	names := strings.Split(o.find.SeenBy, ";")
	for i := range names {
		names[i] = strings.TrimSpace(names[i])
	}
	return list(names)
}

// nearestTree says which tree a find stood nearest to, which is no proof of a root
// partnership.
func (a *archive) nearestTree(o *occurrence) string {
	if o.find == nil || o.find.Tree == "" {
		return ""
	}
	return strconv.Quote("nearest tree") + ": " + strconv.Quote(a.survey.TreeName(o.find.Tree))
}

func (o *occurrence) remarks() string {
	if o.find == nil {
		return "searched for on this visit and not found"
	}
	return ""
}
