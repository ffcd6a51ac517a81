package analyze

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// flushWorld is a burn whose fruit bodies come up about day 130 at 1000 m, four
// days later for each 100 m up, all of 24 plots visited every seventh day: the
// counts are the expected ones, rounded.
func flushWorld(t *testing.T, visits int, rule string) world {
	t.Helper()
	w := newWorld()
	w.settings.Counting.Rule = rule
	for i := range 24 {
		id, elevation := fmt.Sprintf("P%02d", i), 900+10*float64(i)
		w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: known1(100), Laid: survey.Horizontal,
			Ground: survey.Ground{ElevationM: known1(elevation), AspectDeg: known1(float64(i) * 15)}})
		peak := 130 + 4*(elevation-1000)/100
		for v := range visits {
			day := 114 + 7*v + i%3
			w.visits = append(w.visits, survey.Visit{Unit: id, Date: column.DateInYear(2031, day), Pass: column.Count(1)})
			z := (float64(day) - 3.5 - peak) / 7
			if n := int64(math.Round(float64(6+i%5) * math.Exp(-z*z/2))); n > 0 {
				w.find(t, id, column.DateInYear(2031, day).String(), 1, n, survey.Saprotrophic, "spruce")
			}
		}
	}
	return w
}

func flushOf(t *testing.T, r Results, change func(*FlushKey)) FlushRow {
	t.Helper()
	key := WholeSeason(2031)
	change(&key)
	var found []FlushRow
	for _, row := range r.Flush {
		if row.FlushKey == key {
			found = append(found, row)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows of %+v, want 1", len(found), key)
	}
	return found[0]
}

func allUnits(*FlushKey) {}

// TestFlush: the curve of a season as it was made.
func TestFlush(t *testing.T) {
	r := flushWorld(t, 6, survey.New).answer(t)
	row := flushOf(t, r, allUnits)
	at := func(m Moment, want float64) {
		t.Helper()
		if !m.Value.Known || math.Abs(m.Value.Value-want) > 1.5 || !(m.Lower.Value < m.Value.Value) || !(m.Upper.Value > m.Value.Value) {
			t.Errorf("%+v, want about %v", m, want) // counts under a half are rounded to none, which narrows the flush by a day
		}
	}
	middle := 130 + 4*(row.ReferenceM.Value-1000)/100
	at(row.Peak, middle)
	at(row.Onset, middle-1.96*7)
	at(row.End, middle+1.96*7)
	if d := row.DaysPer100M; !d.Value.Known || math.Abs(d.Value.Value-4) > 0.5 {
		t.Errorf("%v days per 100 m, want 4", d)
	}
	if row.Peak.Date != column.DateInYear(2031, int(math.Round(row.Peak.Value.Value))) {
		t.Errorf("the peak is dated %s", row.Peak.Date)
	}
	if row.Units.Value != 24 || row.Visits.Value != 144 || row.First.String() != "2031-04-24" || row.Last.String() != "2031-05-31" {
		t.Errorf("what it rests on: %+v", row)
	}
	if row.Lead.Value.Known || !warns(row.Warnings, "no-roadsides") {
		t.Error("a lead from nowhere")
	}
	for _, aspect := range []string{"north", "east", "south", "west"} {
		if n := flushOf(t, r, func(k *FlushKey) { k.Aspect = aspect }).Units.Value; n != 6 {
			t.Errorf("%d units face %s, want 6", n, aspect)
		}
	}
	if n := flushOf(t, r, func(k *FlushKey) { k.Elevation = "800 to 1000" }).Units.Value; n != 10 {
		t.Errorf("%d units lie below 1000 m, want 10", n)
	}
	green := flushOf(t, r, func(k *FlushKey) { k.Stratum = "green" })
	if green.Peak.Value.Known || !warns(green.Warnings, "no-visits") {
		t.Errorf("a stratum without a visit: %+v", green)
	}
	// The visits began when 2.5 % of the flush had come and ended after all of it.
	if row.Seen.Value.Value < 0.97 || row.Seen.Value.Value > 1 {
		t.Errorf("%v of the flush seen", row.Seen.Value)
	}
}

func warns(list []stats.Warning, code string) bool { return strings.Contains(join(list), code+": ") }

// TestSeasonTotal: visits that see half of a flush double what they found.
func TestSeasonTotal(t *testing.T) {
	total := func(r Results, stratum string) SeasonTotalRow {
		for _, row := range r.SeasonTotal {
			if row.Method == PlotMethod && row.Stratum == stratum && row.Year == 2031 {
				return row
			}
		}
		t.Fatalf("no row of %s", stratum)
		return SeasonTotalRow{}
	}
	full := flushWorld(t, 6, survey.New).answer(t)
	row := total(full, "burn")
	density := row.FoundPerHa.Value
	if row.Basis != Observed || row.Value.Value < density || row.Value.Value > density*1.03 {
		t.Errorf("a season seen in full: %+v", row)
	}
	// Visits a week apart see all of a flush whose fruit bodies stand for ten days
	// each, and 10 (1 - exp(-0.7)) / 7 = 72 % where the ten days are a mean.
	if land := total(full, Reached); land.Warnings[0].Code != "rests-on-standing-days" || land.Interval != "imbens-manski" || land.Upper.Value < land.Value.Value*1.35 {
		t.Errorf("visits a week apart: %v to %v, %v", land.Lower, land.Upper, land.Warnings)
	}
	if green := total(full, "green"); green.Value.Known || !warns(green.Warnings, "no-units") {
		t.Errorf("a stratum without units: %+v", green)
	}
	// Every second visit with a window of 7 days sees half.
	w := flushWorld(t, 6, survey.New)
	w.settings.Curve.StandingDays = survey.Range{Low: 7, High: 7}
	w.visits, w.finds = everySecond(w)
	half := w.answer(t)
	got := total(half, "burn")
	if land := total(half, Reached); !warns(land.Warnings, "rests-on-standing-days") {
		t.Errorf("no word of what the total hangs on: %v", land.Warnings)
	}
	if got.Basis != Extrapolated || math.Abs(got.Seen.Value-0.5) > 0.1 || math.Abs(got.Value.Value/row.Value.Value-1) > 0.1 {
		t.Errorf("half of a season: seen %v, total %v against %v", got.Seen, got.Value, row.Value)
	}
	if got.Lower.Value > row.Value.Value || got.Upper.Value < row.Value.Value {
		t.Errorf("the total %v lies outside of %v to %v", row.Value, got.Lower, got.Upper)
	}
	if n := len(half.SeasonUnits); n != 24 {
		t.Fatalf("%d units, want 24", n)
	}
	for _, u := range half.SeasonUnits {
		if !u.Seen.Known || u.Seen.Value <= 0 || u.Seen.Value >= 1 || u.Visits.Value != 3 || !u.Peak.Known() {
			t.Errorf("unit %+v", u)
		}
	}
}

// everySecond keeps the second, fourth and sixth visit of each plot.
func everySecond(w world) ([]survey.Visit, []survey.Find) {
	kept := map[string]bool{}
	var visits []survey.Visit
	n := map[string]int{}
	for _, v := range w.visits {
		if n[v.Unit]++; n[v.Unit]%2 == 0 {
			visits = append(visits, v)
			kept[v.Unit+v.Date.String()] = true
		}
	}
	var finds []survey.Find
	for _, f := range w.finds {
		if kept[f.Unit+f.Date.String()] {
			finds = append(finds, f)
		}
	}
	return visits, finds
}

// TestStandingFlush: where visits record all that stand, the curve is that of
// the counts themselves, and the total is what stands at the peak.
func TestStandingFlush(t *testing.T) {
	r := flushWorld(t, 6, survey.Standing).answer(t)
	row := flushOf(t, r, allUnits)
	if want := 133.5 + 4*(row.ReferenceM.Value-1000)/100; math.Abs(row.Peak.Value.Value-want) > 0.7 {
		t.Errorf("peak %v, want %v", row.Peak.Value, want)
	}
	for _, total := range r.SeasonTotal {
		if total.Method != PlotMethod || total.Stratum != "burn" {
			continue
		}
		// 6 to 10 stand on 100 m2 at the peak: the mean of i%5 over 24 plots is 1.917.
		if total.Figure != PeakFigure || math.Abs(total.Value.Value-791.7) > 40 {
			t.Errorf("the crop at the peak: %+v", total)
		}
	}
}

// TestNoFlush: a survey of one visit has no curve, and says so in each table.
func TestNoFlush(t *testing.T) {
	w := newWorld()
	for i := range 5 {
		w.plot(t, "burn", fmt.Sprint("P", i), "2031-05-11")
	}
	w.find(t, "P0", "2031-05-11", 1, 3, survey.Saprotrophic, "spruce")
	w.find(t, "P3", "2031-05-11", 1, 1, survey.Saprotrophic, "spruce")
	r := w.answer(t)
	if row := flushOf(t, r, allUnits); row.Peak.Value.Known || row.Peak.Date.Known() || !warns(row.Warnings, "few-dates") {
		t.Errorf("a curve from one day: %+v", row)
	}
	if d := row(t, r.Density, fieldwork.Pooled(PlotMethod, Reached)); !hasWarning(d, "one-visit") {
		t.Errorf("a density from one visit does not say so: %v", d.Warnings)
	}
	for _, row := range r.SeasonTotal {
		if row.Value.Known || len(row.Warnings) == 0 {
			t.Errorf("a season from one day: %+v", row)
		}
	}
	for _, row := range r.SeasonUnits {
		if row.Seen.Known || !warns(row.Warnings, "few-dates") {
			t.Errorf("a share of no curve: %+v", row)
		}
	}
	if len(r.Curves) > 0 {
		t.Error("a curve is drawn")
	}
}

// TestTwoYears: each calendar year has a curve of its own.
func TestTwoYears(t *testing.T) {
	w := flushWorld(t, 6, survey.New)
	for _, v := range w.visits[:len(w.visits):len(w.visits)] {
		v.Date = column.DateInYear(2032, v.Date.YearDay()+2)
		w.visits = append(w.visits, v)
	}
	for _, f := range w.finds[:len(w.finds):len(w.finds)] {
		f.Date = column.DateInYear(2032, f.Date.YearDay()+2)
		w.finds = append(w.finds, f)
	}
	r := w.answer(t)
	first, second := flushOf(t, r, allUnits), flushOf(t, r, func(k *FlushKey) { k.Year = 2032 })
	if d := second.Peak.Value.Value - first.Peak.Value.Value; math.Abs(d-2) > 1e-4 {
		t.Errorf("the second year comes %v days later, want 2", d)
	}
	if second.Peak.Date.Year() != 2032 {
		t.Errorf("the second peak is on %s", second.Peak.Date)
	}
}
