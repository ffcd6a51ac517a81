package pipeline

import (
	"ashtally/pipeline/position"
	"ashtally/pipeline/survey"
)

// positionColumns are those whose cells tell where a unit lies.
var positionColumns = map[string]bool{"latitude": true, "longitude": true, "elevation_m": true, "aspect_deg": true, "bearing_deg": true}

// protects reports whether the settings keep positions of units back.
func protects(s survey.Settings) bool {
	return position.Least(s) != position.Exact || len(s.Dataset.Blurred)+len(s.Dataset.Withheld) > 0
}

// told is a fault as the report tells it: without what it quotes of a position that
// the settings keep back.
func (in *input) told(f survey.Fault) survey.Fault {
	if protects(in.settings) && positionColumns[f.Name] {
		f.Problem, f.Remedy = "the cell is not quoted, as positions are kept back", "look it up in the sheet"
	}
	return f
}

// toldAll are faults as the report tells them.
func (in *input) toldAll(list []survey.Fault) []survey.Fault {
	told := make([]survey.Fault, len(list))
	for i, f := range list {
		told[i] = in.told(f)
	}
	return told
}

// toldQuestions are questions as the report tells them.
func (in *input) toldQuestions(list []survey.Question) []survey.Question {
	told := make([]survey.Question, len(list))
	for i, q := range list {
		told[i] = q
		if f := in.told(q.Fault); f != q.Fault {
			told[i].Fault, told[i].Text = f, ""
		}
	}
	return told
}
