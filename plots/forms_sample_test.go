package plots

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// forms are samples of every form, of invented numbers.
var forms = []sample{
	{"rows-strata", Rows{
		About: About{Name: "rows-strata", Title: "Most on severe burn", Alt: "Density is highest in quillet-severe, 1,216 per hectare (751 to 2,168)."},
		Axis:  Axis{Label: "fruit bodies per hectare"},
		Heads: Heads{Value: "estimate", Range: "95 % CI", Cells: []string{"units", "finds"}},
		Rows: []Row{
			{Label: "quillet-severe", Detail: "1 year, severe", Cells: []string{"70", "846"}, Marks: []Mark{{Value: 1216, Lower: 751, Upper: 2168}}},
			{Label: "quillet-moderate", Detail: "1 year, moderate", Cells: []string{"39", "319"}, Marks: []Mark{{Value: 721, Lower: 464, Upper: 1186}}},
			{Label: "bramwold", Detail: "2 years, mixed", Cells: []string{"50", "201"}, Marks: []Mark{{Value: 396, Lower: 226, Upper: 775}}},
			{Label: "ostrey-bottoms", Detail: "4 years, light", Cells: []string{"30", "90"}, Marks: []Mark{{Value: 332, Lower: 148, Upper: inf}}},
			{Label: "ostrey", Detail: "4 years, mixed", Cells: []string{"30", "40"}, Marks: []Mark{{Value: 129, Lower: 66, Upper: 276}}},
			{Label: "unburned-control", Detail: "unburned", Cells: []string{"44", "0"}, Marks: []Mark{{Value: 0, Lower: 0, Upper: 34, None: true}}},
			{Label: "ostrey-ridge", Detail: "4 years", Cells: []string{"0", "0"}, Note: "not searched"},
			{Label: "survey area", Strong: true, Apart: true, Cells: []string{"256", "1,803"}, Marks: []Mark{{Value: 356, Lower: 278, Upper: 487}}},
		},
	}.Figure},
	{"rows-methods", Rows{
		About:  About{Name: "rows-methods", Title: "Density by stratum and method", Alt: "Plots, strips and lines agree."},
		Axis:   Axis{Label: "fruit bodies per hectare"},
		Series: []Series{{Label: "plots", Role: First}, {Label: "strips", Role: Second, Shape: Square}, {Label: "lines", Role: Third, Shape: Triangle}},
		Heads:  Heads{Value: "estimate", Range: "95 % CI"},
		Rows: []Row{
			{Label: "1 year after fire", Heading: true},
			{Label: "quillet-severe", Detail: "70 plots, 8 strips, 3 lines", Marks: []Mark{{Value: 1216, Lower: 751, Upper: 2168}, {Series: 1, Value: 980, Lower: 400, Upper: 2400}, {Series: 2, Value: 1100, Lower: 700, Upper: 1800}}},
			{Label: "quillet-moderate", Marks: []Mark{{Value: 721, Lower: 464, Upper: 1186}, {Series: 2, Value: 611, Lower: 333, Upper: inf}}},
			{Label: "unburned", Heading: true},
			{Label: "unburned-control", Marks: []Mark{{Value: 68, Lower: 34, Upper: 146}, {Series: 1, Value: 0, Lower: 0, Upper: 90, None: true}}},
		},
	}.Figure},
	{"rows-ratio", Rows{
		About: About{Name: "rows-ratio", Title: "Ratio by tree", Alt: "The ratio near Douglas-fir is 0.89 (0.41 to 1.92)."},
		Axis:  Axis{Label: "host-associated to saprotrophic density", Scale: Log},
		Heads: Heads{Value: "ratio", Range: "95 % CI", Cells: []string{"p"}},
		Rules: []Line{{At: 1, Label: "equal"}},
		Rows: []Row{
			{Label: "Douglas-fir", Marks: []Mark{{Value: 0.89, Lower: 0.41, Upper: 1.92}}, Cells: []string{"0.77"}},
			{Label: "lodgepole pine", Marks: []Mark{{Value: 0, Lower: nan, Upper: 0.12, None: true, Range: "up to 0.12"}}, Cells: []string{"0.001"}},
			{Label: "Engelmann spruce and subalpine fir on north slopes", Marks: []Mark{{Value: 0.31, Lower: 0.11, Upper: 0.87}}, Cells: []string{"0.03"}},
			{Label: "quaking aspen", Marks: []Mark{{Value: 2.2, Lower: 0.9, Upper: inf}}, Cells: []string{"0.08"}},
			{Label: "all", Strong: true, Apart: true, Marks: []Mark{{Value: 0.47, Lower: 0.28, Upper: 0.79}}, Cells: []string{"0.004"}},
		},
	}.Figure},
	{"rows-limit", Rows{
		About: About{Name: "rows-limit", Title: "Share of the crop", Alt: "Buyers on unburned ground take 21 % of the crop (10 to 43)."},
		Axis:  Axis{Label: "share of the crop", Suffix: " %", To: 60},
		Heads: Heads{Value: "share", Range: "95 % CI", Cells: []string{"chance to exceed"}},
		Rules: []Line{{At: 30, Label: "limit 30 %", Role: Limit}},
		Bars:  true,
		Rows: []Row{
			{Label: "weekend permits", Detail: "40 permits, all ground", Cells: []string{"< 0.01"}, Marks: []Mark{{Value: 0.3, Lower: 0.2, Upper: 0.4, Text: "0.3 %", Range: "0.2 to 0.4"}}},
			{Label: "buyers", Detail: "10 buyers, all ground", Cells: []string{"< 0.01"}, Marks: []Mark{{Value: 1.9, Lower: 1.4, Upper: 2.4, Text: "1.9 %", Range: "1.4 to 2.4"}}},
			{Label: "buyers, unburned only", Cells: []string{"0.21"}, Marks: []Mark{{Value: 21, Lower: 10, Upper: 43, Text: "21 %", Range: "10 to 43"}}},
			{Label: "everyone, unburned", Cells: []string{"0.64"}, Marks: []Mark{{Value: 34, Lower: 17, Upper: inf, Text: "34 %", Range: "from 17"}}},
		},
	}.Figure},
	{"rows-coverage", Rows{
		About:    About{Name: "rows-coverage", Title: "Coverage", Alt: "Coverage of 95 % intervals lies between 0.70 and 0.98."},
		Axis:     Axis{Label: "share of 95 % intervals that contain the true value", Scale: Linear, From: 0.7, To: 1},
		Series:   []Series{{Label: "n = 10", Role: Third, Shape: Wedge}, {Label: "n = 30", Role: Second, Shape: Triangle}, {Label: "n = 200", Role: First, Shape: Circle}},
		Together: true, WeakLabel: "sample too small for the range",
		Rules: []Line{{At: 0.95, Label: "nominal"}}, Spans: []Span{{From: 0.93, To: 0.97, Role: Accent}},
		Rows: []Row{
			{Label: "Even", Heading: true},
			{Label: "Poisson, mean 2", Marks: []Mark{point3(0, 0.985, true), point3(1, 0.968, false), point3(2, 0.951, false)}},
			{Label: "Clumped", Heading: true},
			{Label: "clumps of 5", Marks: []Mark{point3(0, 0.91, true), point3(1, 0.94, false), point3(2, 0.948, false)}},
			{Label: "clumps of 20", Marks: []Mark{point3(0, 0.71, false), point3(1, 0.88, false), point3(2, 0.944, false)}},
		},
	}.Figure},
	{"chain", Chain{
		About: About{Name: "chain", Title: "From counted to grown", Alt: "From counted to grown: 242, corrected for detection 283, for the season 356 per hectare (278 to 487)."},
		Axis:  Axis{Label: "fruit bodies per hectare"},
		Heads: Heads{Value: "estimate", Range: "95 % CI"},
		Steps: []Step{
			{Label: "counted", Mark: Mark{Value: 242, Lower: 194, Upper: 347}},
			{Label: "corrected for detection", Factor: "÷ 0.86 (0.82 to 0.88)", Mark: Mark{Value: 283, Lower: 229, Upper: 399}},
			{Label: "over the season", Factor: "÷ 0.79 (0.71 to 0.86)", Mark: Mark{Value: 356, Lower: 278, Upper: 487}},
		},
	}.Figure},
	{"multiples", modeByTree(false).Figure},
	{"multiples-intervals", modeByTree(true).Figure},
	{"calendar", Calendar{
		About: About{Name: "calendar", Title: "Peak about 13 May", Alt: "The season peaks on 13 May at 1,200 to 1,400 m."},
		Year:  2031,
		Rules: []Line{{At: 128, Label: "today, 8 May"}},
		Rows: []Spell{
			{Label: "Elevation", Heading: true},
			{Label: "1,400 to 1,600 m", Detail: "none searched yet", Onset: 126, Peak: 141, End: 160, PeakLower: nan, PeakUpper: nan, Forecast: true},
			{Label: "1,200 to 1,400 m", Onset: 121, Peak: 133, End: 150, PeakLower: 131, PeakUpper: 136},
			{Label: "1,000 to 1,200 m", Onset: 115, Peak: 129, End: 143, PeakLower: 126, PeakUpper: 133},
			{Label: "below 1,000 m", Onset: nan, Peak: nan, End: nan, Note: "too few finds"},
			{Label: "Exposure", Heading: true},
			{Label: "beside roads", Onset: 112, Peak: 123, End: 134, PeakLower: 118, PeakUpper: 127},
		},
	}.Figure},
	{"chart-season", season(1).Figure},
	{"chart-seasons", season(3).Figure},
	{"chart-distances", Chart{
		About: About{Name: "chart-distances", Title: "Finds by distance", Alt: "Detection falls to 0.11 at 4 m; the effective half-width is 2.1 m (1.8 to 2.4)."},
		X:     Axis{Label: "distance from the line, m"}, Y: Axis{Label: "finds per class"},
		Panels: []Panel{{
			Bars:   []Bars{{Label: "finds", Role: Muted, Bars: []Bar{{0, 0.5, 123}, {0.5, 1, 96}, {1, 1.5, 101}, {1.5, 2, 60}, {2, 2.5, 41}, {2.5, 3, 30}, {3, 3.5, 12}, {3.5, 4, 9}}}},
			Curves: []Curve{{Label: "half-normal fit", Points: curve(0, 4, func(x float64) float64 { return 110 * math.Exp(-x*x/3.6) })}},
			Up:     []Line{{At: 2.1, Label: "effective half-width 2.1"}},
			Spans:  []Span{{From: 1.8, To: 2.4}},
		}},
	}.Figure},
	{"chart-counts", counts(8).Figure},
	{"chart-decline", Chart{
		About: About{Name: "chart-decline", Title: "Decline", Alt: "Saprotrophic density falls from 300 per hectare to 4 by year 5."},
		X:     Axis{Label: "years after fire", From: 1, To: 5}, Y: Axis{Label: "fruit bodies per hectare"},
		Panels: []Panel{{
			Curves: []Curve{
				{Label: "saprotrophic", Role: Second, Points: curve(1, 5, func(x float64) float64 { return 900 * math.Exp(-x*1.1) })},
				{Label: "host-associated", Role: First, Points: curve(1, 5, func(x float64) float64 { return 15 + 5*x })},
				{Label: "undetermined", Role: Fourth, Dashed: true, Points: curve(1, 5, func(x float64) float64 { return 12 + 5*x })},
			},
			Dots: []Dots{
				{Role: Second, Shape: Square, Points: []Point{{1, 280, 190, 420}, {2, 120, 80, 180}, {4, 9, 4, 20}}},
				{Role: First, Points: []Point{{1, 22, 10, 41}, {2, 24, 12, 40}, {4, 36, 22, 60}}},
			},
		}},
	}.Figure},
	{"chart-cost", Chart{
		About: About{Name: "chart-cost", Title: "Cost of precision", Alt: "160 more plots halve the interval."},
		X:     Axis{Label: "additional plots"}, Y: Axis{Label: "half-width of the 95 % interval", Suffix: " %"},
		Panels: []Panel{{
			Curves: []Curve{
				{Label: "best allocation", Points: curve(10, 400, func(x float64) float64 { return 100 / math.Sqrt(1+x/50) })},
				{Label: "as now", Role: Muted, Dashed: true, Points: curve(10, 400, func(x float64) float64 { return 100 / math.Sqrt(1+x/90) })},
				{Label: "days of work", Role: Second, Step: true, Points: []Point{{10, 10, nan, nan}, {100, 20, nan, nan}, {200, 40, nan, nan}, {400, 80, nan, nan}}},
			},
			Across: []Line{{At: 50, Label: "goal 50 %", Role: Limit}},
		}},
	}.Figure},
	{"map-density", Map{
		About:    About{Name: "map-density", Title: "Where", Alt: "Density is highest in the north-west, up to 4,200 per hectare."},
		Outlines: ground3(), Sizes: "fruit bodies per hectare", Places: places(70, false),
	}.Figure},
	{"map-layout", Map{
		About:    About{Name: "map-layout", Title: "Layout", Alt: "60 units in three strata, 20 of them spares."},
		Outlines: ground3(), Places: places(60, true), North: 12,
	}.Figure},
}

