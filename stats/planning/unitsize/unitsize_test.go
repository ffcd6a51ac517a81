package unitsize

import (
	"math"
	"testing"

	"ashtally/stats/planning"
	"ashtally/stats/planning/samplesize"
	"ashtally/stats/statstest"
)

var cost = planning.Cost{SetUp: 0.3, PerHa: 25}

func designs(cost planning.Cost, areas ...float64) []samplesize.Design {
	var d []samplesize.Design
	for _, a := range areas {
		d = append(d, samplesize.Design{UnitHa: a, Strata: []samplesize.Stratum{{LandHa: 1e5, Cost: cost}}})
	}
	return d
}

// With a constant density within units the best of a fine grid of areas is
// sqrt(c_1 k / (c_2 D)): sqrt(0.3 x 0.6 / (25 x 400)) = 0.00424 ha; found by
// differentiating (c_1 + c_2 a)(1/(D a) + 1/k).
func TestBestAreaOfConstantDensity(t *testing.T) {
	known := planning.Known{{PerHa: 400, K: 0.6, UnitHa: 0.005}}
	var areas []float64
	for a := 0.001; a < 0.02; a *= 1.02 {
		areas = append(areas, a)
	}
	table := AtHours(known, designs(cost, areas...), 2000)
	want := Area(known[0], cost)
	statstest.Relative(t, "formula", want, 0.004243, 1e-3)
	statstest.Relative(t, "of the grid", areas[table.BestConstant], want, 0.03)
	if table.BestIndependent != len(areas)-1 {
		t.Errorf("best of independent parts is %v ha", areas[table.BestIndependent])
	}
}

// 30 hours buy 30/(0.3 + 25 x 0.01) = 54 units, with a CV of sqrt((1/4 + 1/0.6)/54).
func TestAtHoursByHand(t *testing.T) {
	known := planning.Known{{PerHa: 400, K: 0.6, UnitHa: 0.01}}
	row := AtHours(known, designs(cost, 0.01), 30).Rows[0]
	for _, p := range []Point{row.Constant, row.Independent, row.Pilot} {
		if p.Units != 54 {
			t.Errorf("%d units", p.Units)
		}
		statstest.Relative(t, "CV", p.CV, math.Sqrt((1/4.0+1/0.6)/54), 1e-12)
	}
}

// (1/4 + 1/0.6) / 0.2^2 = 47.9 units of 0.55 hours.
func TestForCVByHand(t *testing.T) {
	known := planning.Known{{PerHa: 400, K: 0.6, UnitHa: 0.01}}
	row := ForCV(known, designs(cost, 0.01), 0.2).Rows[0]
	if row.Pilot.Units != 48 {
		t.Errorf("%d units", row.Pilot.Units)
	}
	statstest.Relative(t, "hours", row.Pilot.Hours, 48*0.55, 1e-12)
}

func TestOutOfReach(t *testing.T) {
	known := planning.Known{{PerHa: 400, K: 0.6, UnitHa: 0.01}}
	table := AtHours(known, designs(cost, 0.01), 0.5)
	if p := table.Rows[0].Pilot; p.Units != 0 || !math.IsNaN(p.CV) || table.BestPilot != -1 {
		t.Errorf("%+v", table)
	}
}

func TestPanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"no hours": func() { AtHours(planning.Known{}, nil, 0) },
		"no CV":    func() { ForCV(planning.Known{}, nil, 0) },
	})
}
