package lines_test

import (
	"fmt"

	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// Six lines of 200 m through one burn, fruit bodies seen on both sides.
func Example() {
	survey := lines.Survey{Strata: []lines.Stratum{{Name: "burn", AreaHa: 12}}}
	for range 6 {
		survey.Transects = append(survey.Transects, lines.Transect{Length: 200})
	}
	found := [][]float64{{0.3, 1.1, 2.4}, {0.2, 0.9}, {0.5, 1.6, 1.9, 3.2}, {1.3}, {0.1, 0.8, 2.7}, {0.6, 1.2, 2.1}}
	var data detect.Data
	for line, distances := range found {
		for _, x := range distances {
			survey.On = append(survey.On, line)
			data.Distance = append(data.Distance, x)
		}
	}
	data.Right = 4

	sample, err := detect.New(data)
	if err != nil {
		fmt.Println(err)
		return
	}
	best := sample.Select(detect.Candidates(1), detect.AICc, 0.95).Best()
	result, err := survey.Density(best, lines.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	d := result.Density
	fmt.Printf("%s: %.1f per ha, %.1f to %.1f\n", best.Model, d.Value, d.Lower, d.Upper)
	for _, p := range result.Parts {
		fmt.Printf("%s: %.0f %% of the variance\n", p.Source, 100*p.Share)
	}
	for _, w := range d.Warnings {
		fmt.Println(w.Code)
	}
	// Output:
	// uniform + cosine(1): 32.3 per ha, 20.7 to 50.4
	// units: 58 % of the variance
	// detectability: 42 % of the variance
	// few-detections
	// model-chosen
	// g0-assumed
	// few-transects
}