// ground3 are three strata, one with a hole.
func ground3() []Outline {
	ring := func(cx, cy, r float64, n int, wobble float64) []XY {
		var out []XY
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			rr := r * (1 + wobble*math.Sin(3*a) + wobble/2*math.Cos(7*a))
			out = append(out, XY{cx + rr*math.Cos(a), cy + rr*math.Sin(a)})
		}
		return out
	}
	return []Outline{
		{Label: "quillet-severe", Rings: [][]XY{ring(2000, 2500, 1400, 90, 0.1), ring(2300, 2500, 400, 40, 0.1)}, Shaded: true, Role: Second},
		{Label: "bramwold", Rings: [][]XY{ring(5200, 2600, 1300, 80, 0.15)}, Shaded: true, Role: Fourth},
		{Label: "ostrey-bottoms, 4 years after fire", Rings: [][]XY{ring(3600, 700, 420, 60, 0.1)}},
	}
}

// places are units, scattered by a fixed rule.
func places(n int, numbered bool) []Place {
	var all []Place
	for i := range n {
		x := 700 + math.Mod(float64(i)*1234.567, 5800)
		y := 300 + math.Mod(float64(i)*777.77, 3300)
		p := Place{X: x, Y: y, Value: math.Floor(4200 * math.Exp(-float64(i%13)/2))}
		if i%5 == 0 {
			p.Value = 0
		}
		if numbered {
			p.Value, p.Label, p.Spare = nan, strconv.Itoa(i+1), i%3 == 2
		}
		all = append(all, p)
	}
	return all
}

