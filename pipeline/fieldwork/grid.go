package fieldwork

import (
	"math"
	"slices"

	"ashtally/pipeline/result"
)

// Grid is how the plots of a domain came into the sample: drawn from a grid of
// equal plots, or added beside one that met the threshold.
type Grid struct {
	Plots   int       // N, of the whole stratum
	AreaHa  float64   // of one
	At      []int     // plot of each unit-season; a plot has an unit-season for each season
	Seasons []float64 // unit-seasons of each plot
	Drawn   []bool
	Network []int // -1 under the threshold
	Size    []int // of each network, searched or not
	Names   []string
}

// gridOf numbers the plots and networks of a domain, in the order of their names.
func gridOf(s *Season, f Domain) *Grid {
	g := &Grid{}
	var listed int
	size := map[string]int{}
	for i := range s.Units {
		if u := &s.Units[i]; u.Stratum == f.Stratum && countsFor(s, result.Adaptive, u) {
			listed++
			size[u.Network]++
		}
	}
	for _, e := range f.Units {
		if name := e.Unit.Network; name != "" && !slices.Contains(g.Names, name) {
			g.Names = append(g.Names, name)
		}
	}
	slices.Sort(g.Names)
	for _, name := range g.Names {
		g.Size = append(g.Size, size[name])
	}
	last := ""
	for _, e := range f.Units { // the seasons of a plot stand together
		if e.Unit.ID != last || len(g.Seasons) == 0 {
			last = e.Unit.ID
			g.Seasons = append(g.Seasons, 0)
			g.Drawn = append(g.Drawn, e.Unit.Method == result.Plot)
			k, _ := slices.BinarySearch(g.Names, e.Unit.Network)
			if e.Unit.Network == "" {
				k = -1
			}
			g.Network = append(g.Network, k)
			g.AreaHa += e.Unit.AreaHa
		}
		g.At = append(g.At, len(g.Seasons)-1)
		g.Seasons[len(g.Seasons)-1]++
	}
	g.AreaHa /= float64(len(g.Seasons))
	// Both areas are rounded; there are at least as many plots as were laid.
	g.Plots = max(listed, int(math.Round(min(s.Strata[f.Stratum].AreaHa/g.AreaHa, mostPlots))))
	return g
}

// mostPlots bounds a grid: beyond it one more plot changes no digit shown.
const mostPlots = 1e12

// adaptiveDomains returns the domains of a stratum of adaptive cluster plots.
// Roadside plots stay in: they were drawn from the grid like the others.
func adaptiveDomains(s *Season, at int, here []UnitSeason) []Domain {
	warnings := plotsWithoutSequence(s)
	roadside, sited := 0, false
	for _, e := range here {
		sited = sited || e.Unit.Site != ""
		if e.Unit.Roadside {
			roadside++
		}
	}
	if roadside > 0 {
		warnings = append(warnings, RoadsideInGrid.With("%d plots lie along roads and count like any other, as plots of the grid; if they were "+
			"picked for the road, the figure is none of the stratum", roadside))
	}
	if sited {
		warnings = append(warnings, SitesInGrid.With("plots are of sites, and the estimate takes the drawn plots for drawn one by one; if whole "+
			"sites were drawn, the interval is too narrow"))
	}
	var frames []Domain
	for _, years := range append([]string{result.All}, YearsOf(here)...) {
		f := newDomain(result.Adaptive, at, years, here, warnings)
		f.Grid = gridOf(s, f)
		frames = append(frames, f)
	}
	return frames
}
