package export

import (
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// TestAbsent goes through the searches of one unit by hand.
func TestAbsent(t *testing.T) {
	u := &Unit{ID: "P1"}
	day := func(s string, pass int64, found ...string) *Visit {
		d, err := column.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		v := &Visit{VisitKey: VisitKey{"P1", d.Days(), pass}, Of: u, Bodies: map[string]int64{}}
		for _, taxon := range found {
			v.Bodies[taxon]++
		}
		return v
	}
	u.Visits = []*Visit{
		day("2031-05-01", 1), day("2031-05-10", 1, "a"), day("2031-05-10", 2), day("2031-05-20", 1), day("2032-05-01", 1),
	}
	for rule, want := range map[string][]bool{
		survey.New:      {true, false, false, false, true},
		survey.Standing: {true, false, false, true, true},
	} {
		s := &Survey{Settings: survey.Settings{Counting: survey.Counting{Rule: rule}}}
		for i, v := range u.Visits {
			if got := s.Absent(v, "a"); got != want[i] {
				t.Errorf("%s, visit %d: absent is %t", rule, i, got)
			}
			if !s.Absent(v, "b") {
				t.Errorf("%s, visit %d: what was never found is not absent", rule, i)
			}
		}
	}
	one := survey.ScientificName{Name: "One species"}
	s := &Survey{Settings: survey.Settings{Dataset: survey.Dataset{Taxa: map[string]survey.ScientificName{"a": one, "b": one}}}}
	if s.Absent(u.Visits[1], "b") {
		t.Error("a species is absent where another name of it was found")
	}
}

func TestPerson(t *testing.T) {
	for name, want := range map[string][2]string{
		"Mara Lindqvist": {"Mara", "Lindqvist"}, "Mara Elin Lindqvist": {"Mara Elin", "Lindqvist"},
		"van der Berg, Ada": {"Ada", "van der Berg"}, "Mara": {"", "Mara"}, ", Mara": {"", "Mara"},
	} {
		if given, surname := Person(name); given != want[0] || surname != want[1] {
			t.Errorf("%q is %q and %q", name, given, surname)
		}
	}
}
