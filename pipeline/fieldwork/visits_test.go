package fieldwork

import (
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// TestVisitsOfUnits: visits are found whether their unit has few or many.
func TestVisitsOfUnits(t *testing.T) {
	s := New(survey.Defaults())
	var want []Visit
	for i := range 5 * fewVisits {
		unit := i % 3 * (i % 2) // half of all are of the first
		v := Visit{Unit: int32(unit), Date: column.DateFromDays(int32(i / 4)), Pass: int32(i%4 + 1)}
		if _, ok := visitAt(s, int(v.Unit), v.Date, int64(v.Pass)); ok {
			t.Fatalf("%+v is there before it is added", v)
		}
		collector{s}.addVisit(v)
		want = append(want, v)
		for at, v := range want {
			if got, ok := visitAt(s, int(v.Unit), v.Date, int64(v.Pass)); !ok || got != at {
				t.Fatalf("of %d visits, %d is found at %d", i+1, at, got)
			}
		}
	}
	if _, ok := visitAt(s, 0, column.DateFromDays(0), 9); ok {
		t.Error("a visit of another pass is found")
	}
	if _, ok := visitAt(s, 7, column.DateFromDays(0), 1); ok {
		t.Error("a visit of a unit that has none is found")
	}
}
