package plots

import (
	"math"
	"slices"
)

// The numbers in this file are made up: no survey found them.

var nan = math.NaN()

func est(value, lower, upper float64, units, finds int) Estimate {
	return Estimate{Value: value, Lower: lower, Upper: upper, Units: units, Finds: finds}
}

const perHectare = "fruit bodies per hectare"

var strataSample = DensityByStratum{
	Unit: perHectare, Confidence: 0.95,
	Strata: []StratumDensity{
		{"North slope, severe burn", "plot", est(1240, 610, 2590, 24, 187)},
		{"North slope, severe burn", "strip", est(980, 540, 1790, 8, 412)},
		{"South slope, severe burn", "plot", est(655, 280, 1610, 18, 74)},
		{"South slope, severe burn", "strip", est(720, 390, 1350, 6, 260)},
		{"Creek bottom and alder flats below the second bridge", "plot", est(310, 95, 1080, 12, 23)},
		{"Creek bottom and alder flats below the second bridge", "strip", est(402, nan, nan, 1, 29)},
		{"Ridge", "plot", est(0, 0, 235, 10, 0)},
		{"Unburned control", "plot", est(42, 9, 160, 20, 5)},
		{"Unburned control", "strip", est(0, 0, 96, 4, 0)},
		{"Talus", "plot", Estimate{Value: nan, Lower: nan, Upper: nan, Note: "not searched"}},
	},
	Land: []StratumDensity{
		{"All strata", "plot", est(612, 398, 1020, 84, 289)},
		{"All strata", "strip", est(588, 401, 910, 19, 701)},
	},
}

// modeTreeYears gives densities for one panel: for each tree saprotrophic,
// host-associated, undetermined.
func modeTreeYears(years string, units int, trees []string, rows [][3]Estimate) []ModeTreeDensity {
	var out []ModeTreeDensity
	for i, tree := range trees {
		for m, mode := range []string{"saprotrophic", "host-associated", "undetermined"} {
			e := rows[i][m]
			e.Units = units
			out = append(out, ModeTreeDensity{years, tree, mode, e})
		}
	}
	return out
}

var modeTreeTrees = []string{"paper birch", "lodgepole pine", "Engelmann spruce", "subalpine fir", "unrecorded"}

var modeTreeSample = DensityByModeAndTree{
	Unit: perHectare, Confidence: 0.95,
	Rows: slices.Concat(
		modeTreeYears("1", 42, modeTreeTrees, [][3]Estimate{
			{est(210, 96, 470, 0, 61), est(540, 300, 1010, 0, 155), est(62, 21, 170, 0, 18)},
			{est(395, 230, 690, 0, 114), est(332, 190, 600, 0, 96), est(38, 11, 120, 0, 11)},
			{est(100, 44, 225, 0, 29), est(132, 62, 290, 0, 38), est(14, 2, 66, 0, 4)},
			{est(55, 20, 150, 0, 16), est(21, 5, 80, 0, 6), est(0, 0, 13, 0, 0)},
			{est(17, 5, 55, 0, 5), est(24, 8, 71, 0, 7), est(118, 60, 236, 0, 34)},
		}),
		modeTreeYears("2", 30, modeTreeTrees, [][3]Estimate{
			{est(61, 22, 166, 0, 13), est(140, 66, 305, 0, 30), est(9, 1, 50, 0, 2)},
			{est(159, 82, 312, 0, 34), est(112, 50, 250, 0, 24), est(19, 4, 72, 0, 4)},
			{est(42, 13, 132, 0, 9), est(33, 9, 112, 0, 7), est(5, 0, 38, 0, 1)},
			{est(28, 7, 98, 0, 6), est(0, 0, 17, 0, 0), est(0, 0, 17, 0, 0)},
			{est(9, 1, 50, 0, 2), est(5, 0, 38, 0, 1), est(33, 10, 105, 0, 7)},
		}),
		modeTreeYears("4", 22, modeTreeTrees, [][3]Estimate{
			{est(19, 4, 74, 0, 3), est(44, 14, 139, 0, 7), est(0, 0, 23, 0, 0)},
			{est(63, 24, 171, 0, 10), est(25, 7, 90, 0, 4), est(6, 0, 44, 0, 1)},
			{est(19, 4, 74, 0, 3), est(13, 2, 61, 0, 2), est(0, 0, 23, 0, 0)},
			{est(6, 0, 44, 0, 1), est(0, 0, 23, 0, 0), est(0, 0, 23, 0, 0)},
			{est(0, 0, 23, 0, 0), est(0, 0, 23, 0, 0), est(13, 2, 61, 0, 2)},
		}),
		modeTreeYears("unburned", 1, modeTreeTrees[:4], [][3]Estimate{
			{est(0, nan, nan, 0, 0), est(70, nan, nan, 0, 5), est(0, nan, nan, 0, 0)},
			{est(14, nan, nan, 0, 1), est(42, nan, nan, 0, 3), est(0, nan, nan, 0, 0)},
			{est(14, nan, nan, 0, 1), est(28, nan, nan, 0, 2), est(0, nan, nan, 0, 0)},
			{est(0, nan, nan, 0, 0), est(14, nan, nan, 0, 1), est(14, nan, nan, 0, 1)},
		}),
	),
}

