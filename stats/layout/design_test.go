package layout

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// many marks a test of many samples from one goroutine, in which the race
// detector would find nothing.
func many(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("many samples")
	}
}

var designs = map[string]Design{"random": Random, "systematic": Systematic, "balanced": Balanced}

// Every unit and every spare lies within its polygons and keeps its distances,
// over random polygons with a hole, an excluded polygon and a road. The
// geometry of units is judged by another library.
func TestDesignPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, f := drawGround(t), drawFootprint(t)
		frame, err := NewFrame(g, f)
		if err != nil {
			t.Skip(err)
		}
		judge := newJudge(g)
		for name, design := range designs {
			s := design(frame, 6, 2, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0)))
			if name != "systematic" && (len(s.Units) != 6 || len(s.Spares) != 2) {
				t.Fatalf("%s: %d units and %d spares", name, len(s.Units), len(s.Spares))
			}
			for _, c := range append(s.Units, s.Spares...) {
				if fault := judge.fault(f, c); fault != "" {
					t.Fatalf("%s: the unit at %v %s", name, c, fault)
				}
			}
		}
	})
}

func drawGround(t *rapid.T) Ground {
	size := rapid.Float64Range(50, 5000).Draw(t, "size")
	within := Polygon{drawStar(t, Point{}, size), drawStar(t, Point{}, size*0.4)}
	return Ground{
		Within: []Polygon{within},
		Edge:   rapid.Float64Range(0, size/20).Draw(t, "edge"),
		Apart: []Obstacle{
			{
				Polygons: []Polygon{{drawStar(t, Point{size * 0.6, 0}, size*0.3)}},
				Distance: rapid.Float64Range(0, size/50).Draw(t, "distance"),
			},
			{
				Lines:    []Line{{{-size, rapid.Float64Range(-size, size).Draw(t, "road")}, {0, -size * 0.7}, {size, size}}},
				Distance: rapid.Float64Range(0, size/20).Draw(t, "road buffer"),
			},
		},
	}
}

// drawStar draws a ring round a point that does not cross itself, between half
// the size and the size from it.
func drawStar(t *rapid.T, center Point, size float64) Ring {
	radii := rapid.SliceOfN(rapid.Float64Range(size/2, size), 3, 12).Draw(t, "radii")
	ring := make(Ring, len(radii))
	for i, radius := range radii {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(radii)))
		ring[i] = center.plus(Point{radius * cos, radius * sin})
	}
	return append(ring, ring[0])
}

func drawFootprint(t *rapid.T) Footprint {
	if rapid.Bool().Draw(t, "circular") {
		return Footprint{Radius: rapid.Float64Range(0, 12).Draw(t, "radius")}
	}
	return Footprint{
		Length:  rapid.Float64Range(1, 100).Draw(t, "length"),
		Width:   rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0.1, 10)).Draw(t, "width"),
		Bearing: rapid.Float64Range(0, 360).Draw(t, "bearing"),
	}
}

// judge holds a ground as geometries of the library.
type judge struct {
	within   geom.Geometry
	boundary geom.Geometry
	edge     float64
	apart    []geom.Geometry
	distance []float64
}

func newJudge(g Ground) judge {
	j := judge{within: polygon(g.Within[0]), edge: g.Edge}
	j.boundary = j.within.Boundary()
	for _, o := range g.Apart {
		for _, p := range o.Polygons {
			j.apart, j.distance = append(j.apart, polygon(p)), append(j.distance, o.Distance)
		}
		for _, l := range o.Lines {
			j.apart, j.distance = append(j.apart, line(l).AsGeometry()), append(j.distance, o.Distance)
		}
	}
	return j
}

const slight = 1e-6 // metres of rounding

func (j judge) fault(f Footprint, c Point) string {
	unit := shape(f, c)
	if in, err := geom.CoveredBy(unit, j.within); err != nil || !in {
		return "is not within"
	}
	if d, _ := geom.Distance(unit, j.boundary); d < j.edge+f.Radius-slight {
		return "is too near the edge"
	}
	for i, a := range j.apart {
		if d, _ := geom.Distance(unit, a); d < j.distance[i]+f.Radius-slight {
			return "is too near what it has to keep away from"
		}
	}
	return ""
}

// shape is the unit without its radius.
func shape(f Footprint, c Point) geom.Geometry {
	from, to := f.Ends(c)
	switch {
	case f.Length == 0:
		return geom.XY{X: c.X, Y: c.Y}.AsPoint().AsGeometry()
	case f.Width == 0:
		return line(Line{from, to}).AsGeometry()
	}
	corners := f.Corners(c)
	return polygon(Polygon{append(corners, corners[0])})
}

func polygon(p Polygon) geom.Geometry {
	var rings []geom.LineString
	for _, r := range p {
		rings = append(rings, line(Line(r)))
	}
	return geom.NewPolygon(rings).AsGeometry()
}

func line(l Line) geom.LineString {
	var flat []float64
	for _, p := range l {
		flat = append(flat, p.X, p.Y)
	}
	return geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
}

