package darwincore

import (
	"fmt"
	"strconv"

	"ashtally/pipeline/export"
)

// event is a unit with all its visits or, where visit is there, one of them.
type event struct {
	unit  *export.Unit
	visit *export.Visit
}

// events are the core of the archive.
func (a *archive) events() part {
	d := a.survey.Settings.Dataset
	fixed := func(text string) func(*event) string { return func(*event) string { return text } }
	terms := []term[event]{
		{dwc + "eventID", (*event).id},
		{dwc + "parentEventID", (*event).parent},
		{dwc + "eventType", (*event).kind},
		{dwc + "eventDate", (*event).date},
		{dwc + "year", (*event).year},
		{dwc + "samplingProtocol", func(e *event) string { return protocol(e.unit) }},
		{dwc + "sampleSizeValue", (*event).sampleSize},
		{dwc + "sampleSizeUnit", (*event).sampleUnit},
		{dwc + "samplingEffort", (*event).effort},
		{dwc + "locationID", func(e *event) string { return e.unit.ID }},
		{dwc + "locality", func(e *event) string { return e.unit.Site }},
		{dwc + "locationRemarks", a.locationRemarks},
		{dwc + "decimalLatitude", func(e *event) string { return known(e.unit.Latitude) }},
		{dwc + "decimalLongitude", func(e *event) string { return known(e.unit.Longitude) }},
		{dwc + "geodeticDatum", datum},
		{dwc + "coordinateUncertaintyInMeters", a.uncertainty},
		{dwc + "minimumElevationInMeters", func(e *event) string { return known(e.unit.ElevationM) }},
		{dwc + "maximumElevationInMeters", func(e *event) string { return known(e.unit.ElevationM) }},
		{dwc + "dataGeneralizations", func(e *event) string { text, _ := a.survey.Statements(e.unit.ID); return text }},
		{dwc + "informationWithheld", func(e *event) string { _, text := a.survey.Statements(e.unit.ID); return text }},
		{dwc + "datasetName", fixed(a.survey.Title())},
		{dwc + "institutionCode", fixed(d.Organization)},
		{dc + "license", fixed(d.LicenceOf().URL)},
		{dc + "rightsHolder", fixed(rightsHolder(d.Organization, d.Contact))},
	}
	return partOf(a, "event.csv", dwc+"Event", terms, a.eachEvent)
}

func (a *archive) eachEvent(put func(*event) error) error {
	for _, u := range a.survey.Visited() {
		a.count("units")
		if err := put(&event{unit: u}); err != nil {
			return err
		}
		for _, v := range u.Visits {
			a.count("visits")
			if err := put(&event{u, v}); err != nil {
				return err
			}
		}
	}
	return nil
}

func (e *event) id() string {
	if e.visit == nil {
		return unitID(e.unit)
	}
	return visitID(e.visit)
}

func (e *event) parent() string {
	if e.visit == nil {
		return ""
	}
	return unitID(e.unit)
}

func (e *event) kind() string {
	if e.visit == nil {
		return "Survey"
	}
	return "Site Visit"
}

// date is a day or, of a unit, the interval of its visits by ISO 8601.
func (e *event) date() string {
	if e.visit != nil {
		return e.visit.Date().String()
	}
	first, last := e.unit.Visits[0].Date().String(), e.unit.Visits[len(e.unit.Visits)-1].Date().String()
	if first == last {
		return first
	}
	return first + "/" + last
}

// year is that of the date, where it is one.
func (e *event) year() string {
	first, last := e.unit.Visits[0].Date().Year(), e.unit.Visits[len(e.unit.Visits)-1].Date().Year()
	if e.visit != nil {
		first, last = e.visit.Date().Year(), e.visit.Date().Year()
	}
	if first != last {
		return ""
	}
	return strconv.Itoa(first)
}

// sampleSize is the area of one search, and of a line its length.
func (e *event) sampleSize() string {
	if e.unit.SearchedM2 > 0 {
		return number(e.unit.SearchedM2)
	}
	return number(e.unit.LengthM)
}

func (e *event) sampleUnit() string {
	if e.unit.SearchedM2 > 0 {
		return "square metre"
	}
	return "metre"
}

func (e *event) effort() string {
	if e.visit == nil {
		return fmt.Sprintf("visits: %d", len(e.unit.Visits))
	}
	text := ""
	if e.visit.Hours.Known {
		text = known(e.visit.Hours) + " hours of search"
	}
	if n := len(e.visit.Observers); n > 0 {
		if text != "" {
			text += ", "
		}
		text += fmt.Sprintf("observers: %d", n)
	}
	return text
}

func datum(e *event) string {
	if !e.unit.Latitude.Known || !e.unit.Longitude.Known {
		return ""
	}
	return "EPSG:4326"
}

func (a *archive) uncertainty(e *event) string {
	if datum(e) == "" {
		return ""
	}
	return known(a.survey.UncertaintyM(e.unit.ID))
}

func (a *archive) locationRemarks(e *event) string {
	s := a.survey.Strata[e.unit.Stratum]
	text := "stratum " + e.unit.Stratum
	if s.FireDate == "" {
		text += ", unburned"
	} else {
		text += ", burned " + s.FireDate
	}
	if s.Severity != "" {
		text += ", severity " + s.Severity
	}
	return text
}

func rightsHolder(organization, contact string) string {
	if organization != "" {
		return organization
	}
	return contact
}
