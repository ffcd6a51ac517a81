package plots

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyMark draws a mark as an estimator could give it, or a hard one.
func anyMark(t *rapid.T, series int) Mark {
	m := Mark{
		Series: rapid.IntRange(0, max(series, 1)-1).Draw(t, "series"),
		Value:  anyNumber(t, "value", 0, nan, 1e-11, 9e11),
		Lower:  anyNumber(t, "lower", 0, nan, 1e-9, math.Inf(-1)), Upper: anyNumber(t, "upper", 0, nan, inf, 1e300),
		Weak: rapid.Bool().Draw(t, "weak"),
		Text: rapid.SampledFrom([]string{"", "", "1,234,567", "below the limit of detection"}).Draw(t, "text"),
	}
	m.None = m.Value == 0
	if m.Lower > m.Upper || forgotten(m.Value, m.Lower, m.Upper) {
		m.Lower, m.Upper = nan, nan
	}
	return m
}

func anyMarks(t *rapid.T, series, most int) []Mark {
	var marks []Mark
	for range rapid.IntRange(0, most).Draw(t, "marks") {
		marks = append(marks, anyMark(t, series))
	}
	return marks
}

func anySeries(t *rapid.T) []Series {
	all := []Series{{Label: "plots", Role: First}, {Label: "strips of a very long name indeed that goes on", Role: Second, Shape: Square}, {Label: "lines", Role: Third, Shape: Triangle}}
	return all[:rapid.IntRange(0, 3).Draw(t, "n series")]
}

// anyName draws a label: short or long, of any characters.
func anyName(t *rapid.T) string {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"", "a", "quillet-severe", "Engelmann spruce and subalpine fir on the north slopes above the river", "北の斜面の上の方", "ÅÉÎøðþ", "Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichen"}),
		rapid.String(),
	).Draw(t, "name")
}

func anyRows(t *rapid.T) Rows {
	r := Rows{
		About: About{Name: "any"}, Series: anySeries(t),
		Axis: Axis{Label: anyName(t), Scale: rapid.SampledFrom([]Scale{Auto, Linear, SquareRoot, Log}).Draw(t, "scale"), Suffix: rapid.SampledFrom([]string{"", " %"}).Draw(t, "suffix")},
		Bars: rapid.Bool().Draw(t, "bars"), Together: rapid.Bool().Draw(t, "together"),
		WeakLabel: "weak",
	}
	if r.Bars && r.Axis.Scale == Log {
		r.Axis.Scale = Auto
	}
	if rapid.Bool().Draw(t, "heads") {
		r.Heads = Heads{Value: "estimate", Range: "95 % CI", Cells: []string{"units", "finds"}}
	}
	for range rapid.IntRange(1, 5).Draw(t, "rows") {
		row := Row{
			Label: anyName(t), Detail: anyName(t), Note: anyName(t), Marks: anyMarks(t, len(r.Series), 3),
			Heading: rapid.IntRange(0, 4).Draw(t, "heading") == 0, Strong: rapid.Bool().Draw(t, "strong"), Apart: rapid.Bool().Draw(t, "apart"),
		}
		if rapid.Bool().Draw(t, "cells") {
			row.Cells = []string{anyName(t), "12"}
		}
		r.Rows = append(r.Rows, row)
	}
	for range rapid.IntRange(0, 3).Draw(t, "rules") {
		at := anyNumber(t, "at", 1)
		r.Rules = append(r.Rules, Line{At: at, Label: anyName(t), Role: rapid.SampledFrom([]Role{0, Limit, First}).Draw(t, "role")})
	}
	return r
}

func anyMultiples(t *rapid.T) Multiples {
	m := Multiples{About: About{Name: "any"}, Axis: Axis{Label: anyName(t)}, Series: anySeries(t)}
	for range rapid.IntRange(1, 4).Draw(t, "rows") {
		m.Rows = append(m.Rows, anyName(t))
	}
	for range rapid.IntRange(1, 7).Draw(t, "panels") {
		p := Multiple{Label: anyName(t)}
		for range rapid.IntRange(0, len(m.Rows)).Draw(t, "filled") {
			p.Marks = append(p.Marks, anyMarks(t, len(m.Series), 3))
		}
		m.Panels = append(m.Panels, p)
	}
	return m
}

func anyChain(t *rapid.T) Chain {
	c := Chain{About: About{Name: "any"}, Axis: Axis{Label: anyName(t)}, Heads: Heads{Value: "estimate", Range: "95 % CI"}}
	for range rapid.IntRange(1, 5).Draw(t, "steps") {
		m := anyMark(t, 1)
		if m.missing() {
			m = Bare(7)
		}
		c.Steps = append(c.Steps, Step{Label: anyName(t), Factor: anyName(t), Mark: m})
	}
	return c
}

func anyCalendar(t *rapid.T) Calendar {
	day := func(label string) float64 {
		return rapid.OneOf(rapid.Float64Range(60, 300), rapid.Float64Range(-900, 1500), rapid.Just(nan)).Draw(t, label)
	}
	c := Calendar{About: About{Name: "any"}, Year: rapid.IntRange(1990, 2100).Draw(t, "year")}
	for range rapid.IntRange(1, 5).Draw(t, "rows") {
		p := Spell{Label: anyName(t), Detail: anyName(t), Note: anyName(t), Onset: day("onset"), Peak: day("peak"), End: day("end"), PeakLower: nan, PeakUpper: nan, Forecast: rapid.Bool().Draw(t, "forecast")}
		if p.check() != nil {
			p.Onset, p.Peak, p.End, p.PeakLower, p.PeakUpper = 100, 120, 140, 110, 131
		}
		c.Rows = append(c.Rows, p)
	}
	for range rapid.IntRange(0, 2).Draw(t, "rules") {
		c.Rules = append(c.Rules, Line{At: rapid.Float64Range(60, 300).Draw(t, "at"), Label: anyName(t)})
	}
	return c
}

