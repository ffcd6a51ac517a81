package fieldwork_test

import (
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

func TestLineFindWithoutDistance(t *testing.T) {
	w := fieldworktest.New()
	w.Transects = []survey.Transect{{
		Transect: "L0", Stratum: "burn", Kind: survey.Line, LengthM: fieldworktest.Known(200), HalfWidthM: fieldworktest.Known(4), Sides: column.Count(2), Laid: survey.Horizontal,
	}}
	w.Visit(t, "L0", "2031-05-01", 1)
	w.Find(t, "L0", "2031-05-01", 1, 2, survey.Saprotrophic, "spruce").DistanceM = fieldworktest.Known(1)
	w.Season(t)
	finds := w.Finds
	w.Finds = nil
	finds[0].DistanceM = column.Float{}
	b := table.FromRows(survey.Finds, finds)
	defer b.Release()
	if err := w.Season(t).Take(survey.Finds.Name, b); err == nil {
		t.Error("a find along a line without a distance was taken")
	}
}
