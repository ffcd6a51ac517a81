package layout

import (
	"errors"
	"math"
	"testing"

	"ashtally/stats/statstest"
)

func square(corner, side float64) Polygon {
	a, b := corner, corner+side
	return Polygon{{{a, a}, {b, a}, {b, b}, {a, b}}}
}

func frame(t *testing.T, g Ground, f Footprint) *Frame {
	t.Helper()
	made, err := NewFrame(g, f)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// Areas by elementary geometry.
func TestFrameArea(t *testing.T) {
	big := []Polygon{square(0, 1000)}
	holed := []Polygon{{big[0][0], square(400, 200)[0]}}
	road := Obstacle{Lines: []Line{{{500, -100}, {500, 1100}}}, Distance: 20}
	for name, c := range map[string]struct {
		ground Ground
		unit   Footprint
		want   float64 // m2
	}{
		"square":                {Ground{Within: big}, Footprint{}, 1e6},
		"edge":                  {Ground{Within: big, Edge: 30}, Footprint{}, 940 * 940},
		"circle":                {Ground{Within: big, Edge: 30}, Footprint{Radius: 5}, 930 * 930},
		"line":                  {Ground{Within: big}, Footprint{Length: 100, Bearing: 90}, 900 * 1000},
		"belt":                  {Ground{Within: big}, Footprint{Length: 100, Width: 4}, 900 * 996},
		"belt across":           {Ground{Within: big}, Footprint{Length: 100, Width: 4, Bearing: 30}, (1000 - 50 - 4*math.Sqrt(3)/2) * (1000 - 100*math.Sqrt(3)/2 - 2)},
		"hole":                  {Ground{Within: holed}, Footprint{}, 1e6 - 4e4},
		"hole and edge":         {Ground{Within: holed, Edge: 10}, Footprint{}, 980*980 - 200*200 - 4*200*10 - math.Pi*100},
		"road":                  {Ground{Within: big, Apart: []Obstacle{road}}, Footprint{Radius: 5}, 990 * (990 - 50)},
		"road and belt":         {Ground{Within: big, Apart: []Obstacle{road}}, Footprint{Length: 60, Width: 10, Bearing: 90}, 990 * (940 - 100)},
		"polygons that overlap": {Ground{Within: big, Apart: []Obstacle{{Polygons: []Polygon{square(100, 200), square(200, 200)}}}}, Footprint{}, 1e6 - 7e4},
		"obstacle with a hole":  {Ground{Within: big, Apart: []Obstacle{{Polygons: holed}}}, Footprint{Radius: 10}, 180 * 180},
		"two parts":             {Ground{Within: []Polygon{square(0, 100), square(900, 100)}}, Footprint{Radius: 10}, 2 * 80 * 80},
	} {
		f := frame(t, c.ground, c.unit)
		statstest.Relative(t, name, f.Area(), c.want, 1e-3)
	}
}

// A strip of 3 m by 14 km, which few of the first cells have a point of.
func TestFrameStrip(t *testing.T) {
	strip := Polygon{{{0, 0}, {10000, 10000}, {10000, 10004}, {0, 4}}}
	f := frame(t, Ground{Within: []Polygon{strip}}, Footprint{})
	statstest.Relative(t, "area", f.Area(), 4e4, 0.03)
}

func TestFrameFunc(t *testing.T) {
	f, err := NewFrameFunc(Point{-1, -1}, Point{1, 1}, func(p Point) bool { return p.X*p.X+p.Y*p.Y < 1 })
	if err != nil {
		t.Fatal(err)
	}
	statstest.Relative(t, "area of the unit circle", f.Area(), math.Pi, 2e-3)
	if f.Contains(Point{0.8, 0.8}) || !f.Contains(Point{0.7, 0.7}) {
		t.Error("not the circle")
	}
}

func TestNoRoom(t *testing.T) {
	ground := Ground{Within: []Polygon{square(0, 20)}}
	for name, c := range map[string]struct {
		ground Ground
		unit   Footprint
	}{
		"no polygon":             {Ground{}, Footprint{}},
		"circle too large":       {ground, Footprint{Radius: 10.01}},
		"circle that just fits":  {ground, Footprint{Radius: 10}},
		"line too long":          {ground, Footprint{Length: 21}},
		"edge too wide":          {Ground{Within: ground.Within, Edge: 11}, Footprint{}},
		"all of it excluded":     {Ground{Within: ground.Within, Apart: []Obstacle{{Polygons: []Polygon{square(-1, 30)}}}}, Footprint{}},
		"road through all of it": {Ground{Within: ground.Within, Apart: []Obstacle{{Lines: []Line{{{10, 10}}}, Distance: 15}}}, Footprint{}},
	} {
		if _, err := NewFrame(c.ground, c.unit); !errors.Is(err, ErrNoRoom) {
			t.Errorf("%s: %v, want no room", name, err)
		}
	}
	if _, err := NewFrameFunc(Point{}, Point{1, 1}, func(Point) bool { return false }); !errors.Is(err, ErrNoRoom) {
		t.Errorf("nowhere: %v", err)
	}
}

func TestFootprint(t *testing.T) {
	f := Footprint{Length: 10, Width: 4, Bearing: 90}
	from, to := f.Ends(Point{100, 50})
	statstest.Near(t, "start", from.X, 95, 1e-12)
	statstest.Near(t, "end", to.X, 105, 1e-12)
	corners := f.Corners(Point{100, 50})
	for i, want := range []Point{{95, 48}, {105, 48}, {105, 52}, {95, 52}} {
		statstest.Near(t, "corner", distance(corners[i], want), 0, 1e-12)
	}
	statstest.Near(t, "area", corners.signedArea(), 40, 1e-9)
}
