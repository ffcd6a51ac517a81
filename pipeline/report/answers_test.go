package report

import (
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// spaced undoes the spaces that do not break.
func spaced(s string) string { return strings.ReplaceAll(s, noBreak, " ") }

func estimated(value, lower, upper float64) analyze.Estimate {
	return analyze.Estimate{
		Value: column.Finite(value), Lower: column.Finite(lower), Upper: column.Finite(upper),
		Confidence: column.Finite(0.95), Interval: "nb-profile",
	}
}

func headlineRow(method string, units, finds int, e analyze.Estimate, warnings ...stats.Warning) analyze.DensityRow {
	return analyze.DensityRow{
		Key: fieldwork.Headline(method), Units: column.Count(units), Finds: column.Count(finds), SearchedHa: column.Finite(4.02),
		Estimate: e, Warnings: warnings,
	}
}

func inStratum(r analyze.DensityRow, stratum string) analyze.DensityRow {
	r.Stratum = stratum
	return r
}

// sentenceCase is what the first sentences are for some results.
type sentenceCase struct {
	name     string
	settings survey.Settings
	results  analyze.Results
	want     []string
}

func sentenceCases() []sentenceCase {
	us, metric := survey.Defaults(), survey.Defaults()
	us.Units = survey.US
	alone := analyze.Estimate{Value: column.Finite(597), Confidence: column.Finite(0.95), Interval: "none"}
	oneUnit := stats.Warning{Code: "one-unit", Text: "one unit tells nothing of the spread between units"}
	plots := headlineRow("plot", 201, 1180, estimated(412.4, 301.2, 570.3))
	return []sentenceCase{
		{"nothing at all", metric, analyze.Results{}, []string{"Nothing was searched, so nothing is estimated."}},
		{"one method", metric, analyze.Results{Density: []analyze.DensityRow{plots}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds)."}},
		{"US units", us, analyze.Results{Density: []analyze.DensityRow{plots}}, []string{
			"Plots put the land at 167 fruit bodies per acre (95 % interval 122 to 231; 412 per hectare, 301 to 570; 201 plots, 1,180 finds)."}},
		{"two methods and lines", metric, analyze.Results{Density: []analyze.DensityRow{
			plots,
			headlineRow("strip", 1, 1, estimated(98.2, 4.1, 350)),
			headlineRow("line", 4, 85, analyze.Estimate{}, stats.Warning{Code: "no-detection-function", Text: "85 finds lie at one distance"}),
		}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds).",
			"Strip transects put the land at 98.2 fruit bodies per hectare (95 % interval 4.1 to 350.0; 1 strip transect, 1 find).",
			"Line transects give no figure (4 line transects, 85 finds). 85 finds lie at one distance."}},
		{"no finds", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 201, 0, estimated(0, 0, 0.9177))}}, []string{
			"No fruit body was found on 201 plots (4.02 ha searched). The land may still carry up to 0.918 per hectare, the upper end of the 95 % interval; for a fungus that grows in clumps even that is too low."}},
		{"no finds, US units", us, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 201, 0, estimated(0, 0, 0.9177))}}, []string{
			"No fruit body was found on 201 plots (9.93 acres (4.02 ha) searched). The land may still carry up to 0.371 per acre (0.918 per hectare), the upper end of the 95 % interval; for a fungus that grows in clumps even that is too low."}},
		{"no finds, no limit", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 1, 0, analyze.Estimate{Value: column.Finite(0)}, oneUnit)}}, []string{
			"No fruit body was found on 1 plot (4.02 ha searched). No upper limit can be given. One unit tells nothing of the spread between units."}},
		{"no interval", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 1, 12, alone, oneUnit)}}, []string{
			"Plots put the land at 597 fruit bodies per hectare (1 plot, 12 finds). No interval can be given. One unit tells nothing of the spread between units."}},
		{"no interval, US units", us, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 1, 12, alone, oneUnit)}}, []string{
			"Plots put the land at 242 fruit bodies per acre (or 597 per hectare; 1 plot, 12 finds). No interval can be given. One unit tells nothing of the spread between units."}},
		{"no interval, no reason", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 1, 12, alone)}}, []string{
			"Plots put the land at 597 fruit bodies per hectare (1 plot, 12 finds). No interval can be given. The results do not say why."}},
		{"no figure", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 0, 0, analyze.Estimate{}, stats.Warning{Code: "no-units", Text: "no unit was searched"})}}, []string{
			"Plots give no figure (0 plots, 0 finds). No unit was searched."}},
		{"part of the land", metric, analyze.Results{Density: []analyze.DensityRow{inStratum(headlineRow("plot", 201, 1180, estimated(412.4, 301.2, 570.3),
			stats.Warning{Code: "land-not-reached", Text: "no plot was searched in Saddle; the figure is that of Ridge only, 80 % of the survey area"}), analyze.Reached)}}, []string{
			"Plots put the part of the survey area they reached at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds). No plot was searched in Saddle; the figure is that of Ridge only, 80 % of the survey area."}},
		{"seasons", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 402, 1180, estimated(412.4, 301.2, 570.3),
			stats.Warning{Code: "seasons-pooled", Text: "2 seasons are pooled"})}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 402 plot seasons, 1,180 finds)."}},
		{"upper limit only", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 9, 3, analyze.Estimate{Value: column.Finite(40), Upper: column.Finite(200), Confidence: column.Finite(0.9)})}}, []string{
			"Plots put the land at 40.0 fruit bodies per hectare (90 % interval up to 200.0; 9 plots, 3 finds)."}},
		{"lower limit only", metric, analyze.Results{Density: []analyze.DensityRow{headlineRow("plot", 9, 30, analyze.Estimate{Value: column.Finite(40), Lower: column.Finite(3), Confidence: column.Finite(0.95)},
			stats.Warning{Code: "stratum-few-units", Text: "in a stratum: 3 units are few"}, stats.Warning{Code: "stratum-upper-open", Text: "in a stratum: so few finds set no upper limit"})}}, []string{
			"Plots put the land at 40.0 fruit bodies per hectare (95 % interval from 3.0 up; 9 plots, 30 finds). In a stratum: so few finds set no upper limit."}},
		{"strata apart", metric, analyze.Results{Density: []analyze.DensityRow{
			plots, inStratum(headlineRow("plot", 60, 900, estimated(900, 700, 1200)), "upper"),
			inStratum(headlineRow("plot", 1, 0, analyze.Estimate{}), "saddle"), inStratum(headlineRow("plot", 40, 0, estimated(0, 0, 4.6)), "lower")}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds).",
			"By plots, most stood in upper and fewest in lower: 900 per hectare (700 to 1,200; 60 plots, 900 finds) against none found (0 to 4.60; 40 plots). Their intervals lie apart."}},
		{"strata overlap", metric, analyze.Results{Density: []analyze.DensityRow{
			plots, inStratum(headlineRow("plot", 60, 900, estimated(90, 70, 120)), "upper"),
			inStratum(headlineRow("plot", 30, 90, estimated(85, 60, 100)), "middle"), inStratum(headlineRow("plot", 40, 60, estimated(80, 50, 99)), "lower")}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds).",
			"By plots, most stood in upper and fewest in lower: 90.0 per hectare (70.0 to 120.0; 60 plots, 900 finds) against 80.0 per hectare (50.0 to 99.0; 40 plots, 60 finds). Their intervals overlap, so their order may be chance. They are the ends of 3 strata, picked by their figures, so expect them to lie nearer together than they seem."}},
		{"strata without an interval", metric, analyze.Results{Density: []analyze.DensityRow{
			plots, inStratum(headlineRow("plot", 1, 9, alone), "upper"), inStratum(headlineRow("plot", 40, 60, estimated(80, 50, 99)), "lower")}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds).",
			"By plots, most stood in upper and fewest in lower: 597 per hectare (no interval; 1 plot, 9 finds) against 80.0 per hectare (50.0 to 99.0; 40 plots, 60 finds). Without both intervals their order may be chance."}},
		{"one stratum", metric, analyze.Results{Density: []analyze.DensityRow{plots, inStratum(plots, "all of it")}}, []string{
			"Plots put the land at 412 fruit bodies per hectare (95 % interval 301 to 570; 201 plots, 1,180 finds)."}},
	}
}

