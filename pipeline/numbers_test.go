package pipeline

import (
	"bytes"
	"encoding/csv"
	"html"
	"math"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/page"
)

// The content of each unit that the report shows in the one that is stored,
// worked out anew from the definitions of foot, acre, pound and mile.
var shownUnits = map[string]float64{
	"t": 1000, "lb": 0.45359237, "oz": 28.349523125, "ft": 0.3048, "acres": 0.40468564224, "sq ft": 0.09290304,
	"per acre": 1 / 0.40468564224, "lb/acre": 0.45359237 / 0.40468564224, "per mile": 1 / 1.609344,
	"days per thousand feet": 100 / 304.8,
}

// sourced finds what the report says to be from a table or from the settings.
var sourced = regexp.MustCompile(`<span class="(n|quote)" data-from="([^"]*)">([^<]*)</span>`)

// TestNumbersOfTheReport holds each number of the report to the cell of a result
// table that it names: rounded from it, in whatever unit. There are no others.
func TestNumbersOfTheReport(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	metric := string(wholeResults(t)[page.ReportFile])
	checkNumbers(t, wholeResults(t))
	us := contents(t, mustRun(t, Options{Survey: writeSurvey(t, func(name string, data []byte) []byte {
		if name != "survey.toml" {
			return data
		}
		return bytes.Replace(data, []byte(`units = "metric"`), []byte(`units = "us"`), 1)
	})}))
	checkNumbers(t, us)
	if !strings.Contains(metric, " ha") || !strings.Contains(string(us[page.ReportFile]), " acres") {
		t.Error("the units are not those of the settings")
	}
	for name, data := range us {
		if name != page.ReportFile && !strings.HasPrefix(name, "figures/") || strings.HasSuffix(name, ".png") {
			continue
		}
		for _, text := range inMetric(string(data)) {
			t.Errorf("%s, in US units: %q", name, text)
		}
	}
	if len(inMetric(metric)) < 10 {
		t.Error("no metric unit is found in a report that has them")
	}
}

// metricUnit is one of the metric units, after a number or in words.
var metricUnit = regexp.MustCompile(`(?:[0-9][ \x{a0}](?:m|km|cm|ha|kg|g|t)|\b(?:per (?:ha|km|kg|100 m)|kg/ha|m2|hectares?|kilometres?|metres?|kilograms?|tonnes?))\b`)

// inMetric are the pieces of a page or drawing that name a metric unit. Names of
// settings and files, which have it in them, stand in brackets or quote cells.
func inMetric(text string) []string {
	text = regexp.MustCompile(`(?s)<style.*?</style>`).ReplaceAllString(text, "")
	text = html.UnescapeString(regexp.MustCompile(`</?(?:span|strong|tspan)[^>]*>`).ReplaceAllString(text, ""))
	var found []string
	for _, piece := range regexp.MustCompile(`<[^>]*>`).Split(text, -1) {
		if metricUnit.MatchString(piece) {
			found = append(found, strings.TrimSpace(piece))
		}
	}
	return found
}

func checkNumbers(t *testing.T, files map[string][]byte) {
	t.Helper()
	tables := map[string][][]string{}
	for name, data := range files {
		if strings.HasPrefix(name, "results/") && strings.HasSuffix(name, ".csv") {
			rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			tables[strings.TrimSuffix(path.Base(name), ".csv")] = rows
		}
	}
	report := string(files[page.ReportFile])
	found := sourced.FindAllStringSubmatch(report, -1)
	if len(found) < 20 {
		t.Errorf("only %d numbers have a source", len(found))
	}
	for _, m := range found {
		checkNumber(t, tables, m[1], m[2], html.UnescapeString(m[3]))
	}
	for _, text := range unsourced(report) {
		t.Errorf("a number without a source: %q", text)
	}
}

// checkNumber holds what is shown to its cell.
func checkNumber(t *testing.T, tables map[string][][]string, class, from, shown string) {
	t.Helper()
	if strings.HasPrefix(from, "setting:") {
		return
	}
	parts := strings.Split(from, ":")
	table := tables[parts[0]]
	rows := strings.Split(parts[1], "+")
	cell, ok := "", false
	var sum float64
	for _, text := range rows {
		row, err := strconv.Atoi(text)
		if err != nil || row < 1 || row >= len(table) {
			t.Errorf("%s: there is no such row", from)
			return
		}
		for i, name := range table[0] {
			if name == parts[2] {
				cell, ok = table[row][i], true
			}
		}
		value, _ := strconv.ParseFloat(cell, 64)
		sum += value
	}
	if len(rows) > 1 {
		cell = strconv.FormatFloat(sum, 'g', -1, 64)
	}
	switch {
	case !ok:
		t.Errorf("%s: there is no such column", from)
	case class == "quote":
		if !strings.Contains(strings.ToLower(cell), strings.ToLower(strings.TrimSuffix(shown, "."))) {
			t.Errorf("%s: %q is not in %q", from, shown, cell)
		}
	case !slices.ContainsFunc(strings.Split(cell, ";"), func(one string) bool { return agrees(one, shown) }):
		t.Errorf("%s: %q is not rounded from %s", from, shown, cell)
	}
}