// season is a curve over the days of a spring for each of n groups.
func season(n int) Chart {
	c := Chart{
		About: About{Name: "chart-season", Title: "The season", Alt: "The season peaks on 13 May (11 to 16 May)."},
		X:     Axis{Year: 2031}, Y: Axis{Label: "share of the season per day", Suffix: " %"},
	}
	if n > 1 {
		c.Name = "chart-seasons"
	}
	for i := range n {
		peak := 133.0 + 5*float64(i)
		at := func(x float64) float64 { return 4.2 * math.Exp(-(x-peak)*(x-peak)/140) }
		p := Panel{Label: []string{"quillet-severe", "quillet-moderate", "bramwold"}[i], Up: []Line{{At: peak, Label: []string{"13 May", "18 May", "23 May"}[i]}}, Spans: []Span{{From: peak - 2, To: peak + 3, Label: "peak, 95 % CI", Role: Second}}}
		if n == 1 {
			p.Label = ""
		}
		p.Curves = []Curve{{Label: "fitted, 95 % CI", Points: curve(108, 165, at)}}
		d := Dots{Label: "counted", Role: Ink, Hollow: true}
		for x := 113.0; x < 160; x += 5 {
			d.Points = append(d.Points, Point{x, at(x) * (1 + 0.2*math.Sin(x)), nan, nan})
		}
		p.Dots = []Dots{d}
		p.Rugs = []Rug{{Label: "days of visits", At: []float64{113, 114, 120, 121, 122, 130, 131, 140, 150, 151, 159}, Weights: []float64{3, 9, 12, 4, 7, 7, 20, 14, 3, 9, 8}}}
		c.Panels = append(c.Panels, p)
	}
	return c
}

