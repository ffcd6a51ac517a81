package published

import (
	"math"
	"testing"

	"ashtally/stats/planning"
	"ashtally/stats/statstest"
)

// The k of the zero class: mean 595/1119 = 0.53172 and 17.8 % of plots with finds give
// 0.11217 (recomputed from the published share; not published itself).
func TestClumpingIsThatOfTheZeroClass(t *testing.T) {
	const mean, empty = 595.0 / 1119, 1 - 0.178
	statstest.Near(t, "k log(1 + m/k)", larsonK*math.Log1p(mean/larsonK), -math.Log(empty), 1e-3)
	statstest.Near(t, "density", mean/larsonUnitHa, 1693, 1)
}

func TestScenariosSpanARange(t *testing.T) {
	all := Scenarios()
	for i, s := range all {
		if s.Source == "" || s.Name == "" {
			t.Errorf("scenario %d has no source or name", i)
		}
		if i > 0 && s.RelativeVariance(0.01) >= all[i-1].RelativeVariance(0.01) {
			t.Errorf("%s varies no less than %s", s.Name, all[i-1].Name)
		}
	}
	for i, want := range []float64{0.112, 0.632, 3.57} { // 0.112 (100/3.14)^b
		statstest.Near(t, "k of 100 m2", all[i].ClumpingAt(0.01), want, 5e-3)
	}
}

func TestScenarioIsSaidToBeAssumed(t *testing.T) {
	d := Scenarios()[1].Strata(2)
	if len(d.Typical()) != 2 || d.Reason() != nil {
		t.Error("the scenario has no populations")
	}
	if w := d.Limitations(0.01); len(w) != 1 || !planning.Assumed.In(w) {
		t.Errorf("%v", w)
	}
}
