package page

import (
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/result"
)

// Rounding happens here and nowhere else: tables of results stay exact, and only
// what is shown is rounded.

const (
	// digits is how many significant digits are shown at most. No survey of this
	// kind knows a density to a fourth.
	digits = 3
	// sure is how many digits of a quarter of an interval's width, about a standard
	// error, are shown, and so to which place the estimate is.
	sure = 2
	// fewest is how many significant digits are shown even of an estimate with a
	// wide interval.
	fewest = 2
	// smallest is the last decimal place that is shown, as a power of ten.
	smallest = -6
	// largest is where a figure goes over to powers of ten.
	largest = 1e12
)

// missing stands for a figure that cannot be had.
const missing = "–"

// exponent is the power of ten of the first digit of v, as v is rounded to n
// digits; v must not be 0.
func exponent(v float64, n int) int {
	text := strconv.FormatFloat(math.Abs(v), 'e', n-1, 64)
	e, _ := strconv.Atoi(text[strings.IndexByte(text, 'e')+1:]) // written by FormatFloat
	return e
}

// place is the power of ten that v is rounded to: by its significant digits, and
// not finer than half the width of its interval supports. half is NaN where
// there is no interval.
func place(v, half float64) int {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	p := exponent(v, digits) - digits + 1
	if half > 0 && !math.IsInf(half, 0) {
		p = max(p, exponent(half/2, sure)-sure+1)
	}
	p = min(p, exponent(v, fewest)-fewest+1)
	return max(p, smallest)
}

// limitPlace is the power of ten that a limit is rounded to, where its estimate is
// rounded to p: a limit has two significant digits at least and three at most.
func limitPlace(v float64, p int) int {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return p
	}
	return max(min(p, exponent(v, fewest)-fewest+1), exponent(v, digits)-digits+1, smallest)
}

// to writes v rounded to a power of ten. An exact 0 is "0"; another number
// keeps its first digit.
func to(v float64, place int) string {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return missing
	case v == 0:
		return "0"
	case v < 0:
		return "-" + to(-v, place)
	case v < math.Pow10(smallest):
		return "below " + strconv.FormatFloat(math.Pow10(smallest), 'f', -smallest, 64)
	case v >= largest:
		return power(v)
	}
	place = min(place, exponent(v, 1))
	if place > 0 {
		rounded := strconv.FormatFloat(v, 'e', max(exponent(v, digits)-place, 0), 64)
		v, _ = strconv.ParseFloat(rounded, 64) // written by FormatFloat
	}
	return grouped(strconv.FormatFloat(v, 'f', max(-place, 0), 64))
}

// power writes a very large number as "1.03e15".
func power(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'e', digits-1, 64), "e+", "e", 1)
}

// grouped divides the digits before the decimal point by threes.
func grouped(number string) string {
	whole, rest, point := strings.Cut(number, ".")
	var b strings.Builder
	for i, digit := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(digit)
	}
	if point {
		b.WriteString("." + rest)
	}
	return b.String()
}

// placeOf is the power of ten that a cell in a unit is rounded to. What is no
// estimate, such as an area, keeps the digits before its decimal point.
func placeOf(c result.Cell, u unit) int {
	if c.Whole && u.size == 1 {
		return 0
	}
	if c.Lower == nil && c.Upper == nil {
		return min(place(c.Number.Value/u.size, math.NaN()), 0)
	}
	v := c.Number
	for _, limit := range []*result.Cell{c.Upper, c.Lower} {
		// With no finds the limit is all there is.
		if limit != nil && (!v.Known || v.Value == 0) {
			v = limit.Number
		}
	}
	return place(v.Value/u.size, c.HalfWidth()/u.size)
}

// count writes a whole number.
func count(n int64) string { return to(float64(n), 0) }

// several writes n things: "1 row", "201 rows".
func several(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return count(n) + " " + many
}