// curve samples a function, with limits a fifth off.
func curve(from, to float64, f func(float64) float64) []Point {
	var points []Point
	for i := range 41 {
		x := from + (to-from)*float64(i)/40
		points = append(points, Point{x, f(x), f(x) * 0.8, f(x) * 1.2})
	}
	return points
}

// counts is units by what was found in them against two fits, in n panels.
func counts(n int) Chart {
	c := Chart{
		About: About{Name: "chart-counts", Title: "Counts against fits", Alt: "The negative binomial fits, the Poisson does not."},
		X:     Axis{Label: "finds in a unit", Names: []string{"0", "1", "2", "3", "4", "5", "6 to 9", "10 and more"}}, Y: Axis{Label: "units"},
	}
	for i := range n {
		p := Panel{Label: []string{"quillet-severe", "quillet-moderate", "bramwold", "ostrey", "ostrey-bottoms", "unburned-control", "strips, quillet", "strips, ostrey"}[i], Detail: "variance to mean 11, k = 0.4"}
		bars := Bars{Label: "observed", Role: Muted}
		nb, po := Dots{Label: "negative binomial", Role: First, Small: true}, Dots{Label: "Poisson", Role: Second, Shape: Square, Small: true, Hollow: true}
		for k := range 8 {
			x := float64(k)
			h := math.Round(40*math.Exp(-x/2)) + float64((k*(i+1))%3)
			bars.Bars = append(bars.Bars, Bar{x - 0.4, x + 0.4, h})
			nb.Points = append(nb.Points, Point{x, 40 * math.Exp(-x/2), nan, nan})
			po.Points = append(po.Points, Point{x, 30 * math.Exp(-(x-2)*(x-2)/3), nan, nan})
		}
		p.Bars, p.Dots = []Bars{bars}, []Dots{nb, po}
		c.Panels = append(c.Panels, p)
	}
	return c
}

