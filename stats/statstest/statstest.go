// Package statstest holds the checks that every estimator of a density must
// pass, whatever its method. The tests of the estimators call it; nothing else does.
//
// [CheckUnits] runs them all on samples that rapid makes up and shrinks;
// [WellFormed], [Same] and [Scaled] are its parts, for tests that have samples
// of their own. [Table] and the comparisons beside it read what R answered.
package statstest

import (
	"math"

	"ashtally/stats"
)

// TB is what a check needs of a test; *testing.T and *rapid.T have it.
type TB interface {
	Helper()
	Errorf(format string, args ...any)
}

// WellFormed fails unless the estimate is one that may reach a report:
// nothing below 0, no upper limit without a lower one, the value between them,
// no spread of 0, and a warning beside whatever is missing.
func WellFormed(t TB, e stats.Estimate) {
	t.Helper()
	lower, upper := !math.IsNaN(e.Lower), !math.IsNaN(e.Upper)
	if e.Value < 0 || e.SE < 0 || e.Lower < 0 || e.Upper < 0 {
		t.Errorf("something is below 0: %+v", e)
	}
	if math.IsInf(e.Value, 0) || math.IsInf(e.SE, 0) || math.IsInf(e.Lower, 0) || math.IsInf(e.Upper, 0) {
		t.Errorf("something is infinite: %+v", e)
	}
	if upper && !lower {
		t.Errorf("an upper limit without a lower one: %+v", e)
	}
	if lower && e.Lower > e.Value || upper && e.Upper < e.Value {
		t.Errorf("the interval does not hold the value: %+v", e)
	}
	if (e.SE == 0 || lower && e.Lower == e.Upper) && len(e.Warnings) == 0 {
		t.Errorf("a spread of 0 without a warning: %+v", e)
	}
	if (math.IsNaN(e.Value) || math.IsNaN(e.SE) || !upper) && len(e.Warnings) == 0 {
		t.Errorf("something is missing without a warning: %+v", e)
	}
	if lower == (e.Method == "none" || e.Method == "") {
		t.Errorf("the method does not tell whether there are limits: %+v", e)
	}
}

// Same fails unless two estimates are equal to the last bit, warnings too.
func Same(t TB, what string, got, want stats.Estimate) {
	t.Helper()
	Scaled(t, what, got, want, 1, 0)
	if got.N != want.N || got.Method != want.Method || !alike(got.Confidence, want.Confidence) || !alike(got.DF, want.DF) {
		t.Errorf("%s: %+v, want %+v", what, got, want)
	}
	if len(got.Warnings) != len(want.Warnings) {
		t.Errorf("%s: warnings %v, want %v", what, got.Warnings, want.Warnings)
		return
	}
	for i := range got.Warnings {
		if got.Warnings[i] != want.Warnings[i] {
			t.Errorf("%s: warning %q, want %q", what, got.Warnings[i], want.Warnings[i])
		}
	}
}

// Scaled fails unless value, standard error and limits are factor times those
// wanted, within a relative tolerance.
func Scaled(t TB, what string, got, want stats.Estimate, factor, tolerance float64) {
	t.Helper()
	for _, f := range []struct {
		name      string
		got, want float64
	}{
		{"value", got.Value, want.Value},
		{"standard error", got.SE, want.SE},
		{"lower limit", got.Lower, want.Lower},
		{"upper limit", got.Upper, want.Upper},
	} {
		target := factor * f.want
		if !alike(f.got, target) && !(math.Abs(f.got-target) <= tolerance*math.Abs(target)) {
			t.Errorf("%s: %s is %v, want %v", what, f.name, f.got, target)
		}
	}
}

// alike is equality in which what is missing equals what is missing.
func alike(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
