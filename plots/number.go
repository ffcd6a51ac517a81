package plots

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// number writes v with three significant digits from 1 to 100, whole above,
// and below 1 with two decimals or two significant digits.
func number(v float64) string {
	size := math.Abs(v)
	switch {
	case v == 0:
		return "0"
	case size >= 1e9 || size < 1e-3:
		return minus(strconv.FormatFloat(v, 'e', 1, 64))
	}
	// 99.96 is 100, not 100.0: count the digits after rounding.
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(size, 'g', 3, 64), 64)
	magnitude := int(math.Floor(math.Log10(rounded)))
	if magnitude < 0 {
		return fixed(v, max(1-magnitude, 2))
	}
	return fixed(v, max(2-magnitude, 0))
}

// count writes a whole number.
func count(n int) string { return fixed(float64(n), 0) }

// fixed writes v with so many decimals and a comma between thousands.
func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, fraction, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if decimals > 0 {
		whole += "." + fraction
	}
	if v < 0 && strings.Trim(s, "0.") != "" {
		whole = "−" + whole
	}
	return whole
}

// minus puts the sign of that name for the hyphen that programs write.
func minus(s string) string { return strings.ReplaceAll(s, "-", "−") }

// percent writes a share, 0.95 as 95 %, its sign held to the number.
func percent(share float64) string {
	return strconv.FormatFloat(share*100, 'g', 4, 64) + "\u00a0%"
}

// plural writes n things.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return count(n) + " " + thing + "s"
}

// capital makes the first letter a capital one.
func capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}

// checkConfidence refuses what is no level of confidence.
func checkConfidence(c float64) error {
	if c > 0 && c < 1 {
		return nil
	}
	return fmt.Errorf("plots: confidence %v is not between 0 and 1", c)
}
