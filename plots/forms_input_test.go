package plots

import (
	"errors"
	"strings"
	"testing"
)

// TestFormsRefuse gives each form what cannot be drawn.
func TestFormsRefuse(t *testing.T) {
	row := func(m Mark) func() (Figure, error) { return rowsOf(Auto, m).Figure }
	name := About{Name: "x"}
	square := rowsOf(SquareRoot, Mark{Value: -1, Lower: nan, Upper: nan})
	bars := rowsOf(Log, Mark{Value: 1, Lower: nan, Upper: nan})
	bars.Bars = true
	axisOf := rowsOf(Linear, point3(0, 1, false))
	axisOf.Axis.From = inf
	for what, c := range map[string]struct {
		figure func() (Figure, error)
		want   string
	}{
		"infinite value":    {row(Mark{Value: inf}), "not a number that can be drawn"},
		"enormous value":    {row(Mark{Value: 1e200}), "not a number that can be drawn"},
		"crossed limits":    {row(Mark{Value: 1, Lower: 3, Upper: 2}), "above upper limit"},
		"limits forgotten":  {row(Mark{Value: 4}), "want NaN"},
		"peak forgotten":    {Calendar{About: name, Year: 2031, Rows: []Spell{{Onset: 100, Peak: 110, End: 120}}}.Figure, "want NaN"},
		"curve forgotten":   {Chart{About: name, Panels: []Panel{{Curves: []Curve{{Points: []Point{{X: 1, Y: 2}, {X: 2, Y: 3}}}}}}}.Figure, "want NaN"},
		"no such series":    {row(Mark{Series: 4, Value: 1, Lower: nan, Upper: nan}), "series 4"},
		"negative root":     {square.Figure, "below 0"},
		"bars on log":       {bars.Figure, "no foot"},
		"infinite axis":     {axisOf.Figure, "axis"},
		"bad name":          {Rows{About: About{Name: "Not a name"}, Rows: []Row{{}}}.Figure, "no name for a figure"},
		"step without":      {Chain{About: name, Steps: []Step{{Label: "s", Mark: Mark{Value: nan}}}}.Figure, "s: not a number"},
		"too many marks":    {Multiples{About: name, Rows: []string{"a"}, Panels: []Multiple{{Marks: make([][]Mark, 2)}}}.Figure, "marks for 2 rows"},
		"spell backwards":   {Calendar{About: name, Year: 2031, Rows: []Spell{{Onset: 100, Peak: 90, End: 120}}}.Figure, "out of order"},
		"day of another":    {Calendar{About: name, Year: 2031, Rows: []Spell{{Onset: nan, Peak: 1e6, End: nan, PeakLower: nan, PeakUpper: nan}}}.Figure, "not a number"},
		"infinite curve":    {Chart{About: name, Panels: []Panel{{Curves: []Curve{{Points: []Point{{1, inf, nan, nan}}}}}}}.Figure, "not a number"},
		"place NaN":         {Chart{About: name, Panels: []Panel{{Dots: []Dots{{Points: []Point{{nan, 1, nan, nan}}}}}}}.Figure, "not a number"},
		"log of zero":       {Chart{About: name, X: Axis{Scale: Log}, Panels: []Panel{{Dots: []Dots{{Points: []Point{{0, 1, nan, nan}}}}}}}.Figure, "log scale"},
		"map NaN":           {Map{About: name, Places: []Place{{X: nan}}}.Figure, "not a number"},
		"map negative":      {Map{About: name, Places: []Place{{Value: -1}}}.Figure, "not a number"},
		"map infinite ring": {Map{About: name, Outlines: []Outline{{Rings: [][]XY{{{inf, 0}}}}}}.Figure, "not a number"},
		"endless":           {Rows{About: name, Rows: make([]Row, 500)}.Figure, "too many rows"},
	} {
		f, err := c.figure()
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one that says %q", what, err, c.want)
		}
		if _, err := f.SVG(Wide); err == nil {
			t.Errorf("%s: something is drawn", what)
		}
	}
	for _, empty := range []func() (Figure, error){Rows{About: name}.Figure, Chain{About: name}.Figure, Multiples{About: name}.Figure, Chart{About: name}.Figure, Chart{About: name, Panels: make([]Panel, 3)}.Figure, Calendar{About: name}.Figure, Map{About: name}.Figure} {
		if _, err := empty(); !errors.Is(err, ErrEmpty) {
			t.Errorf("error %v, want %v", err, ErrEmpty)
		}
	}
}

// TestNoPanic checks that a mistake in the drawing of a figure is its error.
func TestNoPanic(t *testing.T) {
	var none []int
	_, err := About{Name: "x"}.figure(func(*sheet) { _ = none[3] })
	if err == nil || !strings.Contains(err.Error(), "figure x") {
		t.Errorf("error %v, want one that names the figure", err)
	}
}
