package report

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// Everything in this file is invented: no such land, crew or count exists, and
// the limits are not those that any estimator would give.

const (
	hostileMarkup = `<script>alert("1")</script><b>&amp;`
	hostileBidi   = "ridge \u202Etfel ot thgir\u202C \u2066x"
	hebrew        = "רכס"
)

var hostileControl = "creek\x00\x1b[31m\nred\u2028line"

// inventedStratum is a stratum of the invented survey.
type inventedStratum struct {
	name    string
	landHa  float64
	seasons []string // years since fire of each
	perHa   float64  // mean density in the first of them
	plots   int
	strips  int
}

var inventedStrata = []inventedStratum{
	{"Upper Hollin, severe", 212.4, []string{"1", "2"}, 640, 48, 10},
	{"Lower Hollin, moderate", 388.1, []string{"1", "2"}, 310, 60, 12},
	{"Kettle Bench", 154.0, []string{"3"}, 41, 24, 0},
	{"Unburned margin", 420.5, []string{analyze.Unburned}, 0, 30, 0},
	{"Saddle", 65.0, []string{"1"}, 95, 1, 0},
}

var inventedTrees = []string{"Douglas-fir", "grand fir", "lodgepole pine", "paper birch", "western larch", analyze.Unrecorded}

// inventedPage is a whole report.
func inventedPage() Page {
	s := survey.Defaults()
	s.Title = "Hollin Creek burn (invented)"
	s.Seed = 4127
	s.Taxa.Target = []string{"black morel", "grey morel"}
	s.Hosts.Trees = []string{"paper birch"}
	s.Columns = map[string]map[string]string{"plots": {"Plot No.": "plot", "Slope %": "slope_percent"}}
	r := inventedResults()
	return Page{
		Settings: s, Results: r, Figures: inventedFigures(r), Provenance: inventedProvenance(),
		Notices: []survey.Fault{{Place: survey.Place{File: "finds.csv", Line: 1}, Column: 9, Name: "substrat", Problem: "is not a known column and is carried as text", Remedy: `did you mean "tree"?`}},
	}
}

func inventedProvenance() Provenance {
	return Provenance{
		Program: "ashtally", Version: "0.1.0", Go: "go1.26.0", Platform: "linux/amd64",
		Inputs: []Input{
			{"survey.toml", "", 412, "3f5a0d7f5cf1b0a2f5b4e6a5b7d8c9e0f1a2b3c4d5e6f708192a3b4c5d6e7f80"},
			{"finds.csv", "finds", 88214, "9c56cc51b374c3ba189210d5b6d4bf57790d351c96c47c02190ecf1e430635ab"},
		},
		Tables: []TableCount{{"strata", 5, 5, 0}, {"plots", 163, 163, 0}, {"visits", 812, 811, 1}, {"finds", 2304, 2298, 6}},
	}
}

func inventedResults() analyze.Results {
	i := inventor{rand.New(rand.NewPCG(1, 1))}
	r := analyze.Results{}
	for _, m := range []string{analyze.PlotMethod, analyze.StripMethod} {
		r.Density = append(r.Density, i.densities(m)...)
		r.Comparison = append(r.Comparison, i.comparisons(m)...)
	}
	r.Observers, r.Passes, r.Corrected = inventedObservers(), inventedPasses(), inventedCorrected()
	reachedIn(&r)
	return r
}

// reachedIn labels the rows of methods that reached a part: strips and lines.
func reachedIn(r *analyze.Results) {
	of := func(method string, stratum *string) {
		if method != analyze.PlotMethod && *stratum == analyze.All {
			*stratum = analyze.Reached
		}
	}
	for i := range r.Density {
		of(r.Density[i].Method, &r.Density[i].Stratum)
	}
	for i := range r.Comparison {
		of(r.Comparison[i].Method, &r.Comparison[i].Stratum)
	}
	for i := range r.Corrected {
		of(r.Corrected[i].Method, &r.Corrected[i].Stratum)
	}
	for i := range r.Passes {
		of(r.Passes[i].Method, &r.Passes[i].Stratum)
	}
}

