package plots

import (
	"bytes"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"ashtally/plots/internal/canvas"
)

// wideOf is the wide drawing of a form.
func wideOf(t *testing.T, figure func() (Figure, error)) *canvas.Drawing {
	t.Helper()
	f, err := figure()
	if err != nil {
		t.Fatal(err)
	}
	return f.drawn[Wide]
}

// circles are the middles of the circles that are drawn, hollow or full.
func circles(d *canvas.Drawing, hollow bool) (at [][2]float64) {
	for _, i := range d.Items {
		if i.Text == "" && len(i.Path) == 1 && i.Path[0].Kind == canvas.Circle && (i.Style.Area == canvas.Paper) == hollow {
			at = append(at, [2]float64{i.Path[0].X, i.Path[0].Y})
		}
	}
	return at
}

// wordsOf are the words drawn, by their text.
func wordsOf(d *canvas.Drawing) map[string]canvas.Item {
	words := map[string]canvas.Item{}
	for _, i := range d.Items {
		if i.Text != "" {
			words[i.Text] = i
		}
	}
	return words
}

// arrows counts the triangles of arrow heads.
func arrows(d *canvas.Drawing) int {
	n := 0
	for _, i := range d.Items {
		if len(i.Path) == 4 && i.Path[3].Kind == canvas.Close && i.Style.Line == canvas.None && i.Style.Area != canvas.None {
			n++
		}
	}
	return n
}

func rowsOf(scale Scale, marks ...Mark) Rows {
	r := Rows{About: About{Name: "rows"}, Axis: Axis{Label: "kg", Scale: scale}}
	for i, m := range marks {
		r.Rows = append(r.Rows, Row{Label: string(rune('a' + i)), Marks: []Mark{m}})
	}
	return r
}

// TestRowsPlaces compares distances on the drawing with those of the numbers.
func TestRowsPlaces(t *testing.T) {
	for _, c := range []struct {
		scale Scale
		bend  func(float64) float64
	}{
		{Linear, func(v float64) float64 { return v }}, {SquareRoot, math.Sqrt}, {Log, math.Log},
	} {
		d := wideOf(t, rowsOf(c.scale, point3(0, 100, false), point3(0, 400, false), point3(0, 900, false)).Figure)
		at := circles(d, false)
		if len(at) != 3 {
			t.Fatalf("%d marks, want 3", len(at))
		}
		got := (at[2][0] - at[1][0]) / (at[1][0] - at[0][0])
		want := (c.bend(900) - c.bend(400)) / (c.bend(400) - c.bend(100))
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("scale %v: steps are as %v to 1, want %v", c.scale, got, want)
		}
		if !(at[0][1] < at[1][1] && at[1][1] < at[2][1]) {
			t.Errorf("rows at heights %v, want them in their order", at)
		}
		words := wordsOf(d)
		for i, name := range []string{"a", "b", "c"} {
			if y := words[name].Y - canvas.Font.Line(nameFont)*0.27; math.Abs(y-at[i][1]) > 2 {
				t.Errorf("name %s beside height %v, its mark is at %v", name, y, at[i][1])
			}
		}
	}
}

// TestRowsAutoScale checks that a zero does not crowd small values.
func TestRowsAutoScale(t *testing.T) {
	words := wordsOf(wideOf(t, rowsOf(Auto, point3(0, 0, false), point3(0, 3, false), point3(0, 900, false)).Figure))
	if _, ok := words["kg (square-root scale)"]; !ok {
		t.Error("300-fold values are not on a square-root scale, or it is not said")
	}
	words = wordsOf(wideOf(t, rowsOf(Auto, point3(0, 3, false), point3(0, 9, false)).Figure))
	if _, ok := words["kg"]; !ok {
		t.Error("threefold values are not on a linear scale")
	}
}

