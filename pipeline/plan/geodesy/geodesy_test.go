package geodesy

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// Perimeters and areas by GeographicLib 2.1.2 (Debian's geographiclib-tools):
// echo the positions, latitude first, to Planimeter -p 6. The first three are
// also test cases of that library.
var polygons = []struct {
	name            string
	ring            []Position
	perimeter, area float64
	digits          float64 // of the printed area
}{
	{"round the pole", []Position{{0, 89}, {90, 89}, {180, 89}, {270, 89}}, 631819.874528, 24952305678.0, 1e-11},
	{"diamond on the equator", []Position{{-1, 0}, {0, -1}, {1, 0}, {0, 1}}, 627598.273165, 24619419146.9, 1e-11},
	{"octant", []Position{{0, 90}, {0, 0}, {90, 0}}, 30022685.630020, 63758202715511.1, 1e-13},
	{"burn", []Position{{-118.42, 46.10}, {-118.40, 46.10}, {-118.395, 46.115}, {-118.41, 46.12}, {-118.43, 46.11}}, 7801.946132, 4081878.1, 2e-8},
	{"hole in the burn", []Position{{-118.415, 46.105}, {-118.41, 46.105}, {-118.41, 46.11}, {-118.415, 46.11}}, 1884.665653, 214840.5, 3e-7},
	{"large, far north", []Position{{-150, 64}, {-148, 64}, {-148, 65}, {-150, 65}}, 415176.623534, 10713221641.1, 1e-11},
}

func TestArea(t *testing.T) {
	for _, p := range polygons {
		t.Run(p.name, func(t *testing.T) {
			statstest.Relative(t, "area", Area(p.ring), p.area, p.digits)
			statstest.Relative(t, "area of the closed ring", Area(append(slices.Clone(p.ring), p.ring[0])), p.area, p.digits)
			reversed := slices.Clone(p.ring)
			slices.Reverse(reversed)
			statstest.Relative(t, "area of the reversed ring", Area(reversed), -p.area, p.digits)
			statstest.Near(t, "perimeter", perimeter(p.ring), p.perimeter, 1e-6)
		})
	}
}

func perimeter(ring []Position) float64 {
	sum := 0.0
	for i, p := range ring {
		sum += Inverse(p, ring[(i+1)%len(ring)]).Length
	}
	return sum
}

// A ring is as large in the southern hemisphere, and across the antimeridian.
func TestAreaMoved(t *testing.T) {
	for _, p := range polygons {
		south, turned := slices.Clone(p.ring), slices.Clone(p.ring)
		for i, at := range p.ring {
			south[i].Lat = -at.Lat
			turned[i].Lon = math.Remainder(at.Lon-61.59, 360)
		}
		statstest.Relative(t, p.name+" in the south", Area(south), -p.area, p.digits)
		statstest.Relative(t, p.name+" turned", Area(turned), p.area, max(p.digits, 1e-9))
	}
}

func TestAreaEmpty(t *testing.T) {
	for name, ring := range map[string][]Position{
		"no position":          nil,
		"one":                  {{3, 4}},
		"two":                  {{3, 4}, {5, 6}},
		"the same three times": {{3, 4}, {3, 4}, {3, 4}},
	} {
		statstest.Near(t, name, Area(ring), 0, 1e-3)
	}
	if a := Area([]Position{{0, 0}, {179.9, 0.1}, {90, 40}}); !math.IsNaN(a) {
		t.Errorf("area with a nearly antipodal edge = %g, want NaN", a)
	}
}

// The direct problem by GeographicLib 2.1.2 (GeodSolve -p 9): from 46.1 -118.4,
// azimuth 35, 100 m.
var start, end = Position{-118.4, 46.1}, Position{-118.39925820339, 46.10073695475}

func TestInverse(t *testing.T) {
	g := Inverse(start, end)
	statstest.Near(t, "length", g.Length, 100, 2e-6) // eleven decimals of a degree are 1 micrometre
	statstest.Near(t, "azimuth", g.Azimuth, 35, 1e-6)
	back := Inverse(end, start)
	statstest.Near(t, "azimuth back", back.Azimuth, 180+35.00053450568, 1e-6)
	if g := Inverse(start, start); g.Length != 0 {
		t.Errorf("length from a position to itself = %g", g.Length)
	}
}

func TestLocal(t *testing.T) {
	l := NewLocal(start)
	sin, cos := math.Sincos(35 * degree)
	got := l.Inverse(100*sin, 100*cos)
	statstest.Near(t, "longitude", got.Lon, end.Lon, 1e-10)
	statstest.Near(t, "latitude", got.Lat, end.Lat, 1e-10)
}

// By GeographicLib 2.1.2 (TransverseMercatorProj -k 1 -p 6), from the central
// meridian and the equator, up to 1000 km from the former.
func TestLocalSeries(t *testing.T) {
	l := NewLocal(Position{})
	for _, c := range []struct {
		at          Position
		x, y, scale float64
	}{
		{Position{0, 46}, 0, 5096085.926452, 1},
		{Position{2, 46.5}, 153523.595883, 5153608.048806, 1.000289603793},
		{Position{2.5, 64}, 122305.459242, 7102252.875961, 1.000183101831},
		{Position{9, -33}, 842491.986033, -3688967.479230, math.NaN()},
		{Position{-9, 10}, -990614.565388, 1119448.729454, math.NaN()},
		{Position{20, 80}, 380488.590327, 8951251.165727, math.NaN()},
	} {
		x, y := l.Forward(c.at)
		statstest.Near(t, "x", x, c.x, 1e-6)
		statstest.Near(t, "y", y, c.y, 1e-6)
		if !math.IsNaN(c.scale) {
			statstest.Near(t, "scale", l.Scale(x)-1, c.scale-1, 0.01*(c.scale-1))
		}
	}
}

// Distances in the plane differ from geodesics by the scale, and positions come
// back to where they were, everywhere but at the poles.
func TestLocalScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		origin := Position{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-85, 85).Draw(t, "lat")}
		x := rapid.Float64Range(-2e5, 2e5).Draw(t, "x")
		y := rapid.Float64Range(-2e5, 2e5).Draw(t, "y")
		turn := rapid.Float64Range(0, 2*math.Pi).Draw(t, "direction")
		l := NewLocal(origin)
		p := l.Inverse(x, y)
		backX, backY := l.Forward(p)
		statstest.Near(t, "x there and back", backX, x, 1e-6)
		statstest.Near(t, "y there and back", backY, y, 1e-6)

		const step = 100.0
		sin, cos := math.Sincos(turn)
		q := l.Inverse(x+step*sin, y+step*cos)
		excess := l.Scale(x+step*sin/2) - 1
		statstest.Near(t, "scale", step/Inverse(p, q).Length-1, excess, 0.01*excess+1e-9)
	})
}
