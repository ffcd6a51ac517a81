package column

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"time"
)

// Float is a number that may not have been recorded. The zero value is
// "not recorded".
type Float struct {
	Value float64
	Known bool
}

// Int is a whole number that may not have been recorded.
type Int struct {
	Value int64
	Known bool
}

// Bool is a yes or no that may not have been recorded.
type Bool struct {
	Value bool
	Known bool
}

// Compare orders numbers by their size; those that were not recorded come first.
func (f Float) Compare(o Float) int {
	return cmp.Or(CompareTruths(f.Known, o.Known), cmp.Compare(f.Value, o.Value))
}

// Compare orders what was not recorded before false, and false before true.
func (b Bool) Compare(o Bool) int {
	return cmp.Or(CompareTruths(b.Known, o.Known), CompareTruths(b.Value, o.Value))
}

// CompareTruths orders false before true.
func CompareTruths(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// Or returns the number, or the given one where none was recorded.
func (f Float) Or(unrecorded float64) float64 {
	if f.Known {
		return f.Value
	}
	return unrecorded
}

// Or returns the whole number, or the given one where none was recorded.
func (i Int) Or(unrecorded int64) int64 {
	if i.Known {
		return i.Value
	}
	return unrecorded
}

// Finite returns v as a recorded number, or "not recorded" where v is NaN or
// infinite: a figure that cannot be had is empty in every table.
func Finite(v float64) Float {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Float{}
	}
	return Float{Value: v, Known: true}
}

// Count returns n as a recorded whole number.
func Count(n int) Int { return Int{Value: int64(n), Known: true} }

// Date is a calendar day, counted from 1 January 1970 as Arrow's date32 does.
// It has no time of day and no time zone. The zero value means no date.
type Date struct {
	days  int32
	known bool
}

// ErrDate is returned for a text that is not a calendar day in ISO 8601 form.
var ErrDate = errors.New("not a date of the form YYYY-MM-DD")

// ParseDate reads a date of the form 2031-05-17 and nothing else: no other
// order, no missing zeros, no time of day, no day that the calendar lacks.
func ParseDate(s string) (Date, error) {
	if len(s) != len(time.DateOnly) {
		return Date{}, ErrDate
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("%w: %w", ErrDate, err)
	}
	return DateOf(t), nil
}

// DateOf returns the calendar day of t in t's own time zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return DateFromDays(int32(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400))
}

// DateFromDays returns the day that lies the given number of days after
// 1 January 1970.
func DateFromDays(days int32) Date { return Date{days: days, known: true} }

// Days returns the days since 1 January 1970; the date must be known.
func (d Date) Days() int32 { return d.days }

// Known reports whether there is a date.
func (d Date) Known() bool { return d.known }

// Time returns midnight UTC at the start of the day; the date must be known.
func (d Date) Time() time.Time { return time.Unix(int64(d.Days())*86400, 0).UTC() }

// Year returns the calendar year; the date must be known.
func (d Date) Year() int { return d.Time().Year() }

// Compare returns -1, 0 or 1 as d lies before, on or after e; both must be known.
func (d Date) Compare(e Date) int { return cmp.Compare(d.days, e.days) }

// String returns the date as 2031-05-17, or "" where there is none.
func (d Date) String() string {
	if !d.Known() {
		return ""
	}
	return d.Time().Format(time.DateOnly)
}

// MarshalText writes the date as String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads a date as ParseDate does; empty text is no date.
func (d *Date) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = Date{}
		return nil
	}
	var err error
	*d, err = ParseDate(string(text))
	return err
}

// YearDay returns the day of the year, 1 on 1 January; the date must be known.
func (d Date) YearDay() int { return d.Time().YearDay() }

// DateInYear returns the day of a calendar year, 1 being 1 January; days before
// and after lie in the years around it.
func DateInYear(year, day int) Date {
	return DateOf(time.Date(year, time.January, day, 0, 0, 0, 0, time.UTC))
}

// UnlessRounding is v, and 0 where v is so small beside the terms of its sum that
// it is but the rounding of a sum that is 0: its digits are those of the processor.
func UnlessRounding(v, terms float64) float64 {
	const rounding = 1e-12
	if math.Abs(v) < rounding*math.Abs(terms) {
		return 0
	}
	return v
}