type inventor struct{ *rand.Rand }

// count is the number of finds of a group on so much ground.
func (i inventor) count(mean float64) int64 {
	return int64(math.Round(mean * (0.6 + 0.8*i.Float64())))
}

// estimate makes up a density with limits from its finds.
func estimate(finds int64, units int, ha float64) (analyze.Estimate, []stats.Warning) {
	e := analyze.Estimate{Value: column.Finite(float64(finds) / ha), Confidence: column.Finite(0.95), Interval: "nb-profile"}
	var w []stats.Warning
	if units == 1 {
		e.Interval = "none"
		return e, []stats.Warning{{Code: "one-unit", Text: "one unit tells nothing of the spread between units, so there is no interval"}}
	}
	if finds == 0 {
		e.Lower, e.Upper, e.Interval = column.Finite(0), column.Finite(3.689/ha), "poisson-exact"
		return e, []stats.Warning{{Code: "no-finds", Text: "nothing was found; the upper limit is the exact Poisson one, too near for a clumped fungus"}}
	}
	if finds < 20 {
		w = append(w, stats.Warning{Code: "few-finds", Text: fmt.Sprintf("%d finds are few; the interval may not keep its level", finds)})
	}
	cv := 1.6/math.Sqrt(float64(units)) + 0.5/math.Sqrt(float64(finds))
	e.SE, e.CV = column.Finite(cv*e.Value.Value), column.Finite(cv)
	e.Lower, e.Upper = column.Finite(e.Value.Value*math.Exp(-1.8*cv)), column.Finite(e.Value.Value*math.Exp(2.2*cv))
	return e, w
}

// densities makes the rows of a method in the order of the results: the land,
// then the strata, each pooled over years and by year, by mode, tree and taxon.
func (i inventor) densities(m string) []analyze.DensityRow {
	var rows []analyze.DensityRow
	for _, years := range []string{analyze.All, "1", "2", "3", analyze.Unburned} {
		rows = append(rows, i.crossed(m, analyze.All, years, inventedStrata)...)
	}
	for at, s := range inventedStrata {
		if unitsIn(m, s) == 0 {
			reason := stats.Warning{Code: "no-units", Text: "no " + m + " was searched in this stratum"}
			key := fieldwork.Headline(m)
			key.Stratum = s.name
			rows = append(rows, analyze.DensityRow{Key: key, Units: column.Count(0), Finds: column.Count(0), Warnings: []stats.Warning{reason}})
			continue
		}
		for _, years := range append([]string{analyze.All}, s.seasons...) {
			rows = append(rows, i.crossed(m, s.name, years, inventedStrata[at:at+1])...)
		}
	}
	return rows
}

func unitsIn(m string, s inventedStratum) int {
	if m == analyze.StripMethod {
		return s.strips
	}
	return s.plots
}

// crossed makes the densities of one part of the land in one class of years.
func (i inventor) crossed(m, stratum, years string, strata []inventedStratum) []analyze.DensityRow {
	units, ha, mean := 0, 0.0, 0.0
	for _, s := range strata {
		for season, y := range s.seasons {
			if years == analyze.All || years == y {
				n := unitsIn(m, s)
				units += n
				ha += 0.02 * float64(n)
				mean += 0.02 * float64(n) * s.perHa * math.Pow(0.25, float64(season))
			}
		}
	}
	if units == 0 {
		return nil
	}
	return i.groups(fieldwork.Key{Method: m, Stratum: stratum, Years: years}, units, ha, mean)
}

