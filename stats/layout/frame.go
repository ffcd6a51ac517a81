package layout

import (
	"errors"
	"math"
	"math/rand/v2"
	"sort"

	"github.com/peterstace/simplefeatures/rtree"
)

// ErrNoRoom is returned where a unit fits nowhere.
var ErrNoRoom = errors.New("layout: no room for a unit")

// Frame is a sampling frame: the set of centres from which a unit lies wholly
// on the ground and keeps its distances.
type Frame struct {
	contains func(Point) bool
	cells    []cell
	upTo     []float64 // area of the cells up to each, m2
	area     float64
	lo, hi   Point
}

// cell is a square that a centre may lie in.
type cell struct {
	center Point
	half   float64 // half its side, metres
	whole  bool    // whether all of it belongs to the frame
}

func (c cell) area() float64 { return 4 * c.half * c.half }

// NewFrame returns the sampling frame of units with a footprint on a ground.
// It returns [ErrNoRoom] where they fit nowhere; room narrower than about
// 1/10000 of the ground's length may be overlooked. It panics on a footprint or a
// distance that is negative or not finite.
func NewFrame(g Ground, f Footprint) (*Frame, error) {
	f.check()
	s := newSite(g, f)
	frame := &Frame{contains: s.contains}
	if len(s.within.edges) == 0 {
		return nil, ErrNoRoom
	}
	frame.lo, frame.hi = s.bounds()
	frame.cover(s.classify)
	return frame.measured()
}

// NewFrameFunc returns the sampling frame of the centres between two corners of
// a rectangle for which contains is true.
func NewFrameFunc(lo, hi Point, contains func(Point) bool) (*Frame, error) {
	frame := &Frame{contains: contains, lo: lo, hi: hi}
	frame.cover(func(cell) side { return mixed })
	return frame.measured()
}

// Contains reports whether a unit may have its centre at p.
func (f *Frame) Contains(p Point) bool { return f.contains(p) }

// Area is the area on which a centre may lie, in m2: to about a thousandth,
// and to about a hundredth where the frame is as narrow as a strip.
func (f *Frame) Area() float64 { return f.area }

// draw returns a point with a uniform distribution over the frame: one within
// the cells, drawn again until the frame contains it.
func (f *Frame) draw(r *rand.Rand) Point {
	total := f.upTo[len(f.upTo)-1]
	for {
		at := r.Float64() * total
		i := min(sort.SearchFloat64s(f.upTo, at), len(f.cells)-1)
		c := f.cells[i]
		p := c.point(r)
		if c.whole || f.contains(p) {
			return p
		}
	}
}

// side says where a cell lies.
type side int

const (
	outside side = iota
	mixed
	inside
)

const (
	// firstCells is the number of cells along the longer side of the ground at
	// first.
	firstCells = 16
	// mostCells ends the division of cells. At 4096 along the boundary of a
	// burn they take up about a hundredth of its area, so that few points are
	// drawn in vain, and the frame is made in some hundredths of a second.
	mostCells = 4096
	// divisions ends it where room is so narrow that cells stay few. The cells
	// are then 1/65536 of the ground's length: 15 cm in 10 km.
	divisions = 12
)

// cover covers the frame with cells. Those that the boundary runs through are
// divided in four until they are many.
func (f *Frame) cover(classify func(cell) side) {
	half := max(f.hi.X-f.lo.X, f.hi.Y-f.lo.Y) / firstCells / 2
	open := grid(f.lo, f.hi, half)
	for level := 0; len(open) > 0; level++ {
		var across []cell
		for _, c := range open {
			switch classify(c) {
			case inside:
				c.whole = true
				f.cells = append(f.cells, c)
			case mixed:
				across = append(across, c)
			}
		}
		if 4*len(across) > mostCells || level == divisions {
			f.cells = append(f.cells, across...)
			return
		}
		open = open[:0]
		for _, c := range across {
			open = append(open, c.quarters()...)
		}
	}
}

func (c cell) quarters() []cell {
	h := c.half / 2
	x, y := c.center.X, c.center.Y
	return []cell{
		{Point{x - h, y - h}, h, false}, {Point{x + h, y - h}, h, false},
		{Point{x - h, y + h}, h, false}, {Point{x + h, y + h}, h, false},
	}
}

