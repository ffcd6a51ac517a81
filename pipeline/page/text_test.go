package page

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

func TestSay(t *testing.T) {
	kg := estimate("kg", 521.3, 411.4, 722)
	kg.Table, kg.Row, kg.Column = "crop", 2, "mass_kg"
	kg.Lower.Table, kg.Lower.Row, kg.Lower.Column = "crop", 2, "mass_lower_kg"
	text := Say("Estimated crop: %v (%v), %v below %v & 100 %% of it.", kg, Interval(kg), Name("<north>"), Setting("harvest.share", 30, "%"))
	if got, want := text.Sentence(Units{}), "Estimated crop: 521 kg (95 % CI 411 to 722), <north> below 30 % & 100 % of it."; got != want {
		t.Errorf("as prose: %q, want %q", got, want)
	}
	if got, want := text.Plain(Units{}), "Estimated crop: 521 kg (95 % CI 411-722), <north> below 30 % & 100 % of it."; got != want {
		t.Errorf("on a terminal: %q, want %q", got, want)
	}
	html := string(text.HTML(Units{}))
	for _, want := range []string{
		`<span class="n" data-from="crop:3:mass_kg">521 kg</span>`,
		`<span class="n" data-from="setting:confidence">95 %</span> CI <span class="n" data-from="crop:3:mass_lower_kg">411</span> to `,
		`<span class="name">&lt;north&gt;</span>`,
		`<span class="n" data-from="setting:harvest.share">30 %</span> &amp; 100 %`,
	} {
		if !strings.Contains(html, want) {
			t.Errorf("the markup lacks %s:\n%s", want, html)
		}
	}
}

func TestSayMisuse(t *testing.T) {
	for what, f := range map[string]func(){
		"a number without a source": func() { Say("%v plots", 3) },
		"too few values":            func() { Say("%v and %v", "a") },
		"too many values":           func() { Say("%v", "a", "b") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s is no panic", what)
				}
			}()
			f()
		}()
	}
}

func TestTexts(t *testing.T) {
	d, err := column.ParseDate("2031-05-07")
	if err != nil {
		t.Fatal(err)
	}
	later := result.Cell{Date: column.DateInYear(2031, 153), Text: "2031-06-02"}
	days := estimate("", 127, 125, 153)
	words := func(s string) Text { return Say("%v", s) }
	negative := estimate("", -0.2, -0.5, 0.1)
	for want, text := range map[string]Text{
		"7 May":               Say("%v", result.Cell{Date: d, Text: "2031-05-07"}),
		"7 May 2031":          Dated(result.Cell{Date: d, Text: "2031-05-07"}),
		"2031":                Year(result.Cell{Number: column.Finite(2031), Whole: true}),
		"7 May-2 June":        DayLimits(result.Cell{Date: d}, later),
		"95 % CI 7-7 May":     Days(days, result.Cell{Date: d}, result.Cell{Date: d}),
		"no interval":         Days(days, result.Cell{Date: d}, result.Cell{}),
		"quillet-severe":      Say("%v", result.Cell{Text: "quillet-severe"}),
		"–":                   Say("%v", result.Cell{}),
		"a, b and c":          And([]Text{words("a"), words("b"), words("c")}),
		"a":                   And([]Text{words("a")}),
		"":                    And(nil),
		"-0.50 to 0.10":       Limits(negative), // no hyphen beside a minus
		"2.5 us gallon":       Setting("harvest.limit", 2.5, "us gallon"),
		"40":                  Setting("harvest.people", 40, ""),
		"below 0.01":          Probability(result.Cell{Number: column.Finite(0.001)}),
		"0.18":                Probability(result.Cell{Number: column.Finite(0.1834)}),
		"above 0.99":          Probability(result.Cell{Number: column.Finite(0.9999)}),
		"line transects":      Methods(result.Line),
		"(no name)":           Name(" "),
		"99.9 % CI 1.00-3.00": Interval(func() result.Cell { c := estimate("", 2, 1, 3); c.Confidence = column.Finite(0.999); return c }()),
	} {
		if got := text.Plain(Units{}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if !(Text{}).Empty() || words("a").Empty() {
		t.Error("an empty text is not told from another")
	}
	if got := Days(days, result.Cell{Date: d}, later).Sentence(Units{}); got != "95 % CI 7 May to 2 June" {
		t.Errorf("in a sentence: %q", got)
	}
	if got := Limits(estimate("", 2, math.NaN(), math.NaN())).Plain(Units{}); got != "no interval" {
		t.Errorf("without limits: %q", got)
	}
}

// TestPrintable: names may be any text, and must neither break a line nor turn it.
func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"north\nslope":           "north\uFFFDslope",
		"":                       "(no name)",
		"a\u202Eb":               "a\uFFFDb",
		"\u05D0\u05D1":           "\u2068\u05D0\u05D1\u2069",
		strings.Repeat("x", 100): strings.Repeat("x", 43) + "…" + strings.Repeat("x", 20),
	} {
		if got := printable(in); got != want {
			t.Errorf("%q is printed as %q, want %q", in, got, want)
		}
	}
	if got := sentence(" no unit here"); got != "No unit here." {
		t.Errorf("a sentence is %q", got)
	}
}

