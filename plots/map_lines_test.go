package plots

import (
	"errors"
	"math"
	"testing"

	"ashtally/plots/internal/canvas"
)

// TestMapLines checks that lines stay open, are cut at the border of the map and come
// back where they enter it again.
func TestMapLines(t *testing.T) {
	g := ground{scale: 1, north: 100, width: 100, height: 100}
	for _, c := range []struct {
		name string
		line []XY
		want []canvas.Op
	}{
		{"within", []XY{{10, 10}, {20, 10}, {20, 30}}, []canvas.Op{{Kind: canvas.Move, X: 10, Y: 90}, {Kind: canvas.Line, X: 20, Y: 90}, {Kind: canvas.Line, X: 20, Y: 70}}},
		{"across", []XY{{-100, 50}, {300, 50}}, []canvas.Op{{Kind: canvas.Move, X: 0, Y: 50}, {Kind: canvas.Line, X: 100, Y: 50}}},
		{"out and in", []XY{{50, 20}, {150, 20}, {150, 80}, {50, 80}}, []canvas.Op{
			{Kind: canvas.Move, X: 50, Y: 80}, {Kind: canvas.Line, X: 100, Y: 80}, {Kind: canvas.Move, X: 100, Y: 20}, {Kind: canvas.Line, X: 50, Y: 20}}},
		{"beside", []XY{{-10, -10}, {-10, 200}, {200, 200}}, nil},
		{"corner cut off", []XY{{-10, 95}, {15, 120}}, nil},
		{"one point", []XY{{50, 50}}, nil},
	} {
		s := sheet{Drawing: new(canvas.Drawing)}
		Polyline{Points: c.line}.draw(&s, g)
		var got []canvas.Op
		for _, i := range s.Items {
			got = append(got, i.Path...)
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		for i, op := range c.want {
			if got[i].Kind != op.Kind || math.Hypot(got[i].X-op.X, got[i].Y-op.Y) > 1e-9 {
				t.Errorf("%s: step %d is %v, want %v", c.name, i, got[i], op)
			}
		}
	}
}

// TestMapExtent checks that a line leading far out does not make the map smaller.
func TestMapExtent(t *testing.T) {
	m := Map{Outlines: []Outline{{Rings: [][]XY{{{0, 0}, {100, 0}, {100, 100}}}}}}
	want := m.ground(300)
	m.Lines = []Polyline{{Points: []XY{{50, 50}, {1e5, 50}}}}
	if got := m.ground(300); got != want {
		t.Errorf("%+v with a line, %+v without", got, want)
	}
}

// TestMapLineFault checks that a line is not drawn to nowhere.
func TestMapLineFault(t *testing.T) {
	m := Map{About: About{Name: "m"}, Places: []Place{{}}, Lines: []Polyline{{Points: []XY{{0, 0}, {math.NaN(), 1}}}}}
	if _, err := m.Figure(); !errors.Is(err, errNumber) {
		t.Errorf("error %v", err)
	}
}
