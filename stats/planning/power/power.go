package power

import (
	"math"
	"math/rand/v2"

	"ashtally/stats"
	"ashtally/stats/planning"
)

// Options say how surveys are simulated.
type Options struct {
	Level   float64 // of the tests; 0: 0.05
	Seed    uint64
	Surveys int    // 0: 400, with which a power of 0.8 is known to 0.02
	Tests   []Test // of those of the scenario; nil for all
}

func (o Options) settled() Options {
	if o.Level == 0 {
		o.Level = 0.05
	}
	if o.Surveys == 0 {
		o.Surveys = 400
	}
	if !(o.Level > 0 && o.Level < 1) || o.Surveys < 0 {
		panic("power: a level outside of (0, 1), or a negative number of surveys")
	}
	return o
}

// Power is the chance that a test finds a ratio.
type Power struct {
	Test  Test
	Power float64
	SE    float64 // of Power, by simulation
	// NoP is the share of surveys in which the test had no p-value, and so found
	// nothing.
	NoP float64
}

// Result is what surveys of a scenario find.
type Result struct {
	Ratio    float64
	Units    int     // of both sets where there are two
	Finds    float64 // expected of both densities, in the middle of what is known
	Powers   []Power // of each test
	None     *stats.Warning
	Warnings []stats.Warning
}

// Simulate finds the power of each test of a scenario. Survey i draws from its own
// generator, seeded with (seed, i). It has no result where nothing is known. It
// panics on invalid scenarios and options.
func Simulate(s Scenario, o Options) Result {
	s, o = s.settled(), o.settled()
	out := Result{Ratio: s.Ratio, Units: s.units(), Finds: math.NaN(), None: s.Known.Reason()}
	if out.None != nil {
		return out
	}
	out.Warnings, out.Finds = s.Known.Limitations(s.UnitHa), s.finds(s.Known.Typical())
	tests := o.Tests
	if tests == nil {
		tests = s.Tests()
	}
	surveys := planning.Replicate(o.Surveys, o.Seed, func(r *rand.Rand) []float64 {
		v, seed := s.survey(r), r.Uint64()
		p := make([]float64, len(tests))
		for i, test := range tests {
			p[i] = s.p(v, test, seed)
		}
		return p
	})
	for i, test := range tests {
		var found, none float64
		for _, p := range surveys {
			switch {
			case math.IsNaN(p[i]):
				none++
			case p[i] <= o.Level:
				found++
			}
		}
		n := float64(o.Surveys)
		p := found / n
		out.Powers = append(out.Powers, Power{Test: test, Power: p, SE: math.Sqrt(p * (1 - p) / n), NoP: none / n})
	}
	return out
}

// finds is the expected number of both densities.
func (s Scenario) finds(populations []planning.Population) float64 {
	var n float64
	for h, p := range populations {
		unit := p.PerHa * s.UnitHa
		first := s.Second[h]
		if !s.sameUnits() {
			first = s.First[h]
		}
		n += unit * (float64(s.Second[h]) + s.Ratio*float64(first))
	}
	return n
}

// Table is the power for several ratios and numbers of units.
type Table struct {
	Ratios  []float64
	Factors []float64  // of the scenario's own units
	Results [][]Result // by factor and ratio
}

// Simulated is the table of every ratio with every multiple of the units of a scenario.
func Simulated(s Scenario, factors, ratios []float64, o Options) Table {
	t := Table{Ratios: ratios, Factors: factors}
	for _, f := range factors {
		var row []Result
		for _, ratio := range ratios {
			cell := s.Times(f)
			cell.Ratio = ratio
			row = append(row, Simulate(cell, o))
		}
		t.Results = append(t.Results, row)
	}
	return t
}

// Detectable is the ratio at which a test reaches a power in a row of the table,
// evenly along the logarithm between the ratios on either side; NaN if none of them
// reaches it. The ratios of the table must ascend from 1 or more.
func (t Table) Detectable(row int, test Test, power float64) float64 {
	last, before := 0.0, math.NaN()
	for i, r := range t.Results[row] {
		p := r.of(test)
		if p >= power {
			if i == 0 || math.IsNaN(before) {
				return t.Ratios[i]
			}
			part := (power - last) / (p - last)
			return math.Exp(math.Log(before) + part*math.Log(t.Ratios[i]/before))
		}
		last, before = p, t.Ratios[i]
	}
	return math.NaN()
}

// of is the power of a test; NaN where the scenario has none of it.
func (r Result) of(test Test) float64 {
	for _, p := range r.Powers {
		if p.Test == test {
			return p.Power
		}
	}
	return math.NaN()
}
