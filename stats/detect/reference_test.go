package detect

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// tester is what testing.TB and rapid.T have in common.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
	Fatal(args ...any)
}

// readReference reads a table of testdata/reference, the header left out.
func readReference(t tester, name string) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t tester, s string) float64 {
	t.Helper()
	s = strings.TrimSpace(s)
	if s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// stakes are 68 distances to wooden stakes in sagebrush (Burnham, Anderson &
// Laake 1980, Wildlife Monographs 72; from memory, see testdata/reference/detect.R).
func stakes(t tester) []float64 {
	var x []float64
	for _, row := range readReference(t, "detect_stakes.csv") {
		x = append(x, number(t, row[0]))
	}
	return x
}

// invented are the distances of detect_sim.csv with their covariates.
func invented(t tester) Data {
	d := Data{Covariates: []Covariate{{Name: "observer"}, {Name: "cover"}}}
	for _, row := range readReference(t, "detect_sim.csv") {
		d.Distance = append(d.Distance, number(t, row[0]))
		d.Covariates[0].Level = append(d.Covariates[0].Level, row[1])
		d.Covariates[1].Value = append(d.Covariates[1].Value, number(t, row[2])/100)
	}
	return d
}

func mustNew(t tester, d Data) *Sample {
	t.Helper()
	s, err := New(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustFit(t tester, s *Sample, m Model) *Fit {
	t.Helper()
	f, err := s.Fit(m, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func near(t tester, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

func codes(f *Fit) string {
	var list []string
	for _, w := range f.Warnings {
		list = append(list, w.Code)
	}
	return strings.Join(list, " ")
}

// printed are the coefficients c_j of the form of a series that is often
// printed; see Model.
func printed(f *Fit) []float64 {
	at := f.likelihood.size() - len(f.likelihood.orders)
	below := 1.0
	for j, a := range f.peak.X[at:] {
		below -= a * f.likelihood.onLine[j]
	}
	var c []float64
	for _, a := range f.peak.X[at:] {
		c = append(c, a/below)
	}
	return c
}

func newRand(i uint64) *rand.Rand { return rand.New(rand.NewPCG(2031, i)) }