func TestRowsSigns(t *testing.T) {
	d := wideOf(t, rowsOf(Auto,
		Mark{Value: 5, Lower: 2, Upper: inf},
		Mark{Value: 0, Lower: 0, Upper: 3, None: true},
		Mark{Value: nan, Lower: nan, Upper: nan},
		Mark{Value: 7, Lower: nan, Upper: nan},
	).Figure)
	// The key has a hollow circle and an arrow too.
	if full, hollow := len(circles(d, false)), len(circles(d, true)); full != 2 || hollow != 2 {
		t.Errorf("%d full and %d hollow circles, want 2 of each", full, hollow)
	}
	if n := arrows(d); n != 2 {
		t.Errorf("%d arrows, want that of the open limit and that of the key", n)
	}
	words := wordsOf(d)
	for _, want := range []string{"from 2.00", "0 to 3.00", "5.00", "0", "7.00", "none found", "no limit on that side"} {
		if _, ok := words[want]; !ok {
			t.Errorf("%q is not printed", want)
		}
	}
	closed := wideOf(t, rowsOf(Auto, Mark{Value: 5, Lower: 2, Upper: 900}).Figure)
	if n := arrows(closed); n != 0 {
		t.Errorf("%d arrows where all limits are there", n)
	}
}

// TestRowsCut checks that one limit far beyond all others leaves these their
// room, and that its line is marked as cut, not as open.
func TestRowsCut(t *testing.T) {
	marks := []Mark{{Value: 50, Lower: 30, Upper: 80}, {Value: 60, Lower: 30, Upper: 27076}, {Value: 40, Lower: 20, Upper: 70}, {Value: 20, Lower: 10, Upper: 50}}
	d := wideOf(t, rowsOf(Auto, marks...).Figure)
	words := wordsOf(d)
	for _, want := range []string{"80", "30 to 27,076", "interval goes on to its limit beyond the axis"} {
		if _, ok := words[want]; !ok {
			t.Errorf("%q is not written", want)
		}
	}
	if n := arrows(d); n != 0 {
		t.Errorf("%d arrows where no limit is open", n)
	}
	marks[1].Upper = 200 // not far
	if _, ok := wordsOf(wideOf(t, rowsOf(Auto, marks...).Figure))["200"]; !ok {
		t.Error("the axis does not reach to a limit of 200 beside others of 80")
	}
}

// TestRowsLanes checks that a mark of nothing takes no room.
func TestRowsLanes(t *testing.T) {
	one := Rows{About: About{Name: "x"}, Series: make([]Series, 2), Rows: []Row{{Label: "a", Marks: []Mark{Bare(4)}}}}
	two := one
	two.Rows = []Row{{Label: "a", Marks: []Mark{Bare(4), {Series: 1, Value: nan}}}}
	if a, b := wideOf(t, one.Figure).Height, wideOf(t, two.Figure).Height; a != b {
		t.Errorf("%v high with nothing beside the mark, %v without", b, a)
	}
}

// TestRowsPrinted checks that the caller's text is printed, in two layouts.
func TestRowsPrinted(t *testing.T) {
	r := rowsOf(Linear, Mark{Value: 5.123, Lower: 2, Upper: 8, Text: "5.1 t", Range: "2.0 to 8.0"})
	r.Heads = Heads{Value: "mass", Range: "90 % CI", Cells: []string{"n"}}
	r.Rows[0].Cells = []string{"17"}
	f, err := r.Figure()
	if err != nil {
		t.Fatal(err)
	}
	for l, want := range [][]string{{"5.1 t", "2.0 to 8.0", "mass", "90 % CI", "n", "17"}, {"5.1 t", "(2.0 to 8.0)", "mass (90 % CI)", "n 17"}} {
		words := wordsOf(f.drawn[l])
		for _, w := range want {
			if _, ok := words[w]; !ok {
				t.Errorf("layout %d: %q is not printed", l, w)
			}
		}
	}
}

