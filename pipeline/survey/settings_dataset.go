package survey

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
)

// Dataset is what an export says of the survey as a published data set, and
// which coordinates it generalizes. No estimate depends on it.
type Dataset struct {
	Title        string `json:"title,omitempty"` // "" = the survey's
	Licence      string `json:"licence,omitempty"`
	Contact      string `json:"contact,omitempty"`
	ContactEmail string `json:"contact_email,omitempty"`
	Organization string `json:"organization,omitempty"`
	Citation     string `json:"citation,omitempty"`

	// Coordinates of units with finds of these taxa.
	Blurred  []string `json:"blurred,omitempty"`  // generalized to a grid
	Withheld []string `json:"withheld,omitempty"` // left out
	BlurM    float64  `json:"blur_m,omitempty"`   // side of a grid cell; 0 = DefaultBlurM

	// The crew's names and the scientific names they stand for.
	Taxa  map[string]ScientificName `json:"taxa,omitempty"`
	Trees map[string]ScientificName `json:"trees,omitempty"`
}

// ScientificName is the name of a taxon in the nomenclature of biology.
type ScientificName struct {
	Name string `json:"name"`
	ID   string `json:"id,omitempty"` // an identifier of the name, such as a URL or LSID
}

// DatasetTable is the table of survey.toml that holds a [Dataset].
const DatasetTable = "dataset"

// DefaultBlurM is the side of a grid cell, in metres, where none is given: about
// a tenth of a degree of latitude.
const DefaultBlurM = 10_000

// CellM returns the side of a grid cell, in metres.
func (d Dataset) CellM() float64 {
	if d.BlurM == 0 {
		return DefaultBlurM
	}
	return d.BlurM
}

// DatasetKeys lists the settings of [Dataset] but for its names of taxa and trees.
var DatasetKeys = []Key{
	{Table: DatasetTable, Name: "title", About: "title of the data set, where it is not that of the survey",
		At: func(s *Settings) any { return &s.Dataset.Title }},
	{Table: DatasetTable, Name: "licence", About: "licence of the data: an SPDX identifier, " + phrase.Either(licenceIDs()) + ", or the address of the text of another",
		At: func(s *Settings) any { return &s.Dataset.Licence }},
	{Table: DatasetTable, Name: "contact", About: "name of the person who answers for the data, \"Given Surname\" or \"Surname, Given\"",
		At: func(s *Settings) any { return &s.Dataset.Contact }},
	{Table: DatasetTable, Name: "contact_email", About: "e-mail address of that person",
		At: func(s *Settings) any { return &s.Dataset.ContactEmail }},
	{Table: DatasetTable, Name: "organization", About: "organization that publishes the data",
		At: func(s *Settings) any { return &s.Dataset.Organization }},
	{Table: DatasetTable, Name: "citation", About: "how the data set is to be cited",
		At: func(s *Settings) any { return &s.Dataset.Citation }},
	{Table: DatasetTable, Name: "blurred", About: "taxa, in the crew's names: units with finds of them are exported with generalized coordinates",
		At: func(s *Settings) any { return &s.Dataset.Blurred }},
	{Table: DatasetTable, Name: "withheld", About: "taxa, in the crew's names: units with finds of them are exported without coordinates",
		At: func(s *Settings) any { return &s.Dataset.Withheld }},
	// A cell of 100 m hides a plot among its neighbours at best, one of 200 km says
	// no more than a region.
	{Table: DatasetTable, Name: "blur_m", About: "side of the grid cell, in metres, that generalized coordinates are the centre of",
		Bounds: column.Bounds{Set: true, Min: 100, Max: 200_000},
		At:     func(s *Settings) any { return &s.Dataset.BlurM }},
}

// NameTables are the tables below [dataset] that map the crew's names, and AboutNames
// says what they hold.
var NameTables = []string{"taxa", "trees"}

// AboutNames says what the tables of [NameTables] hold.
const AboutNames = "the crew's name on the left, the scientific name on the right, with its identifier if there is one"

// Names returns the names of one of [NameTables].
func (d *Dataset) Names(table string) *map[string]ScientificName {
	if table == NameTables[0] {
		return &d.Taxa
	}
	return &d.Trees
}

// Licence is a licence of open data.
type Licence struct {
	ID    string // in the SPDX list
	Title string
	URL   string
}

