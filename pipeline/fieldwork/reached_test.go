package fieldwork_test

import (
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

func TestSharePercent(t *testing.T) {
	for share, want := range map[float64]string{0.0046: "0.46 %", 0.5: "50 %", 0.095: "9.5 %", 0.0996: "10 %", 0.9993: "over 99 %", 0.02: "2 %", 1e-6: "0.0001 %"} {
		if got := fieldwork.SharePercent(share); got != want {
			t.Errorf("%v is %q, want %q", share, got, want)
		}
	}
}

// TestRowsThatReferToNothing are refused: rows come in the order of their tables.
func TestRowsThatReferToNothing(t *testing.T) {
	w := fieldworktest.New()
	s := w.Season(t)
	day := fieldworktest.Date(t, "2031-05-01")
	if err := take(s, survey.Plots, survey.Plot{Plot: "P", Stratum: "nowhere", AreaM2: fieldworktest.Known(1), Laid: survey.Horizontal}); err == nil {
		t.Error("a plot of no stratum was taken")
	}
	if err := take(s, survey.Visits, survey.Visit{Unit: "P", Date: day, Pass: column.Count(1)}); err == nil {
		t.Error("a visit to no unit was taken")
	}
	if err := take(s, survey.Finds, *w.Find(t, "P", "2031-05-01", 1, 1, survey.Saprotrophic, "")); err == nil {
		t.Error("a find of no visit was taken")
	}
}

func take[R any](s *fieldwork.Season, t column.Table[R], row R) error {
	b := table.FromRows(t, []R{row})
	defer b.Release()
	return s.Take(t.Name, b)
}
