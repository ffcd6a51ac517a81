package plots

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// anyNumber draws a number as a survey could have it, or a special one.
func anyNumber(t *rapid.T, label string, special ...float64) float64 {
	usual := rapid.Custom(func(t *rapid.T) float64 { return math.Pow(10, rapid.Float64Range(-2, 5).Draw(t, "power")) })
	return rapid.OneOf(usual, usual, rapid.SampledFrom(special)).Draw(t, label)
}

func anyEstimate(t *rapid.T) Estimate {
	e := Estimate{
		Value: anyNumber(t, "value", 0, nan, 1e-11, 9e11), Lower: anyNumber(t, "lower", 0, 0, nan, 1e-9, -50), Upper: anyNumber(t, "upper", 0, nan, 1e300),
		Units: rapid.IntRange(0, 99999).Draw(t, "units"), Finds: rapid.IntRange(0, 99999).Draw(t, "finds"),
		Note: rapid.StringN(0, 40, -1).Draw(t, "note"),
	}
	if e.Lower > e.Upper {
		e.Lower, e.Upper = e.Upper, e.Lower
	}
	return e
}

// TestLayoutAlways draws figures of random numbers and names: each is well
// formed, with every word in its own place.
func TestLayoutAlways(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	rapid.Check(t, func(t *rapid.T) {
		d := DensityByStratum{Unit: perHectare, Confidence: 0.95, Axis: rapid.SampledFrom([]axisChoice{LinearAxis, LogAxis, AutoAxis}).Draw(t, "axis")}
		m := DensityByModeAndTree{Unit: perHectare, Confidence: 0.95, Axis: d.Axis}
		r := RatioByTree{Confidence: 0.95}
		for i := range rapid.IntRange(1, 5).Draw(t, "n") {
			name, e := rapid.String().Draw(t, "name"), anyEstimate(t)
			method := rapid.SampledFrom([]string{"plot", "strip", "line"}).Draw(t, "method")
			d.Strata = append(d.Strata, StratumDensity{name, method, e})
			m.Rows = append(m.Rows, ModeTreeDensity{fmt.Sprint(i), name, method, e})
			r.Trees = append(r.Trees, Ratio{name, e.Value, e.Lower, e.Upper, e.Units, e.Finds, e.Finds / 2, e.Note})
		}
		for _, figure := range []func() (Figure, error){d.Figure, m.Figure, r.Figure} {
			f, err := figure()
			if err != nil {
				t.Fatal(err)
			}
			var svg bytes.Buffer
			if err := f.WriteSVG(&svg); err != nil {
				t.Fatal(err)
			}
			parsed, err := parseSVG(svg.Bytes())
			if err != nil {
				t.Fatalf("%s: %v", f.Name, err)
			}
			for _, fault := range parsed.layoutFaults() {
				t.Fatalf("%s: %s", f.Name, fault)
			}
			for _, e := range parsed.elements {
				if at := attribute(e, "d") + attribute(e, "x") + attribute(e, "y"); strings.ContainsAny(at, "NI") {
					t.Fatalf("%s: drawn at no place: %s", f.Name, at)
				}
			}
		}
	})
}
