package statstest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
)

// recorder counts what a check complains of.
type recorder struct{ complaints []string }

func (r *recorder) Helper() {}
func (r *recorder) Errorf(format string, args ...any) {
	r.complaints = append(r.complaints, fmt.Sprintf(format, args...))
}

func good() stats.Estimate {
	return stats.Estimate{Value: 10, SE: 2, N: 5, Interval: stats.Interval{Lower: 6, Upper: 15, Confidence: 0.95, DF: 4, Method: "t"}}
}

// TestWellFormedComplains: a check that cannot fail is none.
func TestWellFormedComplains(t *testing.T) {
	reason := []stats.Warning{{Code: "x", Text: "x"}}
	for name, c := range map[string]struct {
		change func(e *stats.Estimate)
		bad    bool
	}{
		"good":                     {func(e *stats.Estimate) {}, false},
		"missing, with a reason":   {func(e *stats.Estimate) { *e = stats.Missing(0.95, 0, reason[0]) }, false},
		"value outside":            {func(e *stats.Estimate) { e.Value = 16 }, true},
		"negative limit":           {func(e *stats.Estimate) { e.Lower = -1 }, true},
		"infinite limit":           {func(e *stats.Estimate) { e.Upper = math.Inf(1) }, true},
		"upper limit alone":        {func(e *stats.Estimate) { e.Lower = math.NaN(); e.Warnings = reason }, true},
		"lower limit alone":        {func(e *stats.Estimate) { e.Upper = math.NaN(); e.Warnings = reason }, false},
		"no width, no word":        {func(e *stats.Estimate) { e.Lower, e.Upper = 10, 10 }, true},
		"no SE, no word":           {func(e *stats.Estimate) { e.SE = math.NaN() }, true},
		"no SE, with a reason":     {func(e *stats.Estimate) { e.SE = math.NaN(); e.Warnings = reason }, false},
		"limits without a method":  {func(e *stats.Estimate) { e.Method = "none" }, true},
		"method without any limit": {func(e *stats.Estimate) { e.Lower, e.Upper, e.Warnings = math.NaN(), math.NaN(), reason }, true},
	} {
		t.Run(name, func(t *testing.T) {
			e := good()
			c.change(&e)
			r := new(recorder)
			WellFormed(r, e)
			if (len(r.complaints) > 0) != c.bad {
				t.Errorf("complaints %q", r.complaints)
			}
		})
	}
}

func TestSameAndScaledComplain(t *testing.T) {
	near := good()
	near.Upper = math.Nextafter(15, 16)
	twice := stats.Estimate{Value: 20, SE: 4, Interval: stats.Interval{Lower: 12, Upper: 30}}
	warned := good()
	warned.Warnings = []stats.Warning{{Code: "x", Text: "x"}}
	for name, c := range map[string]struct {
		check func(r *recorder)
		bad   bool
	}{
		"same":                   {func(r *recorder) { Same(r, "", good(), good()) }, false},
		"last bit":               {func(r *recorder) { Same(r, "", near, good()) }, true},
		"another warning":        {func(r *recorder) { Same(r, "", warned, good()) }, true},
		"scaled":                 {func(r *recorder) { Scaled(r, "", twice, good(), 2, 0) }, false},
		"scaled by another":      {func(r *recorder) { Scaled(r, "", twice, good(), 2.1, 1e-3) }, true},
		"within the tolerance":   {func(r *recorder) { Scaled(r, "", near, good(), 1, 1e-12) }, false},
		"missing is like itself": {func(r *recorder) { m := stats.Missing(0.9, 1, stats.Warning{}); Same(r, "", m, m) }, false},
	} {
		t.Run(name, func(t *testing.T) {
			r := new(recorder)
			c.check(r)
			if (len(r.complaints) > 0) != c.bad {
				t.Errorf("complaints %q", r.complaints)
			}
		})
	}
}