// groups makes up the finds of each mode and tree and adds them up.
func (i inventor) groups(key fieldwork.Key, units int, ha, mean float64) []analyze.DensityRow {
	trees := append([]string{analyze.All}, inventedTrees...)
	finds := map[[2]string]int64{}
	for _, mode := range modes[1:] {
		share := map[string]float64{survey.Saprotrophic: 0.55, survey.HostAssociated: 0.35, survey.Undetermined: 0.1}[mode]
		for _, tree := range inventedTrees {
			n := i.count(mean * share / float64(len(inventedTrees)))
			for _, k := range [][2]string{{mode, tree}, {mode, analyze.All}, {analyze.All, tree}, {analyze.All, analyze.All}} {
				finds[k] += n
			}
		}
	}
	var rows []analyze.DensityRow
	for _, mode := range modes {
		for _, tree := range trees {
			n := finds[[2]string{mode, tree}]
			for _, part := range []struct {
				taxon string
				finds int64
			}{{analyze.All, n}, {"black morel", n - n/5}, {"grey morel", n / 5}} {
				key.Mode, key.Tree, key.Taxon = mode, tree, part.taxon
				rows = append(rows, densityRow(key, part.finds, units, ha))
			}
		}
	}
	return rows
}

func densityRow(key fieldwork.Key, finds int64, units int, ha float64) analyze.DensityRow {
	e, w := estimate(finds, units, ha)
	if key.Stratum == analyze.All && e.Interval == "nb-profile" {
		e.Interval = "mover"
	}
	if key.Years == analyze.All && key.Stratum != "Kettle Bench" && key.Stratum != "Saddle" && key.Stratum != "Unburned margin" {
		w = append(w, stats.Warning{Code: "seasons-pooled", Text: "2 seasons are pooled; the figure is their mean per season"})
	}
	if key.Method == analyze.StripMethod && key.Stratum == analyze.All && key.Years == analyze.All {
		w = append(w, stats.Warning{Code: "land-not-reached", Text: "no strip was searched in Kettle Bench, Unburned margin, Saddle; the figure is that of Upper Hollin, severe, Lower Hollin, moderate only, 48 % of the survey area"})
	}
	return analyze.DensityRow{
		Key: key, Units: column.Count(units), SearchedHa: column.Finite(ha), Finds: column.Count(int(finds)),
		Estimate: e, DF: column.Finite(float64(units - 1)), Warnings: w,
	}
}

func (i inventor) comparisons(m string) []analyze.ComparisonRow {
	var rows []analyze.ComparisonRow
	for _, stratum := range []string{analyze.All, inventedStrata[0].name, inventedStrata[1].name, inventedStrata[3].name} {
		rows = append(rows, i.comparison(m, stratum, analyze.All, analyze.All))
	}
	for _, tree := range inventedTrees {
		rows = append(rows, i.comparison(m, analyze.All, "1", tree))
	}
	share := i.comparison(m, analyze.All, analyze.All, analyze.All)
	share.Comparison, share.P, share.PAdjusted, share.Adjustment = analyze.UndeterminedShare, column.Float{}, column.Float{}, ""
	share.Interval = "logit-t"
	share.Value, share.Lower, share.Upper = column.Finite(0.0931), column.Finite(0.0702), column.Finite(0.1214)
	return append(rows, share)
}

func (i inventor) comparison(m, stratum, years, tree string) analyze.ComparisonRow {
	r := analyze.ComparisonRow{Comparison: analyze.HostToSapro, Method: m, Stratum: stratum, Years: years, Tree: tree, Units: column.Count(162)}
	if stratum == inventedStrata[3].name {
		r.FirstFinds, r.BaseFinds = column.Count(0), column.Count(0)
		r.Warnings = []stats.Warning{{Code: "no-finds", Text: "neither kind was found, so there is no ratio"}}
		return r
	}
	first, base := i.count(180), i.count(300)
	ratio := float64(first) / float64(base)
	r.FirstFinds, r.BaseFinds = column.Count(int(first)), column.Count(int(base))
	r.Estimate = analyze.Estimate{Value: column.Finite(ratio), Lower: column.Finite(ratio * 0.7), Upper: column.Finite(ratio * 1.45), Confidence: column.Finite(0.95), Interval: "log-t"}
	r.Tested = result.Tested{P: column.Finite(2 * agreeing(r.Estimate)), PSE: column.Finite(0.00014), Test: result.DrawnSigns, WaldP: column.Finite(0.00012)}
	r.PAdjusted, r.Adjustment = column.Finite(0.0123), "Holm over the trees of one method"
	return r
}