// allAnswers are the first sentences of a page, in order.
func allAnswers(p Page) []string {
	var list []string
	for _, a := range newWriter(p).answers() {
		for _, c := range a.Says {
			list = append(list, c.String())
		}
	}
	return list
}

// TestHeadlines: every question has its first answer.
func TestHeadlines(t *testing.T) {
	p := inventedPage()
	says, more := Headlines(p)
	for _, a := range newWriter(p).answers() {
		if !slices.Contains(says, a.Says[0].String()) {
			t.Errorf("%s: its first answer is missing", a.Question)
		}
	}
	if all := len(allAnswers(p)); more == 0 || len(says)+more != all {
		t.Errorf("%d headlines and %d more, of %d answers", len(says), more, all)
	}
}

func TestSentences(t *testing.T) {
	for _, c := range sentenceCases() {
		got := allAnswers(Page{Settings: c.settings, Results: c.results})
		if spaced(strings.Join(got, "\n")) != strings.Join(c.want, "\n") {
			t.Errorf("%s:\n got %s\nwant %s", c.name, spaced(strings.Join(got, "\n     ")), strings.Join(c.want, "\n     "))
		}
	}
}

// agreeing is a p that tells what the interval tells.
func agreeing(e analyze.Estimate) float64 {
	if e.Lower.Value < 1 && e.Upper.Value > 1 {
		return 0.3
	}
	return 0.0001
}

