package demo_test

import (
	"bytes"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/demo"
	"ashtally/stats/statstest"
)

// scaled returns the files of a scaled survey by name.
func scaled(t testing.TB, size demo.Size, seed uint64) map[string]*bytes.Buffer {
	t.Helper()
	files := map[string]*bytes.Buffer{}
	err := demo.Scaled(size, seed, func(name string) (io.Writer, error) {
		files[name] = &bytes.Buffer{}
		return files[name], nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func lines(b *bytes.Buffer) int { return bytes.Count(b.Bytes(), []byte("\n")) }

func TestScaledHasTheSizeAskedFor(t *testing.T) {
	sizes := []demo.Size{{Plots: 1_000, Finds: 100_000}, {Plots: 12_000, Finds: 100_000}, {Plots: 30_000, Finds: 100_000}}
	for _, size := range sizes[:statstest.Times(1, len(sizes))] {
		files := scaled(t, size, 1)
		if got := lines(files["plots.csv"]) - 1; got != size.Plots {
			t.Errorf("%+v: %d plots", size, got)
		}
		got := float64(lines(files["finds.csv"]) - 1)
		if math.Abs(got/float64(size.Finds)-1) > 0.01 {
			t.Errorf("%+v: %g finds", size, got)
		}
	}
}

func TestScaledIsTheSameEachTime(t *testing.T) {
	size := demo.Size{Plots: 300, Finds: 2_000}
	first, again, other := scaled(t, size, 1), scaled(t, size, 1), scaled(t, size, 2)
	for name, b := range first {
		if !bytes.Equal(b.Bytes(), again[name].Bytes()) {
			t.Errorf("%s differs from one call to the next", name)
		}
	}
	if bytes.Equal(first["finds.csv"].Bytes(), other["finds.csv"].Bytes()) {
		t.Error("another seed gave the same finds")
	}
	if !strings.Contains(first["survey.toml"].String(), "invented") {
		t.Error("survey.toml does not say that the survey is invented")
	}
}

func TestScaledFindsHaveTheirVisits(t *testing.T) {
	files := scaled(t, demo.Size{Plots: 500, Finds: 3_000}, 1)
	visits := map[[3]string]bool{}
	for _, v := range parse(t, files["visits.csv"].Bytes()) {
		visits[[3]string{v["unit"], v["date"], v["pass"]}] = true
	}
	for _, f := range parse(t, files["finds.csv"].Bytes()) {
		if !visits[[3]string{f["unit"], f["date"], f["pass"]}] {
			t.Fatalf("find %v has no visit", f)
		}
	}
}

func TestScaledReportsErrors(t *testing.T) {
	full := errors.New("disk full")
	size := demo.Size{Plots: 300, Finds: 2_000}
	for _, name := range []string{"survey.toml", "strata.csv", "finds.csv", "reference_points.csv"} {
		err := demo.Scaled(size, 1, func(opened string) (io.Writer, error) {
			if opened == name {
				return nil, full
			}
			return io.Discard, nil
		})
		if !errors.Is(err, full) {
			t.Errorf("opening %s failed, but Scaled returned %v", name, err)
		}
		err = demo.Scaled(size, 1, func(opened string) (io.Writer, error) {
			if opened == name {
				return refusing{full}, nil
			}
			return io.Discard, nil
		})
		if !errors.Is(err, full) {
			t.Errorf("writing %s failed, but Scaled returned %v", name, err)
		}
	}
	if err := demo.Scaled(demo.Size{Plots: 0, Finds: 5}, 1, nil); err == nil {
		t.Error("no error for a survey without plots")
	}
	if err := demo.Scaled(demo.Size{Plots: 5, Finds: 0}, 1, nil); err == nil {
		t.Error("no error for a survey without finds")
	}
}

type refusing struct{ err error }

func (r refusing) Write([]byte) (int, error) { return 0, r.err }

func BenchmarkScaled(b *testing.B) {
	for b.Loop() {
		err := demo.Scaled(demo.Size{Plots: 12_000, Finds: 100_000}, 1, func(string) (io.Writer, error) { return io.Discard, nil })
		if err != nil {
			b.Fatal(err)
		}
	}
}
