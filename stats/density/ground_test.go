package density

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// seasonsSample are the plots of ground_units.csv, 0.4 of 2 ha, in the seasons
// that keep.
func seasonsSample(t *testing.T, keep func(season, plot int) bool) Sample {
	s := Sample{LandHa: 2}
	for _, row := range statstest.Table(t, reference+"ground_units.csv") {
		season, plot := int(row.Number(t, "season")), int(row.Number(t, "plot"))
		if !keep(season, plot) {
			continue
		}
		s.AreaHa, s.Count = append(s.AreaHa, row.Number(t, "area_ha")), append(s.Count, row.Number(t, "count"))
		s.Cluster, s.Season = append(s.Cluster, plot), append(s.Season, season)
	}
	return s
}

// TestGroundCountsOnce holds pooled seasons against R's survey package, whose
// finite population factor knows a plot once however often it was searched:
// testdata/reference/ground.R. With its ground counted in every season, plots on a
// fifth of the stratum had a factor of 0 after five seasons.
func TestGroundCountsOnce(t *testing.T) {
	for _, row := range statstest.Table(t, reference+"ground.csv") {
		seasons := int(row.Number(t, "seasons"))
		s := seasonsSample(t, map[string]func(season, plot int) bool{
			"same plots":  func(season, _ int) bool { return season <= seasons },
			"other plots": func(season, plot int) bool { return season <= 2 && (season == 1) == (plot <= 20) },
			"some again":  func(season, plot int) bool { return season == 1 || season == 2 && plot <= 10 },
		}[row["what"]])
		e := Stratum(s, Options{})
		statstest.Relative(t, row["what"]+" density", e.Value, row.Number(t, "density"), 1e-12)
		statstest.Relative(t, row["what"]+" standard error", e.SE, row.Number(t, "se"), 1e-12)
		if !(e.Lower < e.Value && e.Value < e.Upper) {
			t.Errorf("%s in %d seasons: limits %g and %g around %g", row["what"], seasons, e.Lower, e.Upper, e.Value)
		}
		variance, _ := Spread(s, "")
		statstest.Relative(t, row["what"]+" variance", variance, e.SE*e.SE, 1e-12)
	}
}

// TestSeasonsOfOtherGround surveys the whole of 20 cells over two seasons, half of
// them in each, drawn anew. No season is known whole, and its other half counts:
// the mean of the variance estimates has to be the variance of the densities. The
// ground that was searched in any season would make it 0.
func TestSeasonsOfOtherGround(t *testing.T) {
	const cells, draws = 20, 4000
	rng := rand.New(rand.NewPCG(41, 0))
	var count [2][cells]float64
	for i := range cells {
		count[0][i] = math.Floor(8 * rng.ExpFloat64())
	}
	for i, from := range rng.Perm(cells) { // the same counts elsewhere, so that the seasons have one mean
		count[1][i] = count[0][from]
	}
	var sum, squares, variance float64
	for range draws {
		order := rng.Perm(cells)
		s := Sample{LandHa: cells}
		for at, cell := range order {
			season := at * 2 / cells
			s.AreaHa, s.Count = append(s.AreaHa, 1), append(s.Count, count[season][cell])
			s.Cluster, s.Season = append(s.Cluster, cell), append(s.Season, season)
		}
		e := Stratum(s, Options{Interval: "t"})
		sum, squares, variance = sum+e.Value, squares+e.Value*e.Value, variance+e.SE*e.SE
	}
	mean := sum / draws
	truth := squares/draws - mean*mean
	// The standard error of a variance from 4000 draws is about sqrt(2/4000), 2.2 %.
	if ratio := variance / draws / truth; ratio < 0.9 || ratio > 1.1 {
		t.Errorf("the mean variance estimate is %.2f of the variance", ratio)
	}
}

// TestWholeGroundEachSeason: a stratum that every season searched whole is
// counted; one that seasons searched whole between them is not.
func TestWholeGroundEachSeason(t *testing.T) {
	s := Sample{LandHa: 3, AreaHa: []float64{1, 1, 1, 1, 1, 1}, Count: []float64{4, 0, 2, 9, 1, 1},
		Cluster: []int{1, 2, 3, 1, 2, 3}, Season: []int{31, 31, 31, 32, 32, 32}}
	if e := Stratum(s, Options{}); e.SE != 0 || e.Lower != e.Value || e.Upper != e.Value || e.Method != "count" {
		t.Errorf("a stratum counted whole in two seasons has %+v", e)
	}
	s.AreaHa, s.Count, s.Cluster, s.Season = s.AreaHa[:3], s.Count[:3], s.Cluster[:3], []int{31, 31, 32}
	if e := Stratum(s, Options{}); !(e.SE > 0 && e.Lower < e.Value) {
		t.Errorf("a stratum counted in parts in two seasons has %+v", e)
	}
}