// modeByTree is density by tree, mode and years, with intervals or without.
func modeByTree(intervals bool) Multiples {
	m := Multiples{
		About:  About{Name: "multiples", Title: "Saprotrophic in the first years", Alt: "Saprotrophic density falls from 270 per hectare after 1 year to 10."},
		Axis:   Axis{Label: "fruit bodies per hectare"},
		Series: []Series{{Label: "saprotrophic", Role: Second, Shape: Square}, {Label: "host-associated", Role: First}},
		Rows:   []string{"Douglas-fir", "Engelmann spruce", "lodgepole pine", "western larch", "quaking aspen"},
	}
	if intervals {
		m.Name = "multiples-intervals"
	}
	for i, year := range []string{"1 year after fire", "2 years", "4 years", "unburned"} {
		p := Multiple{Label: year}
		for k := range m.Rows {
			a := []float64{212, 107, 190, 112, 5, 88, 35, 71, 24, 8, 13, 5, 5, 5, 0, 0, 0, 0, 0, 0}[i*5+k]
			b := []float64{54, 12, 0, 0, 1, 80, 18, 0, 0, 5, 51, 27, 0, 0, 4, 55, 13, 0, 0, 2}[i*5+k]
			if i == 2 && k == 3 {
				p.Marks = append(p.Marks, nil)
				continue
			}
			marks := []Mark{{Value: a, Lower: nan, Upper: nan, None: a == 0}, {Series: 1, Value: b, Lower: nan, Upper: nan, None: b == 0}}
			if intervals {
				for j := range marks {
					marks[j].Lower, marks[j].Upper = marks[j].Value*0.5, marks[j].Value*1.9+3
				}
			}
			p.Marks = append(p.Marks, marks)
		}
		m.Panels = append(m.Panels, p)
	}
	return m
}

var inf = math.Inf(1)

func point3(series int, v float64, weak bool) Mark {
	return Mark{Series: series, Value: v, Lower: nan, Upper: nan, Weak: weak}
}

var look = flag.String("look", "", "write the samples of the forms into this folder")

// TestLook writes the samples for the eye.
func TestLook(t *testing.T) {
	if *look == "" {
		t.Skip("no folder")
	}
	if err := os.WriteFile(filepath.Join(*look, "plot.css"), []byte(Stylesheet()), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, s := range forms {
		f := figureOf(t, s)
		for l, name := range map[Layout]string{Wide: s.name, Narrow: s.name + "-narrow", Half: s.name + "-half"} {
			svg, err := f.SVG(l)
			if err != nil {
				t.Fatal(err)
			}
			png, err := f.PNG(l)
			if err != nil {
				t.Fatal(err)
			}
			inline, err := f.Inline(l)
			if err != nil {
				t.Fatal(err)
			}
			for ext, b := range map[string][]byte{".svg": svg, ".png": png, ".inline": inline} {
				if err := os.WriteFile(filepath.Join(*look, name+ext), b, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}
