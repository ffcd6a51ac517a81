package plots

// The numbers in this file are made up: no survey found them.

var cropSample = CropByStratum{
	Unit: "kg of fruit bodies", Confidence: 0.95,
	Strata: []StratumDensity{
		{"North slope, severe burn", "plot", est(512, 240, 1130, 24, 187)},
		{"North slope, severe burn", "adaptive cluster", est(470, 260, 880, 41, 402)},
		{"Ridge", "plot", est(0, 0, 22, 10, 0)},
		{"Unburned control", "plot", est(18, 4, 70, 20, 5)},
		{"Talus", "plot", Estimate{Value: nan, Lower: nan, Upper: nan, Note: "no mass"}},
	},
	Land: []StratumDensity{{"All strata", "plot", est(530, 255, 1150, 84, 192)}},
}

var harvestSample = ShareOfHarvest{
	Confidence: 0.95,
	Rows: []HarvestShare{
		{"weekend permits", "all", 12.4, 5.8, 26, 30, 0.01, ""},
		{"weekend permits", "burned", 12.9, 6, 27, 30, 0.01, ""},
		{"weekend permits", "unburned", 310, 84, nan, 30, 1, ""},
		{"buyers", "all", 71, 33, 150, 30, 0.98, ""},
		{"buyers", "burned", 74, 34, 155, 30, 0.98, ""},
		{"buyers", "unburned", nan, nan, nan, 30, nan, "no crop"},
	},
}

func hostileHarvest() (Figure, error) {
	h := ShareOfHarvest{Confidence: 0.95}
	for _, name := range []string{markup, broken, endless, unspaced, foreign, ""} {
		h.Rows = append(h.Rows, HarvestShare{name, name, 1e6, 1e-6, 1e9, 99.999, 1, ""}, HarvestShare{name, "burned", nan, nan, nan, 1, nan, endless})
	}
	return h.Figure()
}