// Licences lists the licences that are known by their SPDX identifiers.
var Licences = []Licence{
	{"CC0-1.0", "Creative Commons Zero v1.0 Universal", "https://creativecommons.org/publicdomain/zero/1.0/legalcode"},
	{"CC-BY-4.0", "Creative Commons Attribution 4.0 International", "https://creativecommons.org/licenses/by/4.0/legalcode"},
	{"CC-BY-NC-4.0", "Creative Commons Attribution Non Commercial 4.0 International", "https://creativecommons.org/licenses/by-nc/4.0/legalcode"},
	{"CC-BY-SA-4.0", "Creative Commons Attribution Share Alike 4.0 International", "https://creativecommons.org/licenses/by-sa/4.0/legalcode"},
	{"ODC-By-1.0", "Open Data Commons Attribution License v1.0", "https://opendatacommons.org/licenses/by/1-0/"},
	{"ODbL-1.0", "Open Data Commons Open Database License v1.0", "https://opendatacommons.org/licenses/odbl/1-0/"},
}

func licenceIDs() []string {
	ids := make([]string, len(Licences))
	for i, l := range Licences {
		ids[i] = l.ID
	}
	return ids
}

// LicenceOf returns the data set's licence; one given by its address has no ID,
// and its address for a title.
func (d Dataset) LicenceOf() Licence {
	for _, l := range Licences {
		if l.ID == d.Licence {
			return l
		}
	}
	return Licence{Title: d.Licence, URL: d.Licence}
}

// given reports whether anything of the data set was set, beside the grid, which the
// report uses too.
func (d Dataset) given() bool {
	return d.Title+d.Licence+d.Contact+d.ContactEmail+d.Organization+d.Citation != "" ||
		len(d.Blurred)+len(d.Withheld)+len(d.Taxa)+len(d.Trees) > 0
}

// Missing returns the settings that a published data set must have and this one
// does not.
func (d Dataset) Missing() []Misfit {
	var list []Misfit
	for _, required := range []struct{ key, value, example string }{
		{"licence", d.Licence, `licence = "CC-BY-4.0"`},
		{"contact", d.Contact, `contact = "Given Surname"`},
		{"citation", d.Citation, `citation = "Author (2031) Title. Publisher."`},
	} {
		if required.value == "" {
			list = append(list, Misfit{DatasetTable + "." + required.key, -1, "is missing", "a data set that is published needs it: " + required.example})
		}
	}
	return list
}

// datasetMisfits hold [dataset] to what a survey can have. One that is there at
// all must be whole.
func (s Settings) datasetMisfits() []Misfit {
	d := s.Dataset
	if !d.given() {
		return nil
	}
	list := d.Missing()
	add := func(key, problem, remedy string) {
		list = append(list, Misfit{DatasetTable + "." + key, -1, problem, remedy})
	}
	if l := d.Licence; l != "" && !slices.Contains(licenceIDs(), l) && !strings.HasPrefix(l, "https://") {
		add("licence", phrase.Quote(l)+" is not "+phrase.Either(licenceIDs())+", nor an address",
			"write one of them, or the address of the licence's text, https://...")
	}
	if e := d.ContactEmail; e != "" && !strings.Contains(strings.Trim(e, "@"), "@") {
		add("contact_email", phrase.Quote(e)+" is not an e-mail address", "write it as name@example.org")
	}
	for _, taxon := range d.Blurred {
		if slices.Contains(d.Withheld, taxon) {
			add("blurred", "names "+phrase.Quote(taxon)+", whose coordinates are withheld", "name it in one of the two")
		}
	}
	for _, table := range NameTables {
		list = append(list, namesMisfits(table, *d.Names(table))...)
	}
	return list
}

// namesMisfits hold the scientific names of a table to what can be one.
func namesMisfits(table string, names map[string]ScientificName) []Misfit {
	var list []Misfit
	add := func(key, problem, remedy string) {
		list = append(list, Misfit{strings.TrimSuffix(DatasetTable+"."+table+"."+key, "."), -1, problem, remedy})
	}
	if len(names) > mostNames {
		add("", fmt.Sprintf("holds %d names, more than %d", len(names), mostNames), "keep those of taxa that were found")
		return list
	}
	for _, crews := range sortedKeys(names) {
		name := names[crews]
		problem := textProblem(name.Name, nil)
		if problem == "" {
			problem = textProblem(name.ID, nil)
		}
		switch {
		case len(crews) > mostText:
			add("", "has a name that is too long", "shorten it in the sheets too")
		case name.Name == "":
			add(crews, "names nothing", "write the scientific name in quotes, or remove the line")
		case problem != "":
			add(crews, problem, "write the scientific name in quotes")
		}
	}
	return list
}