// burn is a ground with a hole, an edge and a road.
func burn(t *testing.T) *Frame {
	outer := Ring{{0, 0}, {1000, 0}, {1000, 700}, {600, 1000}, {0, 1000}}
	return frame(t, Ground{
		Within: []Polygon{{outer, square(300, 200)[0]}},
		Edge:   10,
		Apart:  []Obstacle{{Lines: []Line{{{0, 800}, {1000, 100}}}, Distance: 20}},
	}, Footprint{Radius: 5.64})
}

// The number of units in each of sixteen regions is what its share of the area
// says, on average over many draws.
func TestDesignUniform(t *testing.T) {
	statstest.Long(t)
	many(t)
	f := burn(t)
	want := regions(f, f.Population(100000))
	for name, c := range map[string]struct{ draws, units int }{
		"random":     {10000, 5},
		"systematic": {10000, 9},
		"balanced":   {1500, 5},
	} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(11, 0))
			rows := make([][]float64, c.draws)
			for d := range rows {
				s := designs[name](f, c.units, 0, r)
				rows[d] = regions(f, s.Units)
				for i := range rows[d] { // counts, not shares
					rows[d][i] *= float64(len(s.Units)) / float64(c.units)
				}
			}
			equalMeans(t, rows, want)
		})
	}
}

// regions are the shares of the points in the regions.
func regions(f *Frame, points []Point) []float64 {
	shares := make([]float64, 16)
	for _, p := range points {
		col := min(3, int(4*(p.X-f.lo.X)/(f.hi.X-f.lo.X)))
		row := min(3, int(4*(p.Y-f.lo.Y)/(f.hi.Y-f.lo.Y)))
		shares[4*row+col] += 1 / float64(len(points))
	}
	return shares
}

// The variance of Voronoi sums of balanced samples is at most a third of that
// of random ones, over 200 draws; likewise with spares drawn beside them, for
// the first half of the units, and where spares stand in for two units.
func TestDesignBalance(t *testing.T) {
	statstest.Long(t)
	many(t)
	f := burn(t)
	population := f.Population(1000)
	r := rand.New(rand.NewPCG(2, 0))
	var random, balanced, systematic, beside, half, replaced float64
	const draws, n = 200, 20
	for range draws {
		random += VoronoiVariance(Random(f, n, 0, r).Units, population, nil) / draws
		systematic += VoronoiVariance(Systematic(f, n, 0, r).Units, population, nil) / draws
		balanced += VoronoiVariance(Balanced(f, n, 0, r).Units, population, nil) / draws
		s := Balanced(f, n, 4, r)
		beside += VoronoiVariance(s.Units, population, nil) / draws
		half += VoronoiVariance(s.Units[:n/2], population, nil) / draws
		r.Shuffle(len(s.Units), func(i, j int) { s.Units[i], s.Units[j] = s.Units[j], s.Units[i] })
		replaced += VoronoiVariance(append(s.Units[2:], s.Spares[:2]...), population, nil) / draws
	}
	t.Logf("variance of Voronoi sums: random %.3f, systematic %.3f, balanced %.3f, with spares %.3f, first half %.3f, two replaced %.3f",
		random, systematic, balanced, beside, half, replaced)
	for name, v := range map[string]float64{"systematic": systematic, "balanced": balanced, "with spares": beside, "first half": half} {
		if v > random/3 {
			t.Errorf("%s: %.3f, over a third of random %.3f", name, v, random)
		}
	}
	if replaced > random/2 {
		t.Errorf("with two units replaced by spares: %.3f, over half of random %.3f", replaced, random)
	}
}

func TestDesignSeed(t *testing.T) {
	f := burn(t)
	for name, design := range designs {
		draw := func(seed uint64) Sample { return design(f, 20, 5, rand.New(rand.NewPCG(seed, 0))) }
		if !reflect.DeepEqual(draw(3), draw(3)) {
			t.Errorf("%s: two samples of one seed", name)
		}
		if reflect.DeepEqual(draw(3), draw(4)) {
			t.Errorf("%s: one sample of two seeds", name)
		}
		if s := design(f, 0, 0, rand.New(rand.NewPCG(1, 0))); len(s.Units)+len(s.Spares)+len(s.Warnings) != 0 {
			t.Errorf("%s: no unit wanted, got %v", name, s)
		}
	}
}

// A systematic sample is a grid, in rows back and forth.
func TestSystematic(t *testing.T) {
	f := frame(t, Ground{Within: []Polygon{square(0, 100)}}, Footprint{})
	s := Systematic(f, 25, 100, rand.New(rand.NewPCG(1, 0)))
	statstest.Relative(t, "spacing", s.Spacing, 20, 1e-3)
	for i, p := range s.Units[1:] {
		statstest.Near(t, "distance to the next", distance(p, s.Units[i]), s.Spacing, 1e-9)
	}
	if len(s.Units) != 25 || len(s.Spares) < 16 || len(s.Spares) > 36 {
		t.Errorf("%d units and %d spares", len(s.Units), len(s.Spares))
	}
	if len(s.Warnings) != 1 || s.Warnings[0].Code != "number-of-spares" {
		t.Errorf("warnings: %v", s.Warnings)
	}
	for _, p := range s.Spares {
		for _, q := range s.Units {
			if distance(p, q) < s.Spacing*0.7 {
				t.Errorf("spare %v is near unit %v", p, q)
			}
		}
	}
}
