package density

import (
	"fmt"
	"testing"

	"ashtally/stats/statstest"
)

// TestExtremeFieldData: what a slip of the pen can put into a table must end in
// an estimate that is well formed, if a silly one, in every method.
func TestExtremeFieldData(t *testing.T) {
	for name, s := range map[string]Sample{
		"a billion in one":     {AreaHa: tenths(6), Count: []float64{0, 1, 0, 2, 1e9, 0}},
		"nearly all alike":     {AreaHa: tenths(6), Count: []float64{1e9, 1e9, 1e9, 1e9, 1e9, 1e9 - 1}},
		"1e15 and 1":           {AreaHa: tenths(4), Count: []float64{1e15, 1, 0, 3}},
		"a pin prick":          {AreaHa: []float64{1e-12, 0.1, 0.1, 0.1}, Count: []float64{3, 0, 1, 0}},
		"an empty continent":   {AreaHa: []float64{1e9, 0.1, 0.1, 0.1}, Count: []float64{0, 2, 1, 0}},
		"a full continent":     {AreaHa: []float64{1e9, 0.1, 0.1, 0.1}, Count: []float64{5, 2, 1, 0}},
		"two units":            {AreaHa: tenths(2), Count: []float64{0, 5}},
		"two units, unequal":   {AreaHa: []float64{1, 2}, Count: []float64{1, 5}},
		"two sites":            {AreaHa: tenths(4), Count: []float64{0, 5, 1, 1}, Cluster: []int{1, 1, 2, 2}},
		"layout of two":        {AreaHa: tenths(2), Count: []float64{0, 5}, Order: []int{2, 1}},
		"all at one place":     {AreaHa: tenths(4), Count: []float64{0, 5, 1, 1}, Order: []int{1, 1, 1, 1}},
		"nearly the whole":     {AreaHa: tenths(4), Count: []float64{0, 5, 1, 1}, LandHa: 0.4000001},
		"a billion everywhere": {AreaHa: tenths(4), Count: []float64{1e9, 2e9, 0, 5e8}},
	} {
		for _, method := range Methods() {
			for _, variance := range Systematics() {
				t.Run(fmt.Sprint(name, " ", method, " ", variance), func(t *testing.T) {
					statstest.WellFormed(t, Stratum(s, Options{Interval: method, Systematic: variance, Replicates: 49}))
				})
			}
		}
	}
}