// TestShuffledKeepsTheUnits: the same units, whatever the order.
func TestShuffledKeepsTheUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := DrawUnits(t)
		s := u.shuffled(rapid.Uint64().Draw(t, "seed"))
		if left, right := u.tally(), s.tally(); len(left) != len(right) {
			t.Fatalf("%v became %v", left, right)
		} else {
			for unit, n := range left {
				if right[unit] != n {
					t.Fatalf("%v is there %d times, was %d", unit, right[unit], n)
				}
			}
		}
	})
}

func (u Units) tally() map[[4]float64]int {
	n := map[[4]float64]int{}
	for i := range u.Count {
		key := [4]float64{u.AreaHa[i], u.Count[i]}
		if u.Cluster != nil {
			key[2] = float64(u.Cluster[i])
		}
		if u.Order != nil {
			key[3] = float64(u.Order[i])
		}
		n[key]++
	}
	return n
}

// TestHelpersComplain holds the small helpers to their word.
func TestHelpersComplain(t *testing.T) {
	r := new(recorder)
	Near(r, "", 1, 1.1, 0.2)
	Near(r, "", math.Inf(1), math.Inf(1), 0)
	Relative(r, "", 1000, 1001, 0.01)
	if len(r.complaints) > 0 {
		t.Errorf("complaints %q", r.complaints)
	}
	Near(r, "", 1, 1.3, 0.2)
	Near(r, "", math.NaN(), 1, 10)
	Relative(r, "", 1000, 1001, 1e-4)
	if len(r.complaints) != 3 {
		t.Errorf("%d complaints, want 3", len(r.complaints))
	}
}

func TestTable(t *testing.T) {
	path := t.TempDir() + "/table.csv"
	if err := os.WriteFile(path, []byte("case,value,list\n a ,1.5,1 2 3\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	rows := Table(t, path)
	if len(rows) != 1 || rows[0]["case"] != "a" || rows[0].Number(t, "value") != 1.5 || len(rows[0].Numbers(t, "list")) != 3 {
		t.Errorf("rows %v", rows)
	}
}

// A made table is written, held, and found wanting where a row is another now.
func TestMadeTable(t *testing.T) {
	rows := []string{"| 1 |\n", "| 2 |\n"}
	table := MadeTable{Path: filepath.Join(t.TempDir(), "TABLE.md"), Head: "# T\n\n| n |\n|---|\n", Again: []int{1}}
	for i := range rows {
		table.Rows = append(table.Rows, func() string { return rows[i] })
	}
	table.Hold(t, true)
	table.Hold(t, false)
	text, err := os.ReadFile(table.Path)
	if err != nil || string(text) != "# T\n\n| n |\n|---|\n| 1 |\n| 2 |\n" {
		t.Errorf("%q, %v", text, err)
	}
}

func TestMisses(t *testing.T) {
	var m Misses
	m.Count(2, 3, 1)           // above
	m.Count(2, 3, 4)           // below
	m.Count(2, 3, 2.5)         // held
	m.Count(2, math.NaN(), 99) // open above
	if m.Covers() != 0.5 || m.String() != "0.250 / 0.250" {
		t.Errorf("%v %s", m.Covers(), m)
	}
}

// TestBest: of 20 draws at even odds against 3 in 4 of the first kind, 14 or more
// reject at 0.05766, and 13 at random so often that it comes to 0.06. By pbinom and
// dbinom in R the power is 0.78578 + (0.06 - 0.05766) / 0.07393 * 0.11241 = 0.7893.
func TestBest(t *testing.T) {
	b := Best{Sound: []float64{0.5, 0.5}, Other: []float64{0.75, 0.25}, Level: 0.06, Of: func(*rand.Rand) int { return 20 }, Times: 20000, Seed: 1}
	Near(t, "power", b.Power(), 0.7893, 0.015)
	Near(t, "divergence", Divergence(b.Other, b.Sound), 0.75*math.Log(1.5)+0.25*math.Log(0.5), 1e-12)
}
