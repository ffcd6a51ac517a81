package position

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
		g := Grid{rapid.Float64Range(100, 200_000).Draw(t, "side")}
		latitude := rapid.Float64Range(-89, 89).Draw(t, "latitude")
		longitude := rapid.Float64Range(-180, 180).Draw(t, "longitude")
		y, x := g.Center(g.At(latitude, longitude))
		if x < -180 || x > 180 || y < -90 || y > 90 {
			t.Fatalf("the centre is %v, %v", y, x)
		}
		away := geodesy.Inverse(geodesy.Position{Lat: latitude, Lon: longitude}, geodesy.Position{Lat: y, Lon: x}).Length
		if away > g.UncertaintyM().Value {
			t.Fatalf("%v m from the centre, and the uncertainty is %v m", away, g.UncertaintyM().Value)
		}
		if again := g.At(y, x); again != g.At(latitude, longitude) && g.SideM > 500 {
			t.Fatalf("the centre lies in cell %v", again)
		}
	})
}

// TestProtectionSpreads follows a find along a site and a cell.
func TestProtectionSpreads(t *testing.T) {
	g := Grid{1000}
	at := func(row, longitudinal int) (latitude, longitude column.Float) {
		y, x := g.Center(Cell{row, longitudinal})
		return column.Float{Value: y, Known: true}, column.Float{Value: x, Known: true}
	}
	place := func(unit, site string, cell ...int) Place {
		p := Place{Unit: unit, Stratum: "h", Site: site}
		if len(cell) > 0 {
			p.Latitude, p.Longitude = at(cell[0], cell[1])
		}
		return p
	}
	places := []Place{
		place("c", "", 9001, 1), // in b's cell
		place("b", "s", 9001, 1), place("a", "s", 9007, 7), place("d", "", 9001, 2),
		place("e", ""), // no position, and no cell
		place("f", "", 9009, 9), place("w", "", 9009, 9),
		{Unit: "o", Stratum: "other", Site: "s"}, // another site of that name
	}
	p := Protect(g, Exact, map[string]Disclosure{"a": Generalized, "w": Withheld}, places)
	for unit, want := range map[string]Disclosure{"a": Generalized, "b": Generalized, "c": Generalized, "d": Exact, "e": Exact, "f": Withheld, "w": Withheld, "o": Exact} {
		if got := p.Of(unit); got != want {
			t.Errorf("%s is %s, want %s", unit, got, want)
		}
	}
	if p.Count(Generalized) != 3 || p.Count(Withheld) != 2 {
		t.Errorf("%d generalized, %d withheld", p.Count(Generalized), p.Count(Withheld))
	}
	here := column.Float{Value: 12, Known: true}
	if g := p.Ground("w", survey.Ground{Latitude: here, Longitude: here, ElevationM: here}); g.Latitude.Known || g.ElevationM.Known {
		t.Errorf("a withheld unit stands at %+v", g)
	}
	if g := p.Ground("d", survey.Ground{Latitude: here, Longitude: here, ElevationM: here}); g.Latitude != here || g.ElevationM != here {
		t.Errorf("an open unit stands at %+v", g)
	}
	all := Protect(g, Generalized, map[string]Disclosure{"w": Withheld}, places)
	if all.Of("d") != Generalized || all.Of("e") != Generalized || all.Of("f") != Withheld {
		t.Error("the setting for all units is not that of each")
	}
	if Protect(g, Exact, nil, places).On() {
		t.Error("units are protected that nothing asks for")
	}
}
