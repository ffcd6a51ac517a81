package density_test

import (
	"fmt"

	"ashtally/stats/density"
)

// Twenty plots of 100 m2 on 12 ha, in seven of which something was found.
func ExampleStratum() {
	s := density.Sample{LandHa: 12}
	for _, count := range []float64{0, 0, 3, 0, 0, 11, 0, 1, 0, 0, 2, 0, 0, 0, 6, 0, 1, 0, 0, 4} {
		s.AreaHa = append(s.AreaHa, 0.01)
		s.Count = append(s.Count, count)
	}
	for _, method := range []string{"t", density.DefaultMethod} {
		e := density.Stratum(s, density.Options{Interval: method})
		fmt.Printf("%.0f fruit bodies per ha, 95 %% limits %.0f to %.0f (%s)\n", e.Value, e.Lower, e.Upper, e.Method)
	}
	// Output:
	// 140 fruit bodies per ha, 95 % limits 9 to 271 (t)
	// 140 fruit bodies per ha, 95 % limits 55 to 458 (model-averaged)
}

// A plot of 400 m2 whose radius was paced out along a slope of 45 %.
func ExampleHorizontalArea() {
	fmt.Printf("%.1f m2\n", density.HorizontalArea(400, 45, true))
	// Output: 364.8 m2
}
