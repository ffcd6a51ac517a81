package density

import (
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// TestProperties runs the shared checks on every method and layout variance.
func TestProperties(t *testing.T) {
	for _, name := range Methods() {
		t.Run(name, func(t *testing.T) {
			checkOptions(t, Options{Interval: name, Replicates: 99})
		})
	}
	for _, name := range Systematics() {
		t.Run(name, func(t *testing.T) {
			checkOptions(t, Options{Systematic: name})
		})
	}
}

func checkOptions(t *testing.T, o Options) {
	statstest.CheckUnits(t, func(u statstest.Units) stats.Estimate {
		return Stratum(Sample{AreaHa: u.AreaHa, Count: u.Count, Cluster: u.Cluster, Order: u.Order}, o)
	})
}

// TestLandProperties: what joining strata must leave alone.
func TestLandProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var parts []Part
		for range rapid.IntRange(1, 4).Draw(t, "strata") {
			u := statstest.DrawUnits(t)
			e := Stratum(Sample{AreaHa: u.AreaHa, Count: u.Count, Cluster: u.Cluster}, Options{})
			parts = append(parts, Part{AreaHa: rapid.Float64Range(0.1, 500).Draw(t, "land"), Estimate: e})
		}
		land := Land(parts, 0.95)
		statstest.WellFormed(t, land)
		nothing := Part{AreaHa: 0, Estimate: stats.Missing(0.95, 0, noUnits)}
		statstest.Same(t, "a stratum of no area", Land(append([]Part{nothing}, parts...), 0.95), land)
		one := []Part{parts[0], {AreaHa: parts[0].AreaHa, Estimate: parts[0].Estimate}}
		if got := Land(one, 0.95).Value; got != parts[0].Value {
			t.Errorf("twice the same stratum has %v, alone %v", got, parts[0].Value)
		}
	})
}
