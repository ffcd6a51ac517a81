package plots_test

import (
	"fmt"
	"io"
	"math"

	"ashtally/plots"
)

// The numbers of the examples are made up: no survey found them.

func ExampleDensityByStratum() {
	figure, err := plots.DensityByStratum{
		Unit: "fruit bodies per hectare", Confidence: 0.95,
		Strata: []plots.StratumDensity{
			{Stratum: "North slope", Method: "plot", Estimate: plots.Estimate{Value: 1240, Lower: 610, Upper: 2590, Units: 24, Finds: 187}},
			{Stratum: "Ridge", Method: "plot", Estimate: plots.Estimate{Value: 0, Lower: 0, Upper: 235, Units: 10}},
		},
	}.Figure()
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := figure.WriteSVG(io.Discard); err != nil { // or a file
		fmt.Println(err)
	}
	fmt.Println(figure.Name)
	fmt.Println(figure.Alt)
	// Output:
	// density-by-stratum
	// Density in fruit bodies per hectare by stratum and method. North slope, plot: 1,240 (95 % interval 610 to 2,590; 24 units, 187 finds). Ridge, plot: none found, 95 % limit ≤ 235 (10 units, 0 finds).
}

func ExampleDensityByModeAndTree() {
	row := func(years, mode string, value, lower, upper float64, units, finds int) plots.ModeTreeDensity {
		return plots.ModeTreeDensity{Years: years, Tree: "paper birch", Mode: mode,
			Estimate: plots.Estimate{Value: value, Lower: lower, Upper: upper, Units: units, Finds: finds}}
	}
	figure, err := plots.DensityByModeAndTree{
		Unit: "fruit bodies per hectare", Confidence: 0.95, Axis: plots.AutoAxis,
		Rows: []plots.ModeTreeDensity{
			row("1", "saprotrophic", 210, 96, 470, 42, 61), row("1", "host-associated", 540, 300, 1010, 42, 155),
			row("2", "saprotrophic", 61, 22, 166, 30, 13), row("2", "host-associated", 140, 66, 305, 30, 30),
		},
	}.Figure()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(figure.Title)
	fmt.Println(figure.Caption)
	// Output:
	// Density by mode, tree and years since fire
	// Marks are estimates in fruit bodies per hectare, lines their 95 % confidence intervals; all panels have the same scale.
}

func ExampleRatioByTree() {
	figure, err := plots.RatioByTree{
		Confidence: 0.95,
		Trees: []plots.Ratio{
			{Label: "paper birch", Value: 2.57, Lower: 1.42, Upper: 4.71, Units: 42, HostFinds: 155, SaproFinds: 61},
			{Label: "quaking aspen", Value: 0, Lower: math.NaN(), Upper: 0.71, Units: 31, SaproFinds: 12},
		},
		All: []plots.Ratio{{Label: "All finds", Value: 2.12, Lower: 1.2, Upper: 3.9, Units: 42, HostFinds: 155, SaproFinds: 73}},
	}.Figure()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(figure.Alt)
	// Output:
	// Ratio of host-associated to saprotrophic density. Tree: paper birch, 2.57 (95 % interval 1.42 to 4.71; 42 units, 155 host-associated and 61 saprotrophic finds); quaking aspen, 95 % interval ≤ 0.71 (31 units, 0 host-associated and 12 saprotrophic finds). All finds, 2.12 (95 % interval 1.20 to 3.90; 42 units, 155 host-associated and 73 saprotrophic finds).
}
