package statstest

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// Near fails unless got is within tolerance of want. NaN is near nothing.
func Near(t TB, what string, got, want, tolerance float64) {
	t.Helper()
	if got != want && !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// Relative is Near in digits: 1e-8 is eight of them.
func Relative(t TB, what string, got, want, digits float64) {
	t.Helper()
	Near(t, what, got, want, digits*math.Abs(want))
}

// Close is Near with the tolerance in digits where the figure is over 1: for
// figures that may be 0 and may be large.
func Close(t TB, what string, got, want, tolerance float64) {
	t.Helper()
	Near(t, what, got, want, tolerance*math.Max(1, math.Abs(want)))
}

// Panics fails for each misuse, by name, that does not panic.
func Panics(t *testing.T, misuses map[string]func()) {
	t.Helper()
	for name, misuse := range misuses {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			misuse()
		})
	}
}

// Row is a row of a reference table by its column names.
type Row map[string]string

// Table reads a CSV table with a header, as R writes it.
func Table(t *testing.T, path string) []Row {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := make([]Row, len(lines)-1)
	for i, line := range lines[1:] {
		rows[i] = Row{}
		for j, name := range lines[0] {
			rows[i][name] = strings.TrimSpace(line[j])
		}
	}
	return rows
}

// Number is the number in a column.
func (r Row) Number(t *testing.T, column string) float64 {
	t.Helper()
	return parse(t, r[column])
}

// Numbers are the numbers in a column, a blank between them.
func (r Row) Numbers(t *testing.T, column string) []float64 {
	t.Helper()
	var all []float64
	for _, field := range strings.Fields(r[column]) {
		all = append(all, parse(t, field))
	}
	return all
}

func parse(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