// TestChainBars compares the lengths of the bars with the numbers, and wants
// them joined.
func TestChainBars(t *testing.T) {
	d := wideOf(t, Chain{About: About{Name: "chain"}, Steps: []Step{
		{Label: "a", Mark: point3(0, 100, false)}, {Label: "b", Factor: "× 2", Mark: point3(0, 200, false)},
	}}.Figure)
	var bars []canvas.Box
	joints := 0
	for _, i := range d.Items {
		if i.Style.Area == Accent {
			i.Style.Line = canvas.None // the outline of a pale bar is no part of its length
			bars = append(bars, i.Box())
		}
		if i.Style.Dash != [2]float64{} {
			joints++
		}
	}
	if len(bars) != 2 || joints != 1 {
		t.Fatalf("%d bars and %d joints, want 2 and 1", len(bars), joints)
	}
	if got := (bars[1].Right - bars[1].Left) / (bars[0].Right - bars[0].Left); math.Abs(got-2) > 1e-9 {
		t.Errorf("bars are as %v to 1, want 2", got)
	}
	if _, ok := wordsOf(d)["× 2"]; !ok {
		t.Error("the factor is not printed")
	}
}

// TestMultiplesShare checks that equal values stand at equal places of the
// panels, and that nothing stands where nothing is known.
func TestMultiplesShare(t *testing.T) {
	m := Multiples{About: About{Name: "m"}, Rows: []string{"x", "y"}, Panels: []Multiple{
		{Label: "one", Marks: [][]Mark{{point3(0, 50, false)}, {point3(0, 3, false)}}},
		{Label: "two", Marks: [][]Mark{nil, {point3(0, 3, false)}}},
	}}
	d := wideOf(t, m.Figure)
	at := circles(d, false)
	if len(at) != 3 {
		t.Fatalf("%d marks, want 3", len(at))
	}
	words := wordsOf(d)
	if a, b := at[1][0]-words["one"].X, at[2][0]-words["two"].X; math.Abs(a-b) > 1e-6 {
		t.Errorf("3 stands %v and %v from the panels' left edges", a, b)
	}
	if at[1][1] != at[2][1] {
		t.Errorf("row y at heights %v and %v", at[1][1], at[2][1])
	}
}

// TestCalendarCovers checks that the axis of a calendar ends in dates and
// covers all its spells.
func TestCalendarCovers(t *testing.T) {
	d := wideOf(t, Calendar{About: About{Name: "c"}, Year: 2031, Rows: []Spell{
		{Label: "low", Onset: 114, Peak: 133, End: 158, PeakLower: 130, PeakUpper: 137},
	}}.Figure)
	words := wordsOf(d)
	for _, want := range []string{"21 Apr", "11 Jun", "13 May", "24 Apr to 7 Jun"} {
		if _, ok := words[want]; !ok {
			t.Errorf("%q is not printed", want)
		}
	}
	left, right := math.Inf(1), math.Inf(-1)
	for _, i := range d.Items {
		if i.Style.Line == canvas.Faint {
			left, right = min(left, i.Box().Left), max(right, i.Box().Right)
		}
	}
	for _, i := range d.Items {
		if i.Style.Soft && (i.Box().Left < left || i.Box().Right > right) {
			t.Errorf("a spell at %+v leaves the grid from %v to %v", i.Box(), left, right)
		}
	}
}

// TestChartScales: Auto is linear for one curve that falls to nearly nothing,
// and square-root where the curves differ.
func TestChartScales(t *testing.T) {
	c := Chart{About: About{Name: "c"}, Y: Axis{Label: "kg"}, Panels: []Panel{{Curves: []Curve{{Points: curve(0, 4, func(x float64) float64 { return 100 * math.Exp(-2*x) })}}}}}
	if _, ok := wordsOf(wideOf(t, c.Figure))["kg"]; !ok {
		t.Error("one curve is not on a linear scale")
	}
	c.Panels[0].Curves = append(c.Panels[0].Curves, Curve{Points: curve(0, 4, func(float64) float64 { return 2 })})
	if _, ok := wordsOf(wideOf(t, c.Figure))["kg (square-root scale)"]; !ok {
		t.Error("curves of 100 and 2 are not on a square-root scale")
	}
}

