package analyze

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// Season is the field data of a survey, and the owner of the questions that
// have no package of their own yet.
type Season struct{ *fieldwork.Season }

// NewSeason returns an empty Season for the settings of a survey.
func NewSeason(settings survey.Settings) *Season { return &Season{Season: fieldwork.New(settings)} }