// TestHeld: where the test does not tell what the interval tells, that is said.
func TestHeld(t *testing.T) {
	for _, c := range []struct {
		e    analyze.Estimate
		p    column.Float
		want string
	}{
		{estimated(3, 1.01, 19), column.Finite(0.072), "above 1: host-associated fruit bodies were the more frequent. Their test says otherwise (p 0.072)"},
		{estimated(0.3, 0.1, 1.04), column.Finite(0.031), "so neither can be called the more frequent. Their test says otherwise (p 0.031)"},
		{estimated(0.3, 0.1, 0.9), column.Finite(0.05), "saprotrophic fruit bodies were the more frequent."},
		{estimated(0.3, 0.1, 2), column.Float{}, "so neither can be called the more frequent."},
	} {
		r := analyze.ComparisonRow{Estimate: c.e}
		r.P = c.p
		got := held(r)
		if !strings.Contains(got, c.want) || strings.Contains(got, "otherwise") != strings.Contains(c.want, "otherwise") {
			t.Errorf("%v, p %v: %s", c.e, c.p, got)
		}
	}
}

// modeResults are results with a ratio, an undetermined share and finds left open.
func modeResults(ratio, share analyze.Estimate, open int, warnings ...stats.Warning) analyze.Results {
	all := headlineRow("plot", 201, 1180, estimated(412.4, 301.2, 570.3))
	undetermined := all
	undetermined.Mode, undetermined.Finds = survey.Undetermined, column.Count(open)
	row := func(what string, e analyze.Estimate) analyze.ComparisonRow {
		return analyze.ComparisonRow{
			Comparison: what, Method: "plot", Stratum: analyze.All, Years: analyze.All, Tree: analyze.All, Units: column.Count(201),
			FirstFinds: column.Count(320), BaseFinds: column.Count(744), Estimate: e, Tested: result.Tested{P: column.Finite(agreeing(e)), WaldP: column.Finite(0.0001)}, Warnings: warnings,
		}
	}
	return analyze.Results{
		Density:    []analyze.DensityRow{all, undetermined},
		Comparison: []analyze.ComparisonRow{row(analyze.HostToSapro, ratio), row(analyze.UndeterminedShare, share)},
	}
}

func TestModeSentences(t *testing.T) {
	share := estimated(0.0931, 0.0702, 0.1214)
	cases := []struct {
		name    string
		results analyze.Results
		want    []string
	}{
		{"below 1", modeResults(estimated(0.43, 0.3, 0.62), share, 116), []string{
			"For each saprotrophic fruit body the land carries 0.430 host-associated ones (95 % interval 0.300 to 0.620; 320 against 744 finds on the same plots). The whole interval lies below 1: saprotrophic fruit bodies were the more frequent.",
			"116 of the 1,180 finds on plots (9.8 %) were left undetermined, which puts the land at 9.3 % (95 % interval 7.02 to 12.14 %); such finds stand on neither side of the ratio."}},
		{"above 1", modeResults(estimated(2.5, 1.1, 6.2), share, 0), []string{
			"For each saprotrophic fruit body the land carries 2.50 host-associated ones (95 % interval 1.10 to 6.20; 320 against 744 finds on the same plots). The whole interval lies above 1: host-associated fruit bodies were the more frequent.",
			"The crew gave a mode to every one of the 1,180 finds on plots."}},
		{"about 1", modeResults(estimated(1.2, 0.9, 1.6), analyze.Estimate{}, 1), []string{
			"For each saprotrophic fruit body the land carries 1.20 host-associated ones (95 % interval 0.90 to 1.60; 320 against 744 finds on the same plots). The interval holds 1, so neither can be called the more frequent.",
			"1 of the 1,180 finds on plots (0.085 %) was left undetermined; such finds stand on neither side of the ratio."}},
		{"no ratio", modeResults(analyze.Estimate{}, analyze.Estimate{}, 0, stats.Warning{Code: "no-base-finds", Text: "no saprotrophic find was made"}), []string{
			"Host-associated and saprotrophic finds cannot be set in a ratio (320 against 744 finds on the same plots). No saprotrophic find was made.",
			"The crew gave a mode to every one of the 1,180 finds on plots."}},
		{"no interval", modeResults(analyze.Estimate{Value: column.Finite(2)}, analyze.Estimate{}, 0, stats.Warning{Code: "one-unit", Text: "there is but one unit"}), []string{
			"For each saprotrophic fruit body the land carries 2.00 host-associated ones (320 against 744 finds on the same plots). No interval can be given. There is but one unit.",
			"The crew gave a mode to every one of the 1,180 finds on plots."}},
	}
	for _, c := range cases {
		got := allAnswers(Page{Settings: survey.Defaults(), Results: c.results})[1:]
		if spaced(strings.Join(got, "\n")) != strings.Join(c.want, "\n") {
			t.Errorf("%s:\n got %s\nwant %s", c.name, spaced(strings.Join(got, "\n     ")), strings.Join(c.want, "\n     "))
		}
	}
}

// TestNoChanceAlone holds the answers to effects with intervals: a p-value
// stands in the tables only, beside its ratio.
func TestNoChanceAlone(t *testing.T) {
	for _, s := range allAnswers(inventedPage()) {
		if strings.Contains(s, "p"+noBreak) || strings.Contains(s, "p =") || strings.Contains(s, "signific") {
			t.Errorf("an answer speaks of p: %s", s)
		}
	}
}
