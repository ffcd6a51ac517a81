package plots_test

import (
	"bytes"
	"fmt"
	"math"

	"ashtally/plots"
)

// written says whether a figure was drawn, and has the words.
func written(f plots.Figure, err error, words ...string) {
	if err != nil {
		fmt.Println(err)
		return
	}
	svg, err := f.Inline(plots.Wide)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, w := range words {
		fmt.Println(w, bytes.Contains(svg, []byte(">"+w+"<")))
	}
}

func ExampleRows() {
	f, err := plots.Rows{
		About: plots.About{Name: "density", Title: "Most on severe burn", Alt: "Density is highest on severe burn, 1,216 per hectare (751 to 2,168)."},
		Axis:  plots.Axis{Label: "fruit bodies per hectare"},
		Heads: plots.Heads{Value: "estimate", Range: "95 % CI", Cells: []string{"units"}},
		Rows: []plots.Row{
			{Label: "severe", Detail: "1 year", Cells: []string{"70"}, Marks: []plots.Mark{{Value: 1216, Lower: 751, Upper: 2168}}},
			{Label: "moderate", Detail: "1 year", Cells: []string{"39"}, Marks: []plots.Mark{{Value: 0, Lower: 0, Upper: 34, None: true}}},
			{Label: "ridge", Note: "not searched"},
		},
	}.Figure()
	written(f, err, "751 to 2,168", "fruit bodies per hectare (square-root scale)", "none found", "not searched")
	// Output:
	// 751 to 2,168 true
	// fruit bodies per hectare (square-root scale) true
	// none found true
	// not searched true
}

func ExampleRows_bars() {
	f, err := plots.Rows{
		About: plots.About{Name: "share", Alt: "Buyers take 21 % of the crop (10 to 43)."},
		Axis:  plots.Axis{Label: "share of the crop", Suffix: " %", To: 50},
		Heads: plots.Heads{Value: "share", Range: "95 % CI", Cells: []string{"chance to exceed"}},
		Bars:  true,
		Rules: []plots.Line{{At: 30, Label: "limit 30 %", Role: plots.Limit}},
		Rows:  []plots.Row{{Label: "buyers", Cells: []string{"0.21"}, Marks: []plots.Mark{{Value: 21, Lower: 10, Upper: 43, Text: "21 %"}}}},
	}.Figure()
	written(f, err, "21 %", "limit 30 %", "50 %")
	// Output:
	// 21 % true
	// limit 30 % true
	// 50 % true
}

func ExampleChain() {
	f, err := plots.Chain{
		About: plots.About{Name: "chain", Alt: "242 counted, 283 per hectare when corrected for detection (229 to 399)."},
		Axis:  plots.Axis{Label: "fruit bodies per hectare"},
		Steps: []plots.Step{
			{Label: "counted", Mark: plots.Mark{Value: 242, Lower: 194, Upper: 347}},
			{Label: "corrected for detection", Factor: "÷ 0.86 (0.82 to 0.88)", Mark: plots.Mark{Value: 283, Lower: 229, Upper: 399}},
		},
	}.Figure()
	written(f, err, "283", "÷ 0.86 (0.82 to 0.88)")
	// Output:
	// 283 true
	// ÷ 0.86 (0.82 to 0.88) true
}

func ExampleMultiples() {
	nan := math.NaN()
	f, err := plots.Multiples{
		About:  plots.About{Name: "modes", Alt: "Saprotrophic density is 212 per hectare near Douglas-fir after 1 year."},
		Axis:   plots.Axis{Label: "fruit bodies per hectare"},
		Series: []plots.Series{{Label: "saprotrophic", Role: plots.Second, Shape: plots.Square}, {Label: "host-associated", Role: plots.First}},
		Rows:   []string{"Douglas-fir", "lodgepole pine"},
		Panels: []plots.Multiple{
			{Label: "1 year", Marks: [][]plots.Mark{
				{{Value: 212, Lower: nan, Upper: nan}, {Series: 1, Value: 54, Lower: nan, Upper: nan}},
				{{Value: 190, Lower: nan, Upper: nan}, {Series: 1, Value: 0, Lower: nan, Upper: nan, None: true}},
			}},
			{Label: "4 years", Marks: [][]plots.Mark{{{Value: 13, Lower: nan, Upper: nan}, {Series: 1, Value: 51, Lower: nan, Upper: nan}}, nil}},
		},
	}.Figure()
	written(f, err, "saprotrophic", "4 years", "none found")
	// Output:
	// saprotrophic true
	// 4 years true
	// none found true
}

func ExampleChart() {
	nan := math.NaN()
	f, err := plots.Chart{
		About: plots.About{Name: "distances", Alt: "Counts fall from 123 beside the line to 9 at 4 m."},
		X:     plots.Axis{Label: "distance, m"}, Y: plots.Axis{Label: "finds"},
		Panels: []plots.Panel{{
			Bars:   []plots.Bars{{Label: "counted", Role: plots.Muted, Bars: []plots.Bar{{From: 0, To: 2, Height: 123}, {From: 2, To: 4, Height: 30}}}},
			Curves: []plots.Curve{{Label: "fitted", Points: []plots.Point{{X: 0, Y: 120, Lower: 100, Upper: 140}, {X: 4, Y: 9, Lower: nan, Upper: nan}}}},
			Up:     []plots.Line{{At: 2.1, Label: "half-width 2.1"}},
		}},
	}.Figure()
	written(f, err, "counted", "fitted", "half-width 2.1")
	// Output:
	// counted true
	// fitted true
	// half-width 2.1 true
}

func ExampleCalendar() {
	f, err := plots.Calendar{
		About: plots.About{Name: "season", Alt: "The season peaks on 13 May (11 to 16 May)."},
		Year:  2031,
		Rows: []plots.Spell{
			{Label: "1,200 to 1,400 m", Onset: 121, Peak: 133, End: 150, PeakLower: 131, PeakUpper: 136},
			{Label: "1,400 to 1,600 m", Onset: 126, Peak: 141, End: 160, PeakLower: math.NaN(), PeakUpper: math.NaN(), Forecast: true},
		},
	}.Figure()
	written(f, err, "13 May", "1 May to 30 May", "forecast")
	// Output:
	// 13 May true
	// 1 May to 30 May true
	// forecast true
}

func ExampleMap() {
	f, err := plots.Map{
		About:    plots.About{Name: "map", Alt: "Density is highest in the north, 420 per hectare."},
		Outlines: []plots.Outline{{Label: "ridge", Rings: [][]plots.XY{{{X: 0, Y: 0}, {X: 900, Y: 0}, {X: 900, Y: 700}, {X: 0, Y: 700}}}}},
		Sizes:    "fruit bodies per hectare",
		Places:   []plots.Place{{X: 120, Y: 600, Value: 420}, {X: 400, Y: 350, Value: 0}},
	}.Figure()
	written(f, err, "ridge", "none found", "200 m")
	// Output:
	// ridge true
	// none found true
	// 200 m true
}