// grid covers a rectangle with square cells.
func grid(lo, hi Point, half float64) []cell {
	var cells []cell
	for y := lo.Y + half; y-half < hi.Y; y += 2 * half {
		for x := lo.X + half; x-half < hi.X; x += 2 * half {
			cells = append(cells, cell{center: Point{x, y}, half: half})
		}
	}
	return cells
}

// areaPoints is the number of points that estimate the share of the cells on
// the boundary that belongs to the frame. Its standard error is at most
// 0.5/sqrt(16384), 0.4 %, and those cells are about a hundredth of a burn.
const areaPoints = 16384

// measured sets the area from the cells, whole ones exactly. The points in the
// others are drawn at random, so that a boundary along the cells does not bias
// the sum, and always from the same seed.
func (f *Frame) measured() (*Frame, error) {
	partly := 0
	for _, c := range f.cells {
		if !c.whole {
			partly++
		}
	}
	r := rand.New(rand.NewPCG(0, 0))
	total := 0.0
	for _, c := range f.cells {
		total += c.area()
		f.upTo = append(f.upTo, total)
		if c.whole {
			f.area += c.area()
		} else {
			f.area += c.area() * f.share(c, 1+areaPoints/partly, r)
		}
	}
	if f.area == 0 {
		return nil, ErrNoRoom
	}
	return f, nil
}

// share is the share of a number of points in a cell that belong to the frame.
func (f *Frame) share(c cell, points int, r *rand.Rand) float64 {
	within := 0
	for range points {
		if f.contains(c.point(r)) {
			within++
		}
	}
	return float64(within) / float64(points)
}

// point draws a point of the cell.
func (c cell) point(r *rand.Rand) Point {
	return Point{c.center.X + c.half*(2*r.Float64()-1), c.center.Y + c.half*(2*r.Float64()-1)}
}

// site is a ground as a unit with a footprint meets it.
type site struct {
	within, excluded boundary
	barriers         []barrier
	tree             *rtree.RTree
}

func newSite(g Ground, f Footprint) *site {
	s := &site{within: newBoundary(g.Within)}
	s.block(s.within.edges, f, g.Edge)
	var excluded []Polygon
	for _, o := range g.Apart {
		excluded = append(excluded, o.Polygons...)
		for _, p := range o.Polygons {
			s.block(p.edges(), f, o.Distance)
		}
		for _, l := range o.Lines {
			s.block(l.segments(), f, o.Distance)
		}
	}
	s.excluded = newBoundary(excluded)
	items := make([]rtree.BulkItem, len(s.barriers))
	for i, b := range s.barriers {
		items[i] = rtree.BulkItem{Box: b.box(), RecordID: i}
	}
	s.tree = rtree.BulkLoad(items)
	return s
}

func (s *site) block(segments []segment, f Footprint, keep float64) {
	if !(keep >= 0) || math.IsInf(keep, 0) {
		panic("layout: a distance to keep is negative or not finite")
	}
	for _, e := range segments {
		s.barriers = append(s.barriers, f.barrier(e, keep))
	}
}

func (s *site) bounds() (lo, hi Point) {
	box, _ := s.within.tree.Extent()
	return Point{box.MinX, box.MinY}, Point{box.MaxX, box.MaxY}
}

// contains reports whether a centre lies on the ground and behind no barrier. A
// unit with such a centre crosses no boundary, so that all of it lies there.
func (s *site) contains(p Point) bool {
	clear := true
	s.tree.RangeSearch(rtree.Box{MinX: p.X, MaxX: p.X, MinY: p.Y, MaxY: p.Y}, func(i int) error {
		if s.barriers[i].slack(p) <= 0 {
			clear = false
			return rtree.Stop
		}
		return nil
	})
	return clear && s.onGround(p)
}

func (s *site) onGround(p Point) bool { return s.within.holds(p) && !s.excluded.holds(p) }

// classify says where a cell lies. The slack of a barrier changes by no more
// than the distance from the cell's centre, which is at most to its corners.
func (s *site) classify(c cell) side {
	reach := c.half * math.Sqrt2
	at := inside
	box := rtree.Box{
		MinX: c.center.X - reach, MaxX: c.center.X + reach,
		MinY: c.center.Y - reach, MaxY: c.center.Y + reach,
	}
	s.tree.RangeSearch(box, func(i int) error {
		switch slack := s.barriers[i].slack(c.center); {
		case slack <= -reach:
			at = outside
			return rtree.Stop
		case slack < reach:
			at = mixed
		}
		return nil
	})
	if at == inside && !s.onGround(c.center) {
		return outside
	}
	return at
}