var ratioSample = RatioByTree{
	Confidence: 0.95,
	Trees: []Ratio{
		{"paper birch", 2.57, 1.42, 4.71, 42, 155, 61, ""},
		{"lodgepole pine", 0.84, 0.49, 1.43, 42, 96, 114, ""},
		{"Engelmann spruce", 1.31, 0.60, 2.92, 40, 38, 29, ""},
		{"subalpine fir", 0.38, 0.11, 1.18, 36, 6, 16, ""},
		{"quaking aspen", 0, 0, 0.71, 31, 0, 12, ""},
		{"black cottonwood", math.Inf(1), 1.9, math.Inf(1), 18, 9, 0, ""},
		{"whitebark pine", 3.4, 0.012, 960, 9, 3, 1, ""},
		{"Douglas-fir", 1.12, nan, nan, 1, 9, 8, ""},
		{"Sitka alder", nan, nan, nan, 12, 0, 0, ""},
		{"unrecorded", nan, nan, nan, 42, 7, 5, "one site only"},
	},
	Years: []Ratio{
		{"1", 1.62, 1.05, 2.51, 42, 241, 148, ""},
		{"2", 0.97, 0.52, 1.80, 30, 61, 62, ""},
		{"4", 0.55, 0.14, 1.96, 22, 9, 16, ""},
		{"unburned", 4.8, 1.3, 21.5, 20, 12, 2, ""},
	},
	All: []Ratio{{"All finds", 1.42, 1.03, 1.97, 114, 323, 228, ""}},
}

// observersSample is two methods, one with an observer who saw all that the
// others saw.
var observersSample = ObserversShares{
	Confidence: 0.95,
	Parts: []ObserversPart{
		{
			Method: "plot",
			Observers: []ObserverShare{
				{"Ada", 249, 56, 0.818, 0.764, 0.861},
				{"Ben", 236, 43, 0.775, 0.720, 0.823},
			},
			Together: ObserverShare{Name: "all", Seen: 292, Share: 0.959, Lower: 0.939, Upper: 0.972},
			Several:  193, Unseen: 12.5, Lower: 8.4, Upper: 19,
		},
		{
			Method: "line",
			Observers: []ObserverShare{
				{"Ada", 31, 0, 0.62, 0.47, 0.75}, {"Cleo of the upper creek crew", 50, 14, 1, 0.91, 1}, {"Dan", 22, 4, 0.44, nan, nan},
			},
			Together: ObserverShare{Name: "all", Seen: 54, Share: 1, Lower: 0.93, Upper: 1},
			Several:  36, Unseen: 0, Lower: 0, Upper: 4.1,
		},
	},
}

// A sample is a figure that the tests of goldens, layout and form run over.
type sample struct {
	name   string
	figure func() (Figure, error)
}

// coverageSample is invented: three worlds, one of them hard.
var coverageSample = Coverage{
	Confidence: 0.95, Low: 0.93, High: 0.97, Sizes: []string{"n = 10", "n = 30", "n = 200"},
	Rows: []CoverageRow{
		{"even", "Poisson, mean 2", []CoveragePoint{{0, 0.985, true}, {1, 0.968, false}, {2, 0.951, false}}},
		{"clumped", "clumps of 5", []CoveragePoint{{0, 0.91, true}, {1, 0.94, false}, {2, 0.948, false}}},
		{"clumped", "clumps of 20", []CoveragePoint{{0, 0.62, true}, {1, 0.88, false}, {2, 0.944, false}}},
	},
}

var samples = []sample{
	{"density-by-stratum", strataSample.Figure},
	{"density-by-mode-and-tree", modeTreeSample.Figure},
	{"ratio-by-tree", ratioSample.Figure},
	{"coverage", coverageSample.Figure},
	{"observers-shares", observersSample.Figure},
}

