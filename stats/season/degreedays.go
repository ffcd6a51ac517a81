package season

import "math"

// Warmth is the degree days of a place in one year, summed from one day on to
// the end of the stretch of readings that holds it.
type Warmth struct {
	First, Last int       // days of the year, both within the sum
	sum         []float64 // at the end of each day from First on
	filled      []bool    // days that were not read
}

// DegreeDays sums how far the mean of each day lies above a base,
//
//	sum over days of max(0, temperature - base)
//
// from a day on, up to the end of the stretch that holds it: what comes after a
// gap that cannot be filled in has no sum. Nil where the day itself has no
// temperature.
func (r Record) DegreeDays(from int, base float64) *Warmth {
	if !r.Has(from) {
		return nil
	}
	w := &Warmth{First: from, Last: from - 1}
	var sum float64
	for day := from; r.Has(day); day++ {
		sum += max(0, r.at(day)-base)
		w.sum, w.filled = append(w.sum, sum), append(w.filled, r.filled[day-r.first])
		w.Last = day
	}
	return w
}

// Covers reports whether the sum spans the days from one to another.
func (w *Warmth) Covers(from, to float64) bool {
	return from >= float64(w.First-1) && to <= float64(w.Last)
}

// Filled counts the days up to a time that were not read but filled in.
func (w *Warmth) Filled(to float64) int {
	n := 0
	for i, filled := range w.filled {
		if filled && float64(w.First+i-1) < to {
			n++
		}
	}
	return n
}

// At is the degree days up to a time of the year, even within a day; times
// outside of the sum have that of its near end.
func (w *Warmth) At(day float64) float64 {
	at := day - float64(w.First-1)
	switch {
	case at <= 0:
		return 0
	case at >= float64(len(w.sum)):
		return w.sum[len(w.sum)-1]
	}
	whole := int(math.Floor(at))
	before := 0.0
	if whole > 0 {
		before = w.sum[whole-1]
	}
	return before + (at-float64(whole))*(w.sum[whole]-before)
}

// Window is the time that a visit looks back on and the record that it needs:
// it has degree days where the record has no gap from the first day of the sum
// to its own last.
type Window struct {
	Record   int // which of the records; negative for none
	From, To float64
}

// CommonStart returns the day from which to sum the degree days of several
// records, so that all sums begin together, and how many windows then have
// them. It is the day on which most do, the earliest of equals. Without records
// none has.
func CommonStart(records []Record, windows []Window) (day, covered int) {
	covered = -1
	for _, r := range records {
		for _, s := range r.Stretches() {
			n := count(records, windows, s.First)
			if n > covered || n == covered && s.First < day {
				day, covered = s.First, n
			}
		}
	}
	return day, max(covered, 0)
}

// count is the windows that have degree days when sums begin on a day.
func count(records []Record, windows []Window, day int) int {
	last := make([]int, len(records))
	for i, r := range records {
		last[i] = r.stretchEnd(day)
	}
	n := 0
	for _, w := range windows {
		if w.Record >= 0 && w.From >= float64(day-1) && w.To <= float64(last[w.Record]) {
			n++
		}
	}
	return n
}