// TestChartOfDays: days of a year as heights have dates, and begin where they do.
func TestChartOfDays(t *testing.T) {
	d := wideOf(t, Chart{
		About: About{Name: "c"}, X: Axis{Label: "elevation, m"}, Y: Axis{Year: 2031, Label: "peak"},
		Panels: []Panel{{Curves: []Curve{{Label: "peak", Points: []Point{{1000, 121, 119, 123}, {1600, 150, 146, 155}}}}}},
	}.Figure)
	words := wordsOf(d)
	low, high := words["1 May"], words["21 May"]
	if low.Text == "" || high.Text == "" || !(high.Y < low.Y) {
		t.Errorf("1 May stands at %v, 21 May at %v", low.Y, high.Y)
	}
	if _, from := words["0"]; from {
		t.Error("the heights begin at 0")
	}
}

// TestMapAreas checks that the areas of symbols compare like the values, and
// that a zero is hollow.
func TestMapAreas(t *testing.T) {
	d := wideOf(t, Map{About: About{Name: "m"}, Places: []Place{{X: 0, Y: 0, Value: 100}, {X: 500, Y: 0, Value: 25}, {X: 900, Y: 300, Value: 0}}}.Figure)
	var radii []float64
	hollow := 0
	for _, i := range d.Items {
		if len(i.Path) == 1 && i.Path[0].Kind == canvas.Circle {
			if i.Style.Area == canvas.Paper {
				hollow++
				continue
			}
			radii = append(radii, i.Path[0].R)
		}
	}
	if hollow != 2 {
		t.Errorf("%d hollow signs, want one on the map and one in the key", hollow)
	}
	// Two on the map and three in the key: 100, 20 and 5.
	if len(radii) != 5 || math.Abs(radii[0]-2*radii[1]) > 1e-9 {
		t.Errorf("radii %v, want five, the second half the first", radii)
	}
	words := wordsOf(d)
	for _, want := range []string{"none found", "100", "20", "5", "200 m", "N"} {
		if _, ok := words[want]; !ok {
			t.Errorf("%q is not written", want)
		}
	}
}

// TestMapHole checks that the label of an outline keeps out of its hole.
func TestMapHole(t *testing.T) {
	square := func(a, b float64) []XY { return []XY{{a, a}, {b, a}, {b, b}, {a, b}} }
	o := Outline{Rings: [][]XY{square(0, 100), square(30, 70)}}
	g := ground{scale: 1, north: 100}
	for at, want := range map[[2]float64]bool{{10, 10}: true, {50, 50}: false, {85, 50}: true, {120, 50}: false} {
		if got := o.holds(g, at[0], at[1]); got != want {
			t.Errorf("%v held: %v, want %v", at, got, want)
		}
	}
}

// TestFormsSameBytes draws on one core and on two.
func TestFormsSameBytes(t *testing.T) {
	var runs [2][]byte
	for i, cores := range []int{1, 2} {
		before := runtime.GOMAXPROCS(cores)
		for _, s := range forms {
			f := figureOf(t, s)
			for l := range layouts {
				svg, err := f.SVG(l)
				if err != nil {
					t.Fatal(err)
				}
				runs[i] = append(runs[i], svg...)
			}
			if testing.Short() || s.name != forms[0].name {
				continue
			}
			png, err := f.PNG(Wide)
			if err != nil {
				t.Fatal(err)
			}
			runs[i] = append(runs[i], png...)
		}
		runtime.GOMAXPROCS(before)
	}
	if !bytes.Equal(runs[0], runs[1]) {
		t.Error("figures differ on one core and on two")
	}
}

// TestFormsIDs checks that all layouts can stand in one page.
func TestFormsIDs(t *testing.T) {
	f := figureOf(t, forms[0])
	var ids []string
	for l := range layouts {
		svg, err := f.Inline(l)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range strings.Split(string(svg), ` id="`)[1:] {
			id, _, _ := strings.Cut(part, `"`)
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	if n := 2 * int(layouts); len(ids) != n || len(slices.Compact(ids)) != n {
		t.Errorf("ids %q, want %d different ones", ids, n)
	}
}
