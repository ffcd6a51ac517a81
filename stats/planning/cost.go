package planning

import "math"

// routeConstant is that of the shortest route through n points at random in an
// area A, which approaches c sqrt(n A): Beardwood, Halton & Hammersley (1959),
// Proceedings of the Cambridge Philosophical Society 55: 299-327, proved that there
// is one; its value is by simulation (Johnson & McGeoch 1996; from memory).
const routeConstant = 0.7124

// Cost is what a survey costs in hours of the crew. The zero value costs nothing.
type Cost struct {
	Fixed float64 // of the survey, whatever its units: the way there and back
	SetUp float64 // of a unit: finding its place, laying it out, writing down
	PerHa float64 // of searching a hectare
	PerKm float64 // of walking a kilometre from unit to unit
}

// Unit is the hours of one unit of an area, without the way to it.
func (c Cost) Unit(unitHa float64) float64 { return c.SetUp + c.PerHa*unitHa }

// Walk is the hours of walking between n places at random over an area,
//
//	c 0.7124 sqrt(n A)
//
// the length of the shortest route through them where n is large. A crew that takes
// the places as they come walks further; one that searches a long narrow area, too.
func (c Cost) Walk(places float64, landHa float64) float64 {
	const kmPerHectareSide = 0.1
	return c.PerKm * routeConstant * kmPerHectareSide * math.Sqrt(places*landHa)
}

// Units is how many units of an area, each alone, can be had for the hours, not
// necessarily a whole number: the solution n of
//
//	hours = fixed + n (set-up + per ha x a) + per km x 0.7124 sqrt(n A)
//
// It is 0 if there are no hours beyond the fixed ones, and +Inf if units cost
// nothing. Costs with the root of n are those of Jessen (1942), Iowa Agricultural
// Experiment Station Research Bulletin 304 (from memory).
func (c Cost) Units(hours, unitHa, landHa float64) float64 {
	left := hours - c.Fixed
	if left <= 0 {
		return 0
	}
	per, root := c.Unit(unitHa), c.Walk(1, landHa)
	if per == 0 {
		return math.Pow(left/root, 2)
	}
	x := (math.Sqrt(root*root+4*per*left) - root) / (2 * per)
	return x * x
}
