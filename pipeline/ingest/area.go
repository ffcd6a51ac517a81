package ingest

import (
	"math"
	"strconv"
)

// toDigits shortens a figure to so many significant digits, for a message.
func toDigits(v float64, digits int) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return short
}

// round shortens an area in hectares to the square metre, for a message.
func round(ha float64) float64 { return math.Round(ha*1e4) / 1e4 }