// hard are figures that a survey seldom asks for, and that must still read.
var hard = []sample{
	{"strata-log", func() (Figure, error) { d := strataSample; d.Axis = LogAxis; return d.Figure() }},
	{"strata-cut", func() (Figure, error) {
		d := strataSample
		d.Strata = slices.Clone(d.Strata)
		d.Strata[4].Upper = 48200
		return d.Figure()
	}},
	{"strata-40", manyStrata},
	{"strata-one", func() (Figure, error) {
		return DensityByStratum{Unit: perHectare, Confidence: 0.9, Strata: strataSample.Strata[:1]}.Figure()
	}},
	{"strata-zero", func() (Figure, error) {
		return DensityByStratum{Unit: perHectare, Confidence: 0.95, Strata: []StratumDensity{
			{"Ridge", "plot", est(0, 0, 0, 10, 0)}, {"Creek", "plot", est(0, nan, nan, 1, 0)},
		}}.Figure()
	}},
	{"strata-hostile", hostileStrata},
	{"tree-log", func() (Figure, error) { d := modeTreeSample; d.Axis = LogAxis; return d.Figure() }},
	{"tree-many", manyTrees},
	{"tree-hostile", hostileTrees},
	{"tree-one", func() (Figure, error) {
		return DensityByModeAndTree{Unit: perHectare, Confidence: 0.95, Rows: modeTreeSample.Rows[:1]}.Figure()
	}},
	{"ratio-one", func() (Figure, error) { return RatioByTree{Confidence: 0.95, All: ratioSample.All}.Figure() }},
	{"ratio-nothing", func() (Figure, error) { return RatioByTree{Confidence: 0.95, Trees: ratioSample.Trees[8:]}.Figure() }},
	{"ratio-hostile", hostileRatios},
	{"coverage-hostile", hostileCoverage},
}

const (
	markup   = `<script>alert("1")</script> & 'quoted' ]]> &amp;`
	broken   = "line\nbreak\ttab \x00nul \x1b[31mred \u202Ereversed \xff\xfe bad \uFFFE"
	endless  = "The long north-facing slope above the second bend of the creek where the old logging road was washed out in the flood"
	unspaced = "Pseudotsugamenziesiivarglaucaandthensomemorelettersthatneverend"
	foreign  = "Суходіл, 北の斜面, é́"
)

func manyStrata() (Figure, error) {
	d := DensityByStratum{Unit: "fruit bodies per acre", Confidence: 0.95}
	for i := range 40 {
		v := 900 / float64(i+1)
		d.Strata = append(d.Strata, StratumDensity{"Stratum " + count(i+1), "plot", est(v, v*0.5, v*1.9, 5+i, 200/(i+1))})
	}
	d.Land = strataSample.Land[:1]
	return d.Figure()
}

func hostileStrata() (Figure, error) {
	d := DensityByStratum{Title: markup, Unit: "<per> & hectare", Confidence: 0.95}
	for i, name := range []string{markup, broken, endless, unspaced, foreign, ""} {
		d.Strata = append(d.Strata,
			StratumDensity{name, "plot", est(float64(100*i), 50*float64(i), 170*float64(i+1), 1234567, 9876543)},
			StratumDensity{name, endless, Estimate{Value: nan, Lower: nan, Upper: nan, Note: markup + endless}})
	}
	return d.Figure()
}

func manyTrees() (Figure, error) {
	d := DensityByModeAndTree{Unit: perHectare, Confidence: 0.95}
	for y, years := range []string{"1", "2", "4", "7", "unburned"} {
		for i := range 15 {
			tree := "Tree species " + count(i+1)
			if i == 3 {
				tree = endless
			}
			for m, mode := range []string{"saprotrophic", "host-associated", "undetermined"} {
				v := float64((i*37+m*101)%290) / float64(y+1)
				e := est(v, v*0.4, v*2.2, 42-y*7-i%3, int(v/3))
				if v == 0 {
					e.Lower, e.Upper = 0, 31
				}
				if i == 5 && y == 2 && m == 1 {
					e.Upper = 125000
				}
				d.Rows = append(d.Rows, ModeTreeDensity{years, tree, mode, e})
			}
		}
	}
	return d.Figure()
}

func hostileTrees() (Figure, error) {
	d := DensityByModeAndTree{Unit: endless, Confidence: 0.95, Axis: AutoAxis}
	names := []string{markup, broken, endless, unspaced, foreign, ""}
	for y, years := range names {
		for i, tree := range names {
			for m, mode := range names[:4] {
				v := float64((y+1)*(i+1)*(m+1)) * 100
				d.Rows = append(d.Rows, ModeTreeDensity{years, tree, mode, est(v, v/2, v*9, 1234567-y-i, 7654321)})
			}
		}
	}
	return d.Figure()
}

func hostileRatios() (Figure, error) {
	r := RatioByTree{Confidence: 0.999}
	for _, name := range []string{markup, broken, endless, unspaced, foreign, ""} {
		r.Trees = append(r.Trees, Ratio{name, 1234.5, 1e-9, 1e9, 1234567, 1234567, 1234567, ""},
			Ratio{Label: name, Value: nan, Lower: nan, Upper: nan, Note: endless})
	}
	return r.Figure()
}

func hostileCoverage() (Figure, error) {
	c := Coverage{Confidence: 0.95, Low: 0.93, High: 0.97, Sizes: []string{markup, broken, endless, unspaced, foreign}}
	for _, name := range []string{markup, broken, endless, unspaced, foreign, ""} {
		r := CoverageRow{Group: name, Label: endless}
		for i := range c.Sizes {
			r.Points = append(r.Points, CoveragePoint{i, float64(i) / 4, i%2 == 0})
		}
		c.Rows = append(c.Rows, r)
	}
	return c.Figure()
}
