package outline

import (
	"github.com/peterstace/simplefeatures/geom"
	"github.com/peterstace/simplefeatures/rtree"
)

// edge is an edge of a ring of a polygon.
type edge struct {
	ring, number int
	from, to     geom.XY
}

// crossing is a point that two edges share and should not.
type crossing struct {
	at          geom.XY
	first, then edge // in the order of the document
}

// crossing finds the first edge, in the order of the document, that meets
// another of its polygon. Edges of one ring may meet at the position between
// them alone. Edges of different rings may touch at a position of one of them,
// which is for the library to judge.
func findCrossing(polygon geom.Polygon) (crossing, bool) {
	edges := edgesOf(polygon)
	items := make([]rtree.BulkItem, len(edges))
	for i, e := range edges {
		items[i] = rtree.BulkItem{Box: e.box(), RecordID: i}
	}
	tree := rtree.BulkLoad(items)
	rings := polygon.Coordinates()
	for i, e := range edges {
		best, found := crossing{}, -1
		tree.RangeSearch(e.box(), func(j int) error {
			if j <= i || found >= 0 && j > found {
				return nil
			}
			if at, ok := e.meets(edges[j], rings[e.ring].Length()-1); ok {
				best, found = crossing{at, e, edges[j]}, j
			}
			return nil
		})
		if found >= 0 {
			return best, true
		}
	}
	return crossing{}, false
}

func edgesOf(polygon geom.Polygon) []edge {
	var edges []edge
	for k, seq := range polygon.Coordinates() {
		for i := 1; i < seq.Length(); i++ {
			edges = append(edges, edge{k, i - 1, seq.GetXY(i - 1), seq.GetXY(i)})
		}
	}
	return edges
}

func (e edge) box() rtree.Box {
	return rtree.Box{
		MinX: min(e.from.X, e.to.X), MaxX: max(e.from.X, e.to.X),
		MinY: min(e.from.Y, e.to.Y), MaxY: max(e.from.Y, e.to.Y),
	}
}

// meets reports where an edge meets a later one of the polygon. Its ring has n
// edges.
func (e edge) meets(f edge, n int) (geom.XY, bool) {
	if e.ring != f.ring {
		return e.crosses(f)
	}
	switch {
	case f.number == e.number+1:
		return e.to, folded(e.from, e.to, f.to)
	case e.number == 0 && f.number == n-1:
		return e.from, folded(f.from, e.from, e.to)
	}
	if at, ok := e.crosses(f); ok {
		return at, true
	}
	for _, t := range []struct {
		p    geom.XY
		edge edge
	}{{f.from, e}, {f.to, e}, {e.from, f}, {e.to, f}} {
		if t.edge.holds(t.p) {
			return t.p, true
		}
	}
	return geom.XY{}, false
}

// folded reports whether the way through b goes back on itself.
func folded(a, b, c geom.XY) bool {
	u, v := b.Sub(a), c.Sub(b)
	return u.Cross(v) == 0 && u.Dot(v) < 0
}

// holds reports whether a point lies on the edge.
func (e edge) holds(p geom.XY) bool {
	u, v := e.to.Sub(e.from), p.Sub(e.from)
	t := u.Dot(v)
	return u.Cross(v) == 0 && t >= 0 && t <= u.Dot(u)
}

// crosses reports where the interiors of two edges cross.
func (e edge) crosses(f edge) (geom.XY, bool) {
	u, v, w := e.to.Sub(e.from), f.to.Sub(f.from), f.from.Sub(e.from)
	d := u.Cross(v)
	if d == 0 {
		return geom.XY{}, false
	}
	s, t := w.Cross(v)/d, w.Cross(u)/d
	if s <= 0 || s >= 1 || t <= 0 || t >= 1 {
		return geom.XY{}, false
	}
	return e.from.Add(u.Scale(s)), true
}
