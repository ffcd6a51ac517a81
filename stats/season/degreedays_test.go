package season

import (
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

// steady is a station that reads the same every day of some spans.
func steady(temperature float64, spans ...Stretch) Record {
	var list []Reading
	for _, s := range spans {
		for day := s.First; day <= s.Last; day++ {
			list = append(list, Reading{day, temperature})
		}
	}
	return NewRecord(list)
}

// TestDegreeDays: by hand, over a base of 5.
func TestDegreeDays(t *testing.T) {
	r := NewRecord([]Reading{{103, 9}, {100, 4}, {101, 7}, {101, 9}, {106, 15}})
	w := r.DegreeDays(100, 5)
	// Day 100: 0. 101: mean 8, 3. 102: between 8 and 9, 3.5. 103: 4. 104 and 105:
	// 11 and 13, 6 and 8. 106: 10.
	for day, want := range map[float64]float64{99: 0, 100: 0, 101: 3, 102: 6.5, 103: 10.5, 104: 16.5, 105: 24.5, 106: 34.5, 105.5: 29.5, 90: 0, 200: 34.5} {
		statstest.Near(t, "degree days", w.At(day), want, 1e-12)
	}
	if !w.Covers(99, 106) || w.Covers(98, 106) || w.Covers(99, 107) {
		t.Error("the sum does not know its ends")
	}
	if w.Filled(106) != 3 || w.Filled(103) != 1 || w.Filled(101) != 0 {
		t.Errorf("%d days filled in up to 106, %d up to 103", w.Filled(106), w.Filled(103))
	}
	// From day 103 on the sum is without what came before.
	statstest.Near(t, "degree days from 103", r.DegreeDays(103, 5).At(106), 34.5-6.5, 1e-12)
	if r.DegreeDays(99, 5) != nil || r.DegreeDays(107, 5) != nil || NewRecord(nil).DegreeDays(1, 0) != nil {
		t.Error("a sum from a day without a temperature")
	}
}

// TestGap: three days are filled in, four are not, and part the record.
func TestGap(t *testing.T) {
	if got := NewRecord([]Reading{{100, 4}, {104, 4}}).Stretches(); !slices.Equal(got, []Stretch{{100, 104}}) {
		t.Errorf("three days were not filled in: %v", got)
	}
	r := NewRecord([]Reading{{100, 4}, {101, 4}, {106, 6}})
	if got := r.Stretches(); !slices.Equal(got, []Stretch{{100, 101}, {106, 106}}) {
		t.Errorf("four days were filled in: %v", got)
	}
	if w := r.DegreeDays(100, 0); w.Last != 101 || w.At(106) != 8 {
		t.Errorf("a sum across a gap: to day %d, %v degree days", w.Last, w.At(106))
	}
}

// TestCommonStart: sums begin on the day that leaves degree days to most
// visits.
func TestCommonStart(t *testing.T) {
	long, late := steady(4, Stretch{60, 200}), steady(4, Stretch{140, 200})
	at := func(record int, days ...float64) []Window {
		var list []Window
		for _, d := range days {
			list = append(list, Window{record, d - 10, d})
		}
		return list
	}
	check := func(name string, records []Record, windows []Window, day, covered int) {
		t.Helper()
		if d, n := CommonStart(records, windows); d != day || n != covered {
			t.Errorf("%s: sums from day %d reach %d visits, want %d and %d", name, d, n, day, covered)
		}
	}
	check("a late station that no visit uses", []Record{long, late}, at(0, 100, 110, 120), 60, 3)
	check("a late station that one visit uses", []Record{long, late}, slices.Concat(at(0, 100, 110, 120), at(1, 160)), 60, 3)
	check("a late station that all visits are after", []Record{long, late}, slices.Concat(at(0, 155, 160), at(1, 160)), 140, 3)
	check("a gap after all visits", []Record{steady(4, Stretch{60, 130}, Stretch{140, 200})}, at(0, 100, 110, 120), 60, 3)
	check("a gap before all visits", []Record{steady(4, Stretch{60, 70}, Stretch{80, 200})}, at(0, 100, 110, 120), 80, 3)
	check("a gap with one visit before", []Record{steady(4, Stretch{60, 105}, Stretch{112, 200})}, at(0, 100, 130, 140), 112, 2)
	check("no record", nil, at(-1, 100), 0, 0)
}

// TestJoin: a station that is ten degrees warmer and begins late does not move
// the mean, whether it is left out or its difference is.
func TestJoin(t *testing.T) {
	var windows []Window
	for day := 90.0; day <= 180; day += 10 {
		windows = append(windows, Window{From: day - 10, To: day})
	}
	long, warm := steady(4, Stretch{60, 200}), steady(14, Stretch{120, 200})
	j := Join([]Record{long, warm}, windows)
	if !slices.Equal(j.Mean, []int{0}) || len(j.Borrowed) != 0 || j.at(150) != 4 {
		t.Errorf("a late station enters: %v, %v, %v degrees", j.Mean, j.Borrowed, j.at(150))
	}
	if j := Join([]Record{long, steady(14, Stretch{70, 200})}, windows); !slices.Equal(j.Mean, []int{0, 1}) || j.Has(69) || j.at(70) != 9 || j.at(200) != 9 {
		t.Errorf("the mean of two that both reach every visit: %v, %v degrees on day 70", j.Mean, j.at(70))
	}
	// The long one breaks off and the warm one goes on: 60 days that both have
	// tell the ten degrees.
	j = Join([]Record{warm, steady(4, Stretch{60, 160})}, windows)
	if len(j.Borrowed) != 1 || j.Borrowed[0] != (Borrow{Station: 0, Days: 20, Difference: 10, Common: 41}) || j.at(170) != 4 || j.Has(181) {
		t.Errorf("borrowed %v, %v degrees on day 170", j.Borrowed, j.at(170))
	}
	// Of 13 days in common no difference is taken.
	j = Join([]Record{warm, steady(4, Stretch{60, 132})}, windows)
	if len(j.Borrowed) != 0 || !slices.Equal(j.Mean, []int{0}) {
		t.Errorf("a difference over 13 days: %v of %v", j.Borrowed, j.Mean)
	}
	// Two that each reach as many visits, but none together, have no mean.
	j = Join([]Record{steady(4, Stretch{60, 120}), steady(14, Stretch{140, 190})}, windows)
	if !slices.Equal(j.Mean, []int{0}) || j.at(100) != 4 {
		t.Errorf("a mean of records without a common day: %v, %v", j.Mean, j.at(100))
	}
}
