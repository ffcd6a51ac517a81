// Package unitsize compares areas of plots and lengths of transects at equal cost.
//
// Fewer large units or many small ones: a large unit saves walking and laying out,
// and evens out more of the clumps; but fewer of them sample less of the ground. Which
// counts for more depends on how k grows with the area a of a unit ([planning.Population]),
//
//	k(a) = k_0 (a / a_0)^b
//
// Where the density is one throughout a unit and differs between units, b = 0: the
// clumps are larger than units, a larger unit only sees more of the same clump, and
// with hours c_1 for a unit and c_2 for a hectare the least CV at equal hours is at
//
//	a = sqrt( c_1 k / (c_2 D) )
//
// (walking left aside). Where the parts of a unit are independent of each other, the
// clumps being far smaller than units, b = 1 and the largest unit is the best. Real
// ground lies between (Fairfield Smith 1938, Journal of Agricultural Science 28:
// 1-23, found the variance per area to fall with a power of the area between 0 and
// 1). A pilot with units of unequal area tells of b; another one does not, and then
// both ends are what can be said.
//
// The same holds for transects of one width, whose area goes with their length. A
// strip crosses more clumps than a plot of its area, so that its k is larger at one
// area; a pilot of plots does not say by how much.
package unitsize

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/planning"
	"ashtally/stats/planning/samplesize"
)

// Point is what a design gives under one assumption of b.
type Point struct {
	Scaling float64 // b
	Units   int     // 0: out of reach
	Hours   float64
	CV      float64 // expected; NaN where out of reach
}

// Row is a design of some area of unit.
type Row struct {
	UnitHa float64
	// Constant has b = 0, Independent b = 1, and Pilot the b in the middle of what is
	// known; it is equal to neither by necessity, and of no use where nothing is known.
	Constant, Independent, Pilot Point
}

// Table is the rows of the designs that are compared.
type Table struct {
	Rows []Row
	// BestConstant, BestIndependent and BestPilot are the places in Rows of the least
	// CV, or the fewest hours; -1 where all are out of reach.
	BestConstant, BestIndependent, BestPilot int
	None                                     *stats.Warning
	Warnings                                 []stats.Warning
}

// AtHours compares what designs give for the same hours, of all their strata
// together. Each design has its own area of unit and its own costs.
func AtHours(known planning.Drawer, designs []samplesize.Design, hours float64) Table {
	if !(hours > 0) {
		panic("unitsize: no hours")
	}
	return table(known, designs, func(d samplesize.Design, p []planning.Population) []int {
		d.MostHours = hours
		return d.Most(p)
	}, func(p Point) float64 { return p.CV })
}

// ForCV compares what designs cost for the same expected CV.
func ForCV(known planning.Drawer, designs []samplesize.Design, cv float64) Table {
	if !(cv > 0) {
		panic("unitsize: no coefficient of variation")
	}
	return table(known, designs, func(d samplesize.Design, p []planning.Population) []int {
		return d.Units(p, cv)
	}, func(p Point) float64 { return p.Hours })
}

type sizer func(d samplesize.Design, p []planning.Population) []int

func table(known planning.Drawer, designs []samplesize.Design, size sizer, figure func(Point) float64) Table {
	t := Table{BestConstant: -1, BestIndependent: -1, BestPilot: -1, None: known.Reason()}
	if t.None != nil {
		return t
	}
	for _, d := range designs {
		t.Warnings = stats.AppendDistinct(t.Warnings, known.Limitations(d.UnitHa)...)
		typical := known.Typical()
		t.Rows = append(t.Rows, Row{
			UnitHa:      d.UnitHa,
			Constant:    point(d, scaled(typical, 0), size),
			Independent: point(d, scaled(typical, 1), size),
			Pilot:       point(d, typical, size),
		})
	}
	t.BestConstant = best(t.Rows, func(r Row) float64 { return figure(r.Constant) })
	t.BestIndependent = best(t.Rows, func(r Row) float64 { return figure(r.Independent) })
	t.BestPilot = best(t.Rows, func(r Row) float64 { return figure(r.Pilot) })
	return t
}

func scaled(populations []planning.Population, b float64) []planning.Population {
	out := make([]planning.Population, len(populations))
	for h, p := range populations {
		p.Scaling = b
		out[h] = p
	}
	return out
}

func point(d samplesize.Design, populations []planning.Population, size sizer) Point {
	p := Point{Scaling: populations[0].Scaling, Hours: math.NaN(), CV: math.NaN()}
	units := size(d, populations)
	if units == nil {
		return p
	}
	for _, n := range units {
		p.Units += n
	}
	p.Hours, p.CV = d.Hours(units), d.CV(populations, units)
	return p
}

func best(rows []Row, figure func(Row) float64) int {
	at := -1
	for i, r := range rows {
		if v := figure(r); !math.IsNaN(v) && (at < 0 || v < figure(rows[at])) {
			at = i
		}
	}
	return at
}

// Area is the best area of a unit where the density is one throughout it, walking
// left aside: sqrt(c_1 k / (c_2 D)). It is +Inf where counts are Poisson or searching
// costs nothing.
func Area(p planning.Population, c planning.Cost) float64 {
	return math.Sqrt(c.SetUp * p.K / (c.PerHa * p.PerHa))
}
