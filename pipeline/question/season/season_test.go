package season

import (
	"fmt"
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	return questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
}

// flushWorld is a burn whose fruit bodies come up about day 130 at 1000 m, four
// days later for each 100 m up, all of 24 plots visited every seventh day: the
// counts are the expected ones, rounded.
func flushWorld(t *testing.T, visits int, rule string) fieldworktest.World {
	t.Helper()
	w := fieldworktest.New()
	w.Settings.Counting.Rule = rule
	for i := range 24 {
		id, elevation := fmt.Sprintf("P%02d", i), 900+10*float64(i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal,
			Ground: survey.Ground{ElevationM: fieldworktest.Known(elevation), AspectDeg: fieldworktest.Known(float64(i) * 15)}})
		peak := 130 + 4*(elevation-1000)/100
		for v := range visits {
			day := 114 + 7*v + i%3
			w.Visits = append(w.Visits, survey.Visit{Unit: id, Date: column.DateInYear(2031, day), Pass: column.Count(1)})
			z := (float64(day) - 3.5 - peak) / 7
			if n := int64(math.Round(float64(6+i%5) * math.Exp(-z*z/2))); n > 0 {
				w.Find(t, id, column.DateInYear(2031, day).String(), 1, n, survey.Saprotrophic, "spruce")
			}
		}
	}
	return w
}