var shownNumber = regexp.MustCompile(`^(below |above )?(-?[0-9,.]+(?:e[0-9]+)?) ?(.*)$`)

// agrees reports whether a text shows the value of a cell: as it is, or as a
// number that is rounded from it in some unit.
func agrees(cell, shown string) bool {
	if cell == shown {
		return true
	}
	value, err := strconv.ParseFloat(cell, 64)
	m := shownNumber.FindStringSubmatch(shown)
	if err != nil || m == nil {
		return dateAgrees(cell, shown)
	}
	digits := strings.ReplaceAll(m[2], ",", "")
	number, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return false
	}
	switch m[1] {
	case "below ":
		return value < number
	case "above ":
		return value > number
	}
	sizes := []float64{1}
	if size, ok := shownUnits[m[3]]; ok {
		sizes = []float64{size}
	} else if m[3] == "" { // the unit stands in the head of the column
		for _, size := range shownUnits {
			sizes = append(sizes, size)
		}
	}
	for _, size := range sizes {
		if math.Abs(value/size-number) <= 0.5000001*lastPlace(digits) {
			return true
		}
	}
	return false
}

// lastPlace is the unit of the last digit shown that is not a zero in the place of
// one that is left out.
func lastPlace(digits string) float64 {
	if i := strings.IndexByte(digits, '.'); i >= 0 {
		return math.Pow10(i + 1 - len(digits))
	}
	whole := strings.TrimRight(digits, "0")
	return math.Pow10(len(digits) - len(whole))
}

func dateAgrees(cell, shown string) bool {
	if at := strings.LastIndexByte(shown, ' '); at > 0 && len(cell) > 4 && shown[at+1:] == cell[:4] {
		shown = shown[:at]
	}
	day, month, ok := strings.Cut(shown, " ")
	if !ok || len(cell) != len("2031-05-17") {
		return false
	}
	months := strings.Fields("January February March April May June July August September October November December")
	n, _ := strconv.Atoi(cell[5:7])
	d, _ := strconv.Atoi(cell[8:])
	return n >= 1 && n <= len(months) && months[n-1] == month && strconv.Itoa(d) == day
}

// unsourced are the pieces of the report's text with digits that are neither of a
// table or a setting, nor within a name, the title, a figure or the line that
// names the program.
func unsourced(report string) []string {
	for _, cut := range []string{`(?s)<style.*?</style>`, `(?s)<svg.*?</svg>`, `(?s)<head>.*?</head>`, `<h1>.*?</h1>`, `(?s)<footer>.*?</footer>`, `<span class="name">.*?</span>`} {
		report = regexp.MustCompile(cut).ReplaceAllString(report, "")
	}
	report = sourced.ReplaceAllString(report, "")
	var left []string
	for _, text := range regexp.MustCompile(`<[^>]*>`).Split(report, -1) {
		if strings.ContainsAny(text, "0123456789") {
			left = append(left, strings.TrimSpace(text))
		}
	}
	return left
}

// TestAgrees: the check of numbers finds a wrong one.
func TestAgrees(t *testing.T) {
	for _, c := range []struct {
		cell, shown string
		want        bool
	}{
		{"52134.2", "52.1 t", true}, {"52134.2", "52.2 t", false}, {"52134.2", "52,100 kg", true}, {"52134.2", "52,000", true},
		{"52134.2", "115,000 lb", true}, {"52134.2", "114,000 lb", false}, {"242", "242 per ha", true}, {"242", "97.9 per acre", true},
		{"0.0001", "below 0.01", true}, {"0.2", "below 0.01", false}, {"2031-05-07", "7 May", true}, {"2031-05-07", "8 May", false},
		{"2031-05-07", "7 May 2031", true}, {"2031-05-07", "7 May 2032", false}, {"2031-05-07", "8 May 2031", false},
		{"burn", "burn", true}, {"burn", "green", false}, {"", "3", false}, {"0.55", "0.55", true}, {"0.554", "0.56", false},
	} {
		if got := agrees(c.cell, c.shown); got != c.want {
			t.Errorf("%q shown as %q: %t", c.cell, c.shown, got)
		}
	}
	if left := unsourced(`<p>There are 3 of them.</p><p><span class="n" data-from="a:1:b">4</span></p>`); len(left) != 1 {
		t.Errorf("unsourced: %q", left)
	}
}
