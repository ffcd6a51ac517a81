package demo

import (
	"math"
	"math/rand/v2"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// unit is a plot or transect on its ground, with what comes up in it.
type unit struct {
	slot
	place
	id           string
	land         *stratum
	rng          *rand.Rand
	extent       extent
	slopePercent float64
	areaHa       float64              // horizontal; of a line, out to its half-width
	soil         [populations]float64 // gamma effects, of mean 1
	network      string               // of adaptive cluster plots
}

// extent is a unit's size as it is taped, in metres.
type extent struct {
	radius, length, width, area, halfWidth float64
}

const squareMetresPerHa = 1e4

// newUnit draws the unit of a slot. The number tells its stream of random
// numbers, the place that of its site.
func (w world) newUnit(s slot, id string, number, place int) *unit {
	u := &unit{
		slot:  s,
		place: w.place(s.block, place),
		id:    id,
		land:  &strata[s.stratum],
		rng:   stream(w.seed, unitStream, number),
	}
	u.extent = u.tape()
	u.slopePercent = math.Floor(between(u.rng, 0, steepestPercent))
	u.areaHa = u.horizontalHa()
	for p := range u.soil {
		u.soil[p] = gammaOfMeanOne(u.rng, ClumpingPer100M2*u.areaHa*squareMetresPerHa/100)
	}
	return u
}

// steepestPercent is the steepest slope the crew works on.
const steepestPercent = 55

func (u *unit) tape() extent {
	s := u.size
	e := extent{radius: s.radiusM, length: s.lengthM, width: s.widthM}
	if s.mostM2 > 0 {
		e.area = math.Floor(between(u.rng, s.leastM2, s.mostM2))
	}
	if s.kind != "" {
		e.length, e.halfWidth = s.lengthFt*metresPerFoot, s.halfWidthFt*metresPerFoot
	}
	return e
}

// horizontalHa returns the searched area as a map shows it. A slope shortens
// one dimension, so that the area shrinks by its cosine whatever the shape.
func (u *unit) horizontalHa() float64 {
	e := u.extent
	m2 := e.area + math.Pi*e.radius*e.radius + e.length*e.width + e.length*e.halfWidth*float64(u.size.sides)
	if u.laid == survey.AlongSlope {
		m2 *= math.Cos(math.Atan(u.slopePercent / 100))
	}
	return m2 / squareMetresPerHa
}

// trend is the effect of the place along a systematic layout, of mean 1.
func (u *unit) trend() float64 {
	if !u.systematic {
		return 1
	}
	along := 2*float64(u.order)/float64(u.units-1) - 1 // from -1 to 1
	return 1 + TrendSpan*along
}

// groups returns how many groups of a population come up in the unit in the
// season on average, before its site and soil have their say.
func (u *unit) groups(population int) float64 {
	return u.land.perHa[population] / GroupMean * u.areaHa * u.trend()
}

// ground fills the columns of where the unit lies.
func (u *unit) ground() survey.Ground {
	return survey.Ground{
		Latitude:   column.Finite(u.latitude),
		Longitude:  column.Finite(u.longitude),
		ElevationM: column.Finite(u.elevationM),
		AspectDeg:  column.Finite(u.aspectDeg),
		Roadside:   truth(u.roadside),
	}
}

// plotRow returns the unit's row of plots.csv.
func (u *unit) plotRow() survey.Plot {
	return survey.Plot{
		Plot:         u.id,
		Stratum:      u.land.name,
		Site:         u.site,
		RadiusM:      taped(u.extent.radius),
		LengthM:      taped(u.extent.length),
		WidthM:       taped(u.extent.width),
		AreaM2:       taped(u.extent.area),
		SlopePercent: column.Finite(u.slopePercent),
		Laid:         u.laid,
		Ground:       u.ground(),
	}
}

// transectRow returns the unit's row of transects.csv.
func (u *unit) transectRow() survey.Transect {
	t := survey.Transect{
		Transect:     u.id,
		Stratum:      u.land.name,
		Site:         u.site,
		Kind:         u.size.kind,
		LengthM:      taped(u.extent.length),
		HalfWidthM:   taped(u.extent.halfWidth),
		Sides:        column.Int{Value: u.size.sides, Known: true},
		BearingDeg:   column.Finite(math.Mod(u.aspectDeg+90, 360)), // laid along the contour
		SlopePercent: column.Finite(u.slopePercent),
		Laid:         u.laid,
		Ground:       u.ground(),
	}
	if u.systematic {
		t.Sequence = column.Count(u.order + 1)
	}
	return t
}

// taped returns a length or area of the unit's shape; 0 is one it does not have.
func taped(v float64) column.Float { return column.Float{Value: v, Known: v > 0} }

func truth(v bool) column.Bool { return column.Bool{Value: v, Known: true} }