func TestLargest(t *testing.T) {
	type row struct{ n column.Int }
	d := result.Declaration[row]{Name: "n", Columns: []result.Columns[row]{result.Whole("n", "", "n", func(r *row) *column.Int { return &r.n })},
		Warnings: func(*row) []stats.Warning { return nil }}
	var rows []row
	var all []int
	for i := range 14 {
		rows, all = append(rows, row{column.Count(100 - i)}), append(all, i)
	}
	rows[3].n, rows[5].n = column.Int{}, column.Count(0)
	if got, want := Largest(d.Of(rows), all, "n"), []int{0, 1, 2, 4, 6, 7, 8, 9, 10, 11, 12, 13}; !slices.Equal(got, want) {
		t.Errorf("the largest are %v, want %v", got, want)
	}
	if got := Largest(d.Of(rows), []int{5, 3}, "n"); !slices.Equal(got, []int{5, 3}) {
		t.Errorf("of two there are %v", got)
	}
}

func TestYearsSinceFire(t *testing.T) {
	for stored, want := range map[string]string{result.All: "all years", result.Unburned: "unburned", "1": "1 year after fire", "0": "0 years after fire", "3": "3 years after fire"} {
		if got := YearsSinceFire(result.Cell{Text: stored}).Sentence(Units{}); got != want {
			t.Errorf("%s is %q, want %q", stored, got, want)
		}
	}
}

func TestBounds(t *testing.T) {
	us := Units{us: true}
	for _, c := range []struct{ class, unit, metric, us string }{
		// 1200 m / 0.3048 m = 3937.0 ft, 1400 m = 4593.2 ft, 100 m = 328.1 ft.
		{"1200 to 1400", "m", "1,200 to 1,400 m", "3,940 to 4,590 ft"},
		{"100", "m", "100 m", "328 ft"},
		{"20 to 40", "percent", "20 to 40 %", "20 to 40 %"},
		{"unrecorded", "", "unrecorded", "unrecorded"},
	} {
		if got := Bounds(c.class, c.unit).Sentence(Units{}); got != c.metric {
			t.Errorf("%s %s: %q, want %q", c.class, c.unit, got, c.metric)
		}
		if got := Bounds(c.class, c.unit).Sentence(us); got != c.us {
			t.Errorf("%s %s: %q, want %q", c.class, c.unit, got, c.us)
		}
	}
	// 10,000 m = 32,808 ft.
	if got := Setting("dataset.blur_m", 10_000, "m").Sentence(us); got != "32,800 ft" {
		t.Errorf("a setting is shown as %q", got)
	}
}
