package demo

import (
	"bytes"
	"fmt"

	"ashtally/pipeline/survey"
)

// File is one file of a survey folder.
type File struct {
	Name string
	Data []byte
}

// surveySeed was taken, from a thousand, for a sample whose densities lie
// near their expectations: a demonstration should not begin with an unlucky
// draw. Its sampling errors are therefore smaller than those of most samples;
// to judge a method, draw many with [Scaled].
const surveySeed = 2560

// What the crew of the demonstration did their own way: plots have headers of
// their own, transects were taped in feet, finds are in two files, and the
// reference points come from a spreadsheet with decimal commas.
const surveyFiles = `
[files]
finds = "finds-*.csv"
`

var plotHeaders = map[string]string{
	"plot":          "Plot No",
	"stratum":       "Burn",
	"site":          "Site",
	"radius_m":      "Radius (m)",
	"length_m":      "Length (m)",
	"width_m":       "Width (m)",
	"area_m2":       "Area (sq m)",
	"slope_percent": "Slope (%)",
	"laid":          "Taped along",
	"latitude":      "Lat",
	"longitude":     "Lon",
	"elevation_m":   "Elevation (m)",
	"aspect_deg":    "Aspect (deg)",
	"roadside":      "By road?",
	"added":         "Added?",
	"network":       "Network",
}

// Survey returns the demonstration: some 200 plots, 24 strips, 6 lines and the
// adaptive cluster plots of one small stratum, in five strata burned at different
// times and one unburned, each visited twice,
// with about 1,900 rows of finds. The bytes are the same always.
func Survey() []File {
	var f folder
	f.create("survey.toml").Write(settings(surveyFiles, plotHeaders, surveyDesign()))
	p := pens{
		strata:        newPen(f.create("strata.csv"), sheet[survey.Stratum]{table: survey.Strata}),
		plots:         newPen(f.create("plots.csv"), sheet[survey.Plot]{table: survey.Plots, headers: plotHeaders}),
		transects:     newPen(f.create("transects.csv"), sheet[survey.Transect]{table: survey.Transects, feet: true}),
		visits:        newPen(f.create("visits.csv"), sheet[survey.Visit]{table: survey.Visits}),
		finds:         newPen(f.create("finds-plots.csv"), sheet[survey.Find]{table: survey.Finds, omit: []string{"distance_m"}}),
		transectFinds: newPen(f.create("finds-transects.csv"), sheet[survey.Find]{table: survey.Finds, omit: []string{"x_m", "y_m"}}),
		trees:         newPen(f.create("trees.csv"), sheet[survey.Tree]{table: survey.Trees}),
		points:        newPen(f.create("reference_points.csv"), sheet[survey.ReferencePoint]{table: survey.ReferencePoints, decimalComma: true}),
	}
	p.writeStrata(strata[:])
	for _, u := range surveyUnits() {
		p.writeUnit(surveyWorld, u)
	}
	for _, s := range surveyWorld.gridUnits(gridPlaces) {
		p.writeSquare(s)
	}
	if err := p.flush(); err != nil {
		panic("demo: a buffer in memory refused a write: " + err.Error())
	}
	return f.files()
}

// folder is a survey folder in memory.
type folder struct {
	names []string
	texts []*bytes.Buffer
}

func (f *folder) create(name string) *bytes.Buffer {
	text := &bytes.Buffer{}
	f.names, f.texts = append(f.names, name), append(f.texts, text)
	return text
}

func (f *folder) files() []File {
	files := make([]File, len(f.names))
	for i, name := range f.names {
		files[i] = File{Name: name, Data: f.texts[i].Bytes()}
	}
	return files
}

// gridPlaces is the number of the first place of an adaptive cluster plot,
// beyond all others.
const gridPlaces = 1000

var surveyWorld = world{seed: surveySeed, scale: 1}

// surveyUnits draws the units of the demonstration, plots first.
func surveyUnits() []*unit {
	var units []*unit
	plotSlots := slots(plots)
	for i, s := range plotSlots {
		units = append(units, surveyWorld.newUnit(s, fmt.Sprintf("P%03d", i+1), i, s.placeNumber))
	}
	counts := map[string]int{}
	for i, s := range slots(transects) {
		counts[s.size.kind]++
		letter := map[string]string{survey.Strip: "S", survey.Line: "L"}[s.size.kind]
		id := fmt.Sprintf("%s%02d", letter, counts[s.size.kind])
		units = append(units, surveyWorld.newUnit(s, id, len(plotSlots)+i, places(plotSlots)+s.placeNumber))
	}
	return units
}
