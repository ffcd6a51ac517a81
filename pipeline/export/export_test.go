package export

import (
	"testing"

	"pgregory.net/rapid"

	"ashtally/pipeline/column"
	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
)

// TestGridHoldsItsUncertainty measures the distance from a position to the centre
// of its cell along the geodesic on WGS 84.
func TestGridHoldsItsUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := grid{rapid.Float64Range(100, 200_000).Draw(t, "side")}
		latitude := rapid.Float64Range(-89, 89).Draw(t, "latitude")
		longitude := rapid.Float64Range(-180, 180).Draw(t, "longitude")
		y, x := g.center(g.at(latitude, longitude))
		if x < -180 || x > 180 || y < -90 || y > 90 {
			t.Fatalf("the centre is %v, %v", y, x)
		}
		away := geodesy.Inverse(geodesy.Position{Lat: latitude, Lon: longitude}, geodesy.Position{Lat: y, Lon: x}).Length
		if away > g.uncertaintyM().Value {
			t.Fatalf("%v m from the centre, and the uncertainty is %v m", away, g.uncertaintyM().Value)
		}
		if again := g.at(y, x); again != g.at(latitude, longitude) && g.sideM > 500 {
			t.Fatalf("the centre lies in cell %v", again)
		}
	})
}

// TestProtectionSpreads follows a find along a site and a cell.
func TestProtectionSpreads(t *testing.T) {
	p := &Protection{grid: grid{1000}, units: map[string]Disclosure{"a": Generalized, "w": Withheld}}
	p.spread([]place{
		{unit: "c", cell: cell{1, 1}, located: true}, // in b's cell
		{unit: "b", site: "s", cell: cell{1, 1}, located: true},
		{unit: "a", site: "s", cell: cell{7, 7}, located: true},
		{unit: "d", cell: cell{1, 2}, located: true},
		{unit: "e", cell: cell{0, 0}}, // no position, and no cell
		{unit: "f", cell: cell{9, 9}, located: true}, {unit: "w", cell: cell{9, 9}, located: true},
	})
	for unit, want := range map[string]Disclosure{"a": Generalized, "b": Generalized, "c": Generalized, "d": Exact, "e": Exact, "f": Withheld, "w": Withheld} {
		if got := p.Of(unit); got != want {
			t.Errorf("%s is %s, want %s", unit, got, want)
		}
	}
	here := column.Float{Value: 12, Known: true}
	if g := p.Ground("w", survey.Ground{Latitude: here, Longitude: here, ElevationM: here}); g.Latitude.Known || g.ElevationM.Known {
		t.Errorf("a withheld unit stands at %+v", g)
	}
	if g := p.Ground("d", survey.Ground{Latitude: here, Longitude: here, ElevationM: here}); g.Latitude != here || g.ElevationM != here {
		t.Errorf("an open unit stands at %+v", g)
	}
}

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
