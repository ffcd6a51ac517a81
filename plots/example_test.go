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

func ExampleCountsAgainstFit() {
	figure, err := plots.CountsAgainstFit{
		Confidence: 0.95,
		Panels: []plots.UnitCounts{{
			Stratum: "Unburned control", Method: "plot",
			Counts:           []int{0, 0, 0, 1, 0, 0, 2, 0, 0, 1},
			NegativeBinomial: []float64{6.98, 2.13, 0.63}, Poisson: []float64{6.70, 2.68, 0.54},
			K: 1.6, KLower: 0.12, KUpper: math.Inf(1), VarianceToMean: 1.22,
		}},
	}.Figure()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(figure.Alt)
	// Output:
	// Units by the number of fruit bodies in them against fitted negative binomial and Poisson distributions; intervals of k are at 95 %. Unburned control, plot: 10 units, 4 finds; 7 units without any (negative binomial expects 6.98, Poisson 6.70), at most 2 in one; variance-to-mean ratio 1.22, k = 1.60 (≥ 0.12).
}

func ExampleDistancesFromLine() {
	figure, err := plots.DistancesFromLine{
		Confidence: 0.95, Unit: "m", Function: "half-normal", Finds: 12,
		Bars:      []plots.DistanceBar{{From: 0, To: 2, Count: 9, Height: 0.94}, {From: 2, To: 4, Count: 3, Height: 0.31}},
		Curve:     []plots.CurvePoint{{Distance: 0, Value: 1, Lower: 1, Upper: 1}, {Distance: 4, Value: 0.11, Lower: 0.03, Upper: 0.33}},
		HalfWidth: 2.5, Lower: 1.7, Upper: 3.6,
	}.Figure()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(figure.Alt)
	// Output:
	// Histogram of 12 finds by distance from the line, with the detection function half-normal: the chance to be seen falls from 1.00 on the line to 0.11 at 4.00 m. Effective half-width 2.50 m (95 % interval 1.70 to 3.60). Finds by distance: 0 to 2.00 m 9, 2.00 to 4.00 m 3.
}
