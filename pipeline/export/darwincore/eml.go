package darwincore

import (
	"encoding/xml"
	"io"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
)

// The elements of EML 2.2.0 (https://eml.ecoinformatics.org) that are written, in
// the order in which its schema has them.
type (
	emlFile struct {
		XMLName xml.Name `xml:"eml:eml"`
		EML     string   `xml:"xmlns:eml,attr"`
		ID      string   `xml:"packageId,attr"`
		System  string   `xml:"system,attr"`
		Dataset dataset  `xml:"dataset"`
		Further further  `xml:"additionalMetadata"`
	}

	dataset struct {
		Title      string   `xml:"title"`
		Creator    party    `xml:"creator"`
		Abstract   []string `xml:"abstract>para"`
		Additional []string `xml:"additionalInfo>para,omitempty"`
		Rights     rights   `xml:"intellectualRights"`
		Licensed   licensed `xml:"licensed"`
		Coverage   coverage `xml:"coverage"`
		Contact    party    `xml:"contact"`
		Methods    methods  `xml:"methods"`
	}

	party struct {
		Name         person `xml:"individualName"`
		Organization string `xml:"organizationName,omitempty"`
		Email        string `xml:"electronicMailAddress,omitempty"`
	}

	person struct {
		Given   string `xml:"givenName,omitempty"`
		Surname string `xml:"surName"`
	}

	rights struct {
		Para struct {
			Text string `xml:",chardata"`
			Link struct {
				URL   string `xml:"url,attr"`
				Title string `xml:"citetitle"`
			} `xml:"ulink"`
		} `xml:"para"`
	}

	licensed struct {
		Name string `xml:"licenseName"`
		URL  string `xml:"url"`
		ID   string `xml:"identifier,omitempty"`
	}

	coverage struct {
		Place *place     `xml:"geographicCoverage"`
		Time  *timeSpan  `xml:"temporalCoverage"`
		Taxa  []taxonOne `xml:"taxonomicCoverage>taxonomicClassification,omitempty"`
	}

	place struct {
		Description string  `xml:"geographicDescription"`
		West        float64 `xml:"boundingCoordinates>westBoundingCoordinate"`
		East        float64 `xml:"boundingCoordinates>eastBoundingCoordinate"`
		North       float64 `xml:"boundingCoordinates>northBoundingCoordinate"`
		South       float64 `xml:"boundingCoordinates>southBoundingCoordinate"`
	}

	timeSpan struct {
		First string `xml:"rangeOfDates>beginDate>calendarDate"`
		Last  string `xml:"rangeOfDates>endDate>calendarDate"`
	}

	taxonOne struct {
		Name   string `xml:"taxonRankValue"`
		Common string `xml:"commonName,omitempty"`
	}

	methods struct {
		Step     string `xml:"methodStep>description>para"`
		Extent   string `xml:"sampling>studyExtent>description>para"`
		Sampling string `xml:"sampling>samplingDescription>para"`
	}

	further struct {
		Citation string `xml:"metadata>gbif>citation"`
	}
)

// eml writes eml.xml.
func (a *archive) eml(w io.Writer) error {
	d := a.survey.Settings.Dataset
	l := d.LicenceOf()
	given, surname := export.Person(d.Contact)
	contact := party{person{given, surname}, d.Organization, d.ContactEmail}
	file := emlFile{
		EML: "https://eml.ecoinformatics.org/eml-2.2.0", ID: "urn:sha256:" + a.results.Digest(), System: "ashtally",
		Dataset: dataset{
			Title: a.survey.Title(), Creator: contact, Contact: contact,
			Abstract: []string{"Counts of fungi after fire on plots and transects that were searched on known days, with the searches that found " +
				"nothing. The names are those that the crew recorded."},
			Additional: a.notes(),
			Licensed:   licensed{l.Title, l.URL, l.ID},
			Coverage:   a.coverage(),
			Methods: methods{
				Step:   "Units were searched by the protocol of their event; sampleSizeValue is the horizontal area of one search or, of a line, its length.",
				Extent: "Each unit lies in a stratum, a part of the survey area, which locationRemarks names with the date and the severity of its fire.",
				Sampling: a.rule() + " A taxon is absent from a visit that did not find it, unless an earlier search of the unit did whose fruit bodies " +
					"were not to be recorded again. " +
					"An absence is a search without a find: not every fruit body that stands is seen.",
			},
		},
		Further: further{d.Citation},
	}
	file.Dataset.Rights.Para.Text = "This work is licensed under "
	file.Dataset.Rights.Para.Link.URL, file.Dataset.Rights.Para.Link.Title = l.URL, l.Title
	return writeXML(w, file)
}

// coverage is where, when and of which taxa there are records. The place is that of
// the positions as they are exported.
func (a *archive) coverage() coverage {
	var c coverage
	at := place{Description: "The visited units, as far as their positions are given.", West: math.Inf(1),
		South: math.Inf(1), East: math.Inf(-1), North: math.Inf(-1)}
	var first, last column.Date
	for _, u := range a.survey.Visited() {
		if u.Latitude.Known && u.Longitude.Known {
			at.West, at.East = min(at.West, u.Longitude.Value), max(at.East, u.Longitude.Value)
			at.South, at.North = min(at.South, u.Latitude.Value), max(at.North, u.Latitude.Value)
		}
		if d := u.Visits[0].Date(); !first.Known() || d.Compare(first) < 0 {
			first = d
		}
		if d := u.Visits[len(u.Visits)-1].Date(); !last.Known() || d.Compare(last) > 0 {
			last = d
		}
	}
	if !math.IsInf(at.West, 1) {
		c.Place = &at
	}
	if first.Known() {
		c.Time = &timeSpan{first.String(), last.String()}
	}
	for _, taxon := range a.survey.Taxa {
		one := taxonOne{Name: a.survey.TaxonName(taxon)}
		if one.Name != taxon {
			one.Common = taxon
		}
		c.Taxa = append(c.Taxa, one)
	}
	return c
}
