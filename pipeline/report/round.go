package report

import (
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
)

// Rounding happens here and nowhere else: the results stay exact, and only
// what is printed is rounded.

const (
	// significant digits of an estimate and its limits. No survey of this kind
	// knows a density to a fourth.
	significant = 3
	// mostDecimals keeps a figure near 0 from filling a column; what is smaller
	// is written as below that.
	mostDecimals = 6
	// largest is where a figure goes over to powers of ten.
	largest = 1e9

	none      = "–" // a figure that cannot be had
	minus     = "−"
	noBreak   = "\u00a0"
	thousands = ","
)

// decimals returns how many decimals show v with the significant digits; 0
// from a hundred on.
func decimals(v float64) int {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	text := strconv.FormatFloat(math.Abs(v), 'e', significant-1, 64)
	exponent, _ := strconv.Atoi(text[strings.IndexByte(text, 'e')+1:]) // written by FormatFloat
	return min(max(significant-1-exponent, 0), mostDecimals)
}

// fixed writes v with the given decimals. Without decimals it keeps to the
// significant digits, so that 16,827 is written as 16,800. An exact 0 is "0".
func fixed(v float64, decimals int) string {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return none
	case v == 0:
		return "0"
	case v < 0:
		return minus + fixed(-v, decimals)
	case v < math.Pow10(-mostDecimals):
		return "below" + noBreak + strconv.FormatFloat(math.Pow10(-mostDecimals), 'f', mostDecimals, 64)
	case v >= largest:
		return power(v)
	}
	if decimals == 0 {
		v = toSignificant(v)
	}
	return grouped(strconv.FormatFloat(v, 'f', decimals, 64))
}

// power writes a very large figure as "1.03 × 10¹²".
func power(v float64) string {
	digits := []rune("⁰¹²³⁴⁵⁶⁷⁸⁹")
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', significant-1, 64), "e+")
	raised := strings.Map(func(r rune) rune { return digits[r-'0'] }, strings.TrimLeft(exponent, "0"))
	return mantissa + noBreak + "×" + noBreak + "10" + raised
}

func toSignificant(v float64) float64 {
	if math.Abs(v) < math.Pow10(significant-1) {
		return v
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', significant-1, 64), 64) // written by FormatFloat
	return rounded
}

// grouped divides the digits before the decimal point by threes.
func grouped(number string) string {
	whole, rest, point := strings.Cut(number, ".")
	var b strings.Builder
	for i, digit := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteString(thousands)
		}
		b.WriteRune(digit)
	}
	if point {
		b.WriteString("." + rest)
	}
	return b.String()
}

// number writes one figure that stands alone.
func number(f column.Float) string {
	if !f.Known {
		return none
	}
	return fixed(f.Value, decimals(f.Value))
}

// count writes a whole number.
func count(n int64) string {
	if n < 0 {
		return minus + grouped(strconv.FormatUint(uint64(-n), 10))
	}
	return grouped(strconv.FormatInt(n, 10))
}

// whole writes a count that may be unknown.
func whole(n column.Int) string {
	if !n.Known {
		return none
	}
	return count(n.Value)
}

// triple is an estimate with its limits as printed, all with the decimals of
// the first.
type triple struct{ value, lower, upper string }

// round divides an estimate by the size of the unit it is shown in.
func round(e analyze.Estimate, size float64) triple {
	lead := e.Value
	if !lead.Known || lead.Value == 0 {
		lead = e.Upper // with no finds the limit is all there is
	}
	if !lead.Known {
		lead = e.Lower
	}
	d := decimals(lead.Value / size)
	write := func(f column.Float) string {
		if !f.Known {
			return none
		}
		return fixed(f.Value/size, d)
	}
	return triple{value: write(e.Value), lower: write(e.Lower), upper: write(e.Upper)}
}

// interval writes the limits of a triple as one text, none where both are.
func (t triple) interval() string {
	switch {
	case t.lower == none && t.upper == none:
		return none
	case t.lower == none:
		return "up to " + t.upper
	case t.upper == none:
		return "from " + t.lower + " up"
	}
	return t.lower + " to " + t.upper
}

// onePercent is the size of a percent, as the unit of a share.
const onePercent = 0.01

// percent writes a share given in percent: to a tenth, and to two digits where
// a tenth would show none.
func percent(v float64) string {
	d := min(decimals(v), 1)
	if v < 1 {
		d = max(decimals(v)-1, 1)
	}
	return fixed(v, d) + noBreak + "%"
}

// level writes a nominal confidence without the noise of binary fractions.
func level(confidence float64) string {
	v := math.Round(confidence*1e8) / 1e6
	return strconv.FormatFloat(v, 'f', -1, 64) + noBreak + "%"
}

// chance writes a p-value. Below a thousandth its digits mean nothing.
func chance(p column.Float) string {
	switch {
	case !p.Known:
		return none
	case p.Value < 0.001:
		return "<" + noBreak + "0.001"
	case p.Value < 0.1:
		return strconv.FormatFloat(p.Value, 'f', 3, 64)
	}
	return strconv.FormatFloat(p.Value, 'f', 2, 64)
}
