package plan

import (
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// Input is all that a plan is made from.
type Input struct {
	Settings survey.Settings
	Document []byte       // survey.toml as it was read
	Map      *outline.Map // nil without an outline
	Strata   []survey.Stratum
	Pilot    *Pilot  // nil without one
	Weather  Weather // of the survey folder: this year's so far, and former years
	SoFar    *SoFar  // nil before the season
	Surveys  int     // simulated for each power; 0: 200, which know 0.8 to 0.03
}

// File is a file of the plan's folder.
type File struct {
	Name string // slash path within it
	Data []byte
}

// Plan is a plan that was made.
type Plan struct {
	Files  []File
	Tables []result.Table // for the folder tables
	Lines  []string       // what the command says of it
}

// Make plans a survey. Faults keep it from being made.
func Make(in Input) (*Plan, []survey.Fault) {
	frames, faults := in.frames()
	if len(faults) > 0 {
		return nil, faults
	}
	numbers := sizing{in}
	n := numbers.compute()
	placed := in.place(frames, n.Units)
	c := schedule{in}.calendar(n)
	t := tables{
		Size: sizeTable.Of(n.sizeRows()), Allocation: allocationTable.Of(numbers.allocationRows(n)), Power: powerTable.Of(n.powerRows()),
		UnitSize: unitSizeTable.Of(numbers.unitSizeRows(n)), Looks: looksTable.Of(n.lookRows()), Layout: layoutTable.Of(in.layoutRows(placed)),
		Calendar: calendarTable.Of(c.rows()), Visits: visitsTable.Of(c.visitRows()), Ground: groundTable.Of(in.ground()),
	}
	d := document{in, t, n, c, placed}
	html, err := d.write()
	if err != nil {
		return nil, []survey.Fault{{Place: survey.Place{File: "plan.html"}, Problem: err.Error()}}
	}
	out := &Plan{Files: append(folder{in}.surveyFiles(placed), File{"plan.html", html}), Tables: t.all(), Lines: d.lines()}
	for _, more := range []func([]Placed) ([]File, error){folder{in}.mapFiles, sheetWriter{in}.files} {
		if len(placed) == 0 {
			break
		}
		files, err := more(placed)
		if err != nil {
			return nil, []survey.Fault{{Place: survey.Place{File: "outline.geojson"}, Problem: err.Error()}}
		}
		out.Files = append(out.Files, files...)
	}
	return out, nil
}
