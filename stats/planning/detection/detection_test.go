package detection

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/planning"
	"ashtally/stats/planning/samplesize"
	"ashtally/stats/statstest"
)

var (
	known  = planning.Known{{PerHa: 500, K: 0.8, UnitHa: 0.01}}
	design = samplesize.Design{UnitHa: 0.01, Strata: []samplesize.Stratum{{LandHa: 1e4, Cost: planning.Cost{SetUp: 0.2, PerHa: 20}}}}
)

// With two looks everywhere the variance of log D, given that N are there, is that of
// Chapman's estimator, q^2 / (p^2 N), for observers, and that of the removal estimator
// of two passes, q^2 (1+q) / (p^3 N), for passes (Seber 1982, sections 3.1 and 7.2.2).
// Of it (1 - p*) / (p* N) is that of the number found and the rest that of p.
func TestVarianceOfTwoLooks(t *testing.T) {
	const n = 200.0
	for _, p := range []float64{0.4, 0.6, 0.85} {
		q := 1 - p
		found := q * q / (1 - q*q) / n
		o := Option{Looks: 2, Share: 1, Information: Observers}
		statstest.Relative(t, "observers", found+o.varianceOfLog(Chance{P: p}, n), q*q/(p*p*n), 1e-9)
		o.Information = Passes
		statstest.Relative(t, "passes", found+o.varianceOfLog(Chance{P: p}, n), q*q*(1+q)/(p*p*p*n), 1e-9)
	}
}

// One look, p known from elsewhere: CV^2 = (1/(p mu) + 1/k) / n + (SE/p)^2 with
// mu 5, p 0.8 and k 0.8. 100 hours buy 250 units of 0.4 hours.
func TestElsewhereByHand(t *testing.T) {
	r := AtHours(known, design, Chance{P: 0.8, SE: 0.04}, 100, []Option{{Looks: 1, Information: Elsewhere}}).Rows[0]
	if r.Units != 250 {
		t.Fatalf("%d units", r.Units)
	}
	statstest.Relative(t, "CV", r.CV, math.Sqrt((1/4.0+1/0.8)/250+0.0025), 1e-12)
	statstest.Relative(t, "RMSE", r.RMSE, r.CV, 1e-12)
	statstest.Relative(t, "share of p", r.FromChance, 0.0025/(r.CV*r.CV), 1e-12)
}

// An uncorrected density is low by 1 - p*.
func TestUncorrectedIsBiased(t *testing.T) {
	table := AtHours(known, design, Chance{P: 0.7}, 100, []Option{
		{Looks: 1, Information: Uncorrected}, {Looks: 2, Information: Uncorrected}, {Looks: 2, Information: Observers},
	})
	statstest.Near(t, "one look", table.Rows[0].Bias, -0.3, 1e-12)
	statstest.Near(t, "two looks", table.Rows[1].Bias, -0.09, 1e-12)
	if table.Best != 2 || !chanceAssumed.In(table.Warnings) {
		t.Errorf("best %d, %v", table.Best, table.Warnings)
	}
	if table.Rows[2].Units >= table.Rows[0].Units {
		t.Errorf("%d units with two observers, %d with one", table.Rows[2].Units, table.Rows[0].Units)
	}
}

// The CV stated for two observers is that of Chapman's estimator over simulated
// surveys, within 4 standard errors of 2,000.
func TestObserversBySimulation(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of surveys")
	}
	const p, surveys = 0.7, 2000
	row := AtHours(known, design, Chance{P: p}, 60, []Option{{Looks: 2, Information: Observers}}).Rows[0]
	r := rand.New(rand.NewPCG(4, 4))
	var logs, squares float64
	for range surveys {
		var first, second, both float64
		for range row.Units {
			for range int(known[0].Count(r, 0.01)) {
				a, b := r.Float64() < p, r.Float64() < p
				first, second, both = first+bit(a), second+bit(b), both+bit(a && b)
			}
		}
		l := math.Log((first + 1) * (second + 1) / (both + 1))
		logs, squares = logs+l, squares+l*l
	}
	sd := math.Sqrt(squares/surveys - logs*logs/surveys/surveys)
	statstest.Relative(t, "CV", row.CV, sd, 4/math.Sqrt(2*surveys))
}

func bit(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func TestSpecialCases(t *testing.T) {
	table := AtHours(known, design, Chance{P: 0.7}, 0.5, []Option{{Looks: 1, Information: Observers}, {Looks: 1, Information: Uncorrected}})
	if w := table.Rows[0].None; w == nil || w.Type != noInformation {
		t.Errorf("one look: %v", w)
	}
	if w := table.Rows[1].None; w == nil || w.Type != tooFewHours || table.Best != -1 {
		t.Errorf("half an hour: %v", w)
	}
	if r := AtHours(known, design, Chance{P: 1}, 100, []Option{{Looks: 2, Information: Passes}}).Rows[0]; r.FromChance != 0 || r.Found != 1 {
		t.Errorf("all found: %+v", r)
	}
	raised := Present{Drawer: known, Found: 0.5}
	statstest.Near(t, "present", raised.Typical()[0].PerHa, 1000, 0)
	statstest.Near(t, "present", raised.Draw(nil)[0].PerHa, 1000, 0)
}

func TestPanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"no hours":    func() { AtHours(known, design, Chance{P: 0.5}, 0, nil) },
		"probability": func() { AtHours(known, design, Chance{P: 2}, 1, nil) },
		"no looks":    func() { AtHours(known, design, Chance{P: 0.5}, 1, []Option{{}}) },
	})
}