func anyPoints(t *rapid.T, dates bool) []Point {
	var points []Point
	x := 0.0
	for range rapid.IntRange(0, 8).Draw(t, "points") {
		if dates {
			x += rapid.Float64Range(0, 90).Draw(t, "day")
		} else {
			x += anyNumber(t, "x", 0)
		}
		p := Point{x, anyNumber(t, "y", 0, nan, -3), anyNumber(t, "low", 0, nan), anyNumber(t, "high", 0, nan, 1e11)}
		if p.Lower > p.Upper || forgotten(p.Y, p.Lower, p.Upper) {
			p.Lower, p.Upper = nan, nan
		}
		points = append(points, p)
	}
	return points
}

func anyChart(t *rapid.T) Chart {
	c := Chart{
		About: About{Name: "any"}, X: Axis{Label: anyName(t)}, Y: Axis{Label: anyName(t), Suffix: rapid.SampledFrom([]string{"", " %"}).Draw(t, "suffix")},
		FreeX: rapid.Bool().Draw(t, "free x"), FreeY: rapid.Bool().Draw(t, "free y"),
	}
	dates := rapid.Bool().Draw(t, "dates")
	if dates {
		c.X.Year = 2031
	}
	for range rapid.IntRange(1, 7).Draw(t, "panels") {
		p := Panel{Label: anyName(t), Detail: anyName(t), Note: anyName(t)}
		for range rapid.IntRange(0, 3).Draw(t, "curves") {
			p.Curves = append(p.Curves, Curve{Label: anyName(t), Role: First, Points: anyPoints(t, dates), Step: rapid.Bool().Draw(t, "step")})
		}
		p.Dots = append(p.Dots, Dots{Label: anyName(t), Points: anyPoints(t, dates)})
		if rapid.Bool().Draw(t, "up") {
			p.Up = []Line{{At: 3, Label: anyName(t)}, {At: 40, Label: anyName(t)}}
		}
		if rapid.Bool().Draw(t, "across") {
			p.Across = []Line{{At: 3, Label: anyName(t)}}
		}
		if rapid.Bool().Draw(t, "bars") && !dates {
			p.Bars = []Bars{{Label: "bars", Bars: []Bar{{0, 2, anyNumber(t, "height", 0)}, {2, 4, anyNumber(t, "height", 0)}}}}
		}
		if rapid.Bool().Draw(t, "rug") {
			p.Rugs = []Rug{{Label: "visits", At: []float64{3, 40}, Weights: []float64{1, 0}}}
		}
		c.Panels = append(c.Panels, p)
	}
	return c
}

func anyMap(t *rapid.T) Map {
	m := Map{About: About{Name: "any"}, Series: anySeries(t), Sizes: anyName(t), Feet: rapid.Bool().Draw(t, "feet"), North: rapid.Float64Range(-360, 360).Draw(t, "north")}
	at := func() XY {
		return XY{rapid.Float64Range(0, 1e4).Draw(t, "x"), rapid.Float64Range(-500, 5e3).Draw(t, "y")}
	}
	for range rapid.IntRange(0, 3).Draw(t, "outlines") {
		o := Outline{Label: anyName(t), Shaded: rapid.Bool().Draw(t, "shaded")}
		var ring []XY
		for range rapid.IntRange(0, 7).Draw(t, "corners") {
			ring = append(ring, at())
		}
		o.Rings = append(o.Rings, ring)
		m.Outlines = append(m.Outlines, o)
	}
	for i := range rapid.IntRange(1, 30).Draw(t, "places") {
		p := Place{X: at().X, Y: at().Y, Value: anyNumber(t, "size", 0, nan), Series: rapid.IntRange(0, max(len(m.Series), 1)-1).Draw(t, "series"), Spare: rapid.Bool().Draw(t, "spare")}
		if rapid.Bool().Draw(t, "labelled") {
			p.Label = fmt.Sprint(i + 1)
		}
		m.Places = append(m.Places, p)
	}
	return m
}

// TestFormsAlways draws forms of random numbers and names: every word in its
// own place, nothing clipped, well-formed.
func TestFormsAlways(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	for name, form := range map[string]func(*rapid.T) (Figure, error){
		"rows":      func(t *rapid.T) (Figure, error) { return anyRows(t).Figure() },
		"multiples": func(t *rapid.T) (Figure, error) { return anyMultiples(t).Figure() },
		"chain":     func(t *rapid.T) (Figure, error) { return anyChain(t).Figure() },
		"calendar":  func(t *rapid.T) (Figure, error) { return anyCalendar(t).Figure() },
		"chart":     func(t *rapid.T) (Figure, error) { return anyChart(t).Figure() },
		"map":       func(t *rapid.T) (Figure, error) { return anyMap(t).Figure() },
	} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				f, err := form(t)
				if errors.Is(err, ErrEmpty) {
					return
				}
				if err != nil {
					t.Fatal(err)
				}
				for l, d := range f.drawn {
					for _, fault := range layoutFaults(d) {
						t.Fatalf("layout %d: %s", l, fault)
					}
					if name != "map" && name != "chart" {
						for _, fault := range inkFaults(d) {
							t.Fatalf("layout %d: %s", l, fault)
						}
					}
					svg, err := f.Inline(Layout(l))
					if err != nil {
						t.Fatal(err)
					}
					if err := wellFormed(svg); err != nil {
						t.Fatal(err)
					}
				}
			})
		})
	}
}

func wellFormed(svg []byte) error {
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}