func flushOf(t *testing.T, r Answer, change func(*Key)) Row {
	t.Helper()
	key := wholeSeason(2031)
	change(&key)
	var found []Row
	for _, row := range r.rows {
		if row.Key == key {
			found = append(found, row)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows of %+v, want 1", len(found), key)
	}
	return found[0]
}

func allUnits(*Key) {}

// TestFlush: the curve of a season as it was made.
func TestFlush(t *testing.T) {
	r := answer(t, flushWorld(t, 6, survey.New))
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
	if row.Lead.Value.Known || !questiontest.Warns(row.Warnings, "no-roadsides") {
		t.Error("a lead from nowhere")
	}
	for _, aspect := range []string{"north", "east", "south", "west"} {
		if n := flushOf(t, r, func(k *Key) { k.Aspect = aspect }).Units.Value; n != 6 {
			t.Errorf("%d units face %s, want 6", n, aspect)
		}
	}
	if n := flushOf(t, r, func(k *Key) { k.Elevation = "800 to 1000" }).Units.Value; n != 10 {
		t.Errorf("%d units lie below 1000 m, want 10", n)
	}
	green := flushOf(t, r, func(k *Key) { k.Stratum = "green" })
	if green.Peak.Value.Known || !questiontest.Warns(green.Warnings, "no-visits") {
		t.Errorf("a stratum without a visit: %+v", green)
	}
	// The visits began when 2.5 % of the flush had come and ended after all of it.
	if row.Seen.Value.Value < 0.97 || row.Seen.Value.Value > 1 {
		t.Errorf("%v of the flush seen", row.Seen.Value)
	}
}

// TestSeasonTotal: visits that see half of a flush double what they found.
func TestSeasonTotal(t *testing.T) {
	total := func(r Answer, stratum string) TotalRow {
		for _, row := range r.totals {
			if row.Method == result.Plot && row.Stratum == stratum && row.Year == 2031 {
				return row
			}
		}
		t.Fatalf("no row of %s", stratum)
		return TotalRow{}
	}
	full := answer(t, flushWorld(t, 6, survey.New))
	row := total(full, "burn")
	density := row.FoundPerHa.Value
	if row.Basis != observed || row.Total.Value.Value < density || row.Total.Value.Value > density*1.03 {
		t.Errorf("a season seen in full: %+v", row)
	}
	// Visits a week apart see all of a flush whose fruit bodies stand for ten days
	// each, and 10 (1 - exp(-0.7)) / 7 = 72 % where the ten days are a mean.
	if land := total(full, result.Reached); land.Warnings[0].Code != "rests-on-standing-days" || land.Total.Interval != "imbens-manski" || land.Total.Upper.Value < land.Total.Value.Value*1.35 {
		t.Errorf("visits a week apart: %v to %v, %v", land.Total.Lower, land.Total.Upper, land.Warnings)
	}
	if green := total(full, "green"); green.Total.Value.Known || !questiontest.Warns(green.Warnings, "no-units") {
		t.Errorf("a stratum without units: %+v", green)
	}
	// Every second visit with a window of 7 days sees half.
	w := flushWorld(t, 6, survey.New)
	w.Settings.Curve.StandingDays = survey.Range{Low: 7, High: 7}
	w.Visits, w.Finds = everySecond(w)
	half := answer(t, w)
	got := total(half, "burn")
	if land := total(half, result.Reached); !questiontest.Warns(land.Warnings, "rests-on-standing-days") {
		t.Errorf("no word of what the total hangs on: %v", land.Warnings)
	}
	if got.Basis != extrapolated || math.Abs(got.Seen.Value-0.5) > 0.1 || math.Abs(got.Total.Value.Value/row.Total.Value.Value-1) > 0.1 {
		t.Errorf("half of a season: seen %v, total %v against %v", got.Seen, got.Total.Value, row.Total.Value)
	}
	if got.Total.Lower.Value > row.Total.Value.Value || got.Total.Upper.Value < row.Total.Value.Value {
		t.Errorf("the total %v lies outside of %v to %v", row.Total.Value, got.Total.Lower, got.Total.Upper)
	}
	if n := len(half.units); n != 24 {
		t.Fatalf("%d units, want 24", n)
	}
	for _, u := range half.units {
		if !u.Seen.Known || u.Seen.Value <= 0 || u.Seen.Value >= 1 || u.Visits.Value != 3 || !u.Peak.Known() {
			t.Errorf("unit %+v", u)
		}
	}
}

// everySecond keeps the second, fourth and sixth visit of each plot.
func everySecond(w fieldworktest.World) ([]survey.Visit, []survey.Find) {
	kept := map[string]bool{}
	var visits []survey.Visit
	n := map[string]int{}
	for _, v := range w.Visits {
		if n[v.Unit]++; n[v.Unit]%2 == 0 {
			visits = append(visits, v)
			kept[v.Unit+v.Date.String()] = true
		}
	}
	var finds []survey.Find
	for _, f := range w.Finds {
		if kept[f.Unit+f.Date.String()] {
			finds = append(finds, f)
		}
	}
	return visits, finds
}

// TestStandingFlush: where visits record all that stand, the curve is that of
// the counts themselves, and the total is what stands at the peak.
func TestStandingFlush(t *testing.T) {
	r := answer(t, flushWorld(t, 6, survey.Standing))
	row := flushOf(t, r, allUnits)
	if want := 133.5 + 4*(row.ReferenceM.Value-1000)/100; math.Abs(row.Peak.Value.Value-want) > 0.7 {
		t.Errorf("peak %v, want %v", row.Peak.Value, want)
	}
	for _, total := range r.totals {
		if total.Method != result.Plot || total.Stratum != "burn" {
			continue
		}
		// 6 to 10 stand on 100 m2 at the peak: the mean of i%5 over 24 plots is 1.917.
		if total.Figure != peakFigure || math.Abs(total.Total.Value.Value-791.7) > 40 {
			t.Errorf("the crop at the peak: %+v", total)
		}
	}
}

// TestNoFlush: a survey of one visit has no curve, and says so in each table.
func TestNoFlush(t *testing.T) {
	w := fieldworktest.New()
	for i := range 5 {
		w.Plot(t, "burn", fmt.Sprint("P", i), "2031-05-11")
	}
	w.Find(t, "P0", "2031-05-11", 1, 3, survey.Saprotrophic, "spruce")
	w.Find(t, "P3", "2031-05-11", 1, 1, survey.Saprotrophic, "spruce")
	r := answer(t, w)
	if row := flushOf(t, r, allUnits); row.Peak.Value.Known || row.Peak.Date.Known() || !questiontest.Warns(row.Warnings, "few-dates") {
		t.Errorf("a curve from one day: %+v", row)
	}
	for _, row := range r.totals {
		if row.Total.Value.Known || len(row.Warnings) == 0 {
			t.Errorf("a season from one day: %+v", row)
		}
	}
	for _, row := range r.units {
		if row.Seen.Known || !questiontest.Warns(row.Warnings, "few-dates") {
			t.Errorf("a share of no curve: %+v", row)
		}
	}
	if len(r.curves) > 0 {
		t.Error("a curve is drawn")
	}
}

// TestTwoYears: each calendar year has a curve of its own.
func TestTwoYears(t *testing.T) {
	w := flushWorld(t, 6, survey.New)
	for _, v := range w.Visits[:len(w.Visits):len(w.Visits)] {
		v.Date = column.DateInYear(2032, v.Date.YearDay()+2)
		w.Visits = append(w.Visits, v)
	}
	for _, f := range w.Finds[:len(w.Finds):len(w.Finds)] {
		f.Date = column.DateInYear(2032, f.Date.YearDay()+2)
		w.Finds = append(w.Finds, f)
	}
	r := answer(t, w)
	first, second := flushOf(t, r, allUnits), flushOf(t, r, func(k *Key) { k.Year = 2032 })
	if d := second.Peak.Value.Value - first.Peak.Value.Value; math.Abs(d-2) > 1e-4 {
		t.Errorf("the second year comes %v days later, want 2", d)
	}
	if second.Peak.Date.Year() != 2032 {
		t.Errorf("the second peak is on %s", second.Peak.Date)
	}
}
