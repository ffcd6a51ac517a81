package plots

import (
	"fmt"
	"strings"
)

// SeasonsSideBySide shows the density of each stratum in several seasons, with
// intervals: a row for each stratum, a lane for each of its seasons.
type SeasonsSideBySide struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Unit of the densities, such as "fruit bodies per hectare".
	Unit string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Rows are drawn in their order; at most [MostSeasons] seasons.
	Rows []SeasonDensity
}

// MostSeasons is how many seasons one figure can tell apart.
const MostSeasons = 4

// SeasonDensity is the density of a stratum in a season.
type SeasonDensity struct {
	Stratum, Season string
	Estimate
}

// Figure draws the seasons. It returns an error where there are none, or a
// density cannot be true.
func (d SeasonsSideBySide) Figure() (Figure, error) {
	in := DensityByStratum{Name: d.Name, Title: d.Title, Unit: d.Unit, Confidence: d.Confidence}
	if in.Name == "" {
		in.Name = "seasons-side-by-side"
	}
	if clean(in.Title) == "" {
		in.Title = "Seasons side by side"
	}
	for _, r := range d.Rows {
		in.Strata = append(in.Strata, StratumDensity{Stratum: r.Stratum, Method: r.Season, Estimate: r.Estimate})
	}
	f, err := in.Figure()
	if err != nil {
		return Figure{}, err
	}
	f.Caption = fmt.Sprintf("Marks are estimates in %s, lines their %s confidence intervals, one for each season. "+
		"Where the same units were seen in both seasons, the change between them is better known than these intervals make it look; its own interval is in the table of changes.", named(d.Unit), percent(d.Confidence))
	var b strings.Builder
	fmt.Fprintf(&b, "Density in %s by stratum and season.", named(d.Unit))
	for _, r := range in.Strata {
		fmt.Fprintf(&b, " %s, %s: %s.", named(r.Stratum), named(r.Method), r.sentence(d.Confidence))
	}
	f.Alt = b.String()
	return f, nil
}
