package plots

import (
	"flag"
	"math"
	"testing"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the figures of testdata anew")

var nan = math.NaN()

// A sample is a figure that the tests of goldens, layout and form run over.
type sample struct {
	name   string
	figure func() (Figure, error)
}

// figureOf makes the figure of a sample.
func figureOf(t *testing.T, s sample) Figure {
	t.Helper()
	f, err := s.figure()
	if err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	return f
}

// anyNumber draws a number as a caller could have it, or a special one.
func anyNumber(t *rapid.T, label string, special ...float64) float64 {
	usual := rapid.Custom(func(t *rapid.T) float64 { return math.Pow(10, rapid.Float64Range(-2, 5).Draw(t, "power")) })
	return rapid.OneOf(usual, usual, rapid.SampledFrom(special)).Draw(t, label)
}