const inventedSVG = `<svg xmlns="http://www.w3.org/2000/svg" width="174mm" height="60mm" viewBox="0 0 493 170" role="img" aria-labelledby="%[1]s-title">
<title id="%[1]s-title">Invented drawing</title>
<rect x="2" y="2" width="489" height="166" fill="none" stroke="#8c8a83"/>
<text x="20" y="40" style="font-family:'Liberation Sans',Arial,sans-serif;font-size:10pt">an invented drawing</text>
</svg>
`

func inventedFigures(r analyze.Results) []Figure {
	figure := func(name, title, caption string) Figure {
		return Figure{Name: name, Title: title, Caption: caption, Alt: "An invented drawing.", SVG: fmt.Appendf(nil, inventedSVG, name)}
	}
	ground := figure("density", "Fruit bodies per hectare by stratum", "Marks are estimates, lines their 95 % intervals.")
	for _, row := range r.Density {
		if row.Method == analyze.PlotMethod && row.Years == analyze.All && pooledFinds(row.Key) {
			ground.Density = append(ground.Density, row)
		}
	}
	byTree := figure("modes", "Fruit bodies per hectare by mode and tree", "Marks are estimates, lines their 95 % intervals.")
	for _, row := range r.Density {
		if row.Method == analyze.PlotMethod && row.Years == "1" && row.Stratum == analyze.All && row.Mode != analyze.All && row.Tree != analyze.All && row.Taxon == analyze.All {
			byTree.Density = append(byTree.Density, row)
		}
	}
	ratios := figure("ratios", "Host-associated to saprotrophic", "The line stands at a ratio of 1.")
	ratios.Comparison = r.Comparison
	shares := figure("shares", "What each observer saw", "Bars are who saw what.")
	shares.Observers = inventedObservers()[:2]
	return []Figure{ground, byTree, ratios, shares}
}

// americanPage is the invented report in US units.
func americanPage() Page {
	p := inventedPage()
	p.Settings.Units = survey.US
	return p
}

// hostilePage is the invented report with names that no crew should give.
func hostilePage() Page {
	p := inventedPage()
	long := string(slices.Repeat([]rune("long"), 3000))
	swap := map[string]string{
		"Upper Hollin, severe": hostileMarkup, "Lower Hollin, moderate": hostileBidi, "Kettle Bench": hostileControl,
		"Unburned margin": long, "Saddle": hebrew,
	}
	rename := func(s *string) {
		if to, ok := swap[*s]; ok {
			*s = to
		}
	}
	r := &p.Results
	for i := range r.Density {
		rename(&r.Density[i].Stratum)
	}
	for i := range r.Comparison {
		rename(&r.Comparison[i].Stratum)
	}
	r.Density[0].Warnings = []stats.Warning{{Code: hostileMarkup, Text: hostileMarkup + hostileBidi}}
	p.Settings.Title = hostileMarkup + hostileBidi
	p.Settings.Taxa.Target = []string{hostileMarkup}
	p.Provenance.Inputs[0].Name = hostileMarkup
	p.SetAsideCount = 1204
	p.SetAside = []survey.Fault{{Place: survey.Place{File: "finds.csv", Line: 214}, Column: 7, Name: "distance_m", Problem: hostileMarkup + hostileControl, Remedy: "mend it"}}
	p.Figures[0].Title, p.Figures[0].Alt = hostileMarkup, hostileMarkup+`" onload="x`
	return p
}

// smallPage has a row or two of each kind.
func smallPage() Page {
	s := survey.Defaults()
	density := densityRow(fieldwork.Headline(analyze.PlotMethod), 12, 30, 0.6)
	compared := inventor{rand.New(rand.NewPCG(1, 1))}.comparison(analyze.PlotMethod, analyze.All, analyze.All, analyze.All)
	r := analyze.Results{
		Density:    []analyze.DensityRow{density, {Key: fieldwork.Headline(analyze.PlotMethod)}},
		Comparison: []analyze.ComparisonRow{compared},
	}
	return Page{Settings: s, Results: r, Figures: inventedFigures(r), Provenance: inventedProvenance()}
}
