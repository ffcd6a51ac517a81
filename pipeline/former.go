package pipeline

import (
	"context"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
)

// former answers the questions of package analyze, which have no package of their
// own yet. Package report writes of them.
type former struct{ analyze.Results }

// askFormer asks those questions.
func askFormer(ctx context.Context, s *fieldwork.Season, known *question.Known) (former, error) {
	season := &analyze.Season{Season: s}
	results, err := season.Answer(ctx, known.Lines)
	if err != nil {
		return former{}, err
	}
	return former{results}, nil
}

// Tables are their result tables.
func (f former) Tables() []result.Table {
	return []result.Table{
		result.Former(analyze.ComparisonTable, f.Comparison),
	}
}

// Sections are none: package report has what there is to say.
func (f former) Sections(page.Units) []page.Section { return nil }

// formerResults are the rows that package report writes of.
func formerResults(answers []question.Answer) analyze.Results {
	for _, a := range answers {
		if f, ok := a.(former); ok {
			return f.Results
		}
	}
	return analyze.Results{}
}
