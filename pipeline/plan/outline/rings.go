package outline

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/plan/geodesy"
)

// ring mends what has one reading, a ring that is not closed and positions that
// are repeated, and refuses what is no ring.
func (r *reading) ring(p path) (path, bool) {
	p = p.distinct()
	if len(p.at) >= 3 && p.at[0] != p.at[len(p.at)-1] {
		gap := geodesy.Inverse(p.at[len(p.at)-1], p.at[0]).Length
		r.notice(p.line, fmt.Sprintf("the ring is not closed: its last position is %.1f m from its first", gap), "it was closed with a straight edge")
		p.at, p.lines = append(p.at, p.at[0]), append(p.lines, p.lines[0])
	}
	if len(p.at) < 4 {
		r.fault(p.line, "", "the ring has fewer than three different positions", "draw it again, or delete it")
		return p, false
	}
	return p, r.edges(p)
}

// distinct leaves out positions that repeat the one before.
func (p path) distinct() path {
	var d path
	d.line = p.line
	for i, at := range p.at {
		if i == 0 || at != p.at[i-1] {
			d.at, d.lines = append(d.at, at), append(d.lines, p.lines[i])
		}
	}
	d.at, d.lines = slices.Clip(d.at), slices.Clip(d.lines)
	return d
}

// edges refuses an edge that goes half round the Earth: one across the
// antimeridian, for RFC 7946 takes it the other way.
func (r *reading) edges(p path) bool {
	for i := 1; i < len(p.at); i++ {
		if math.Abs(p.at[i].Lon-p.at[i-1].Lon) >= 180 {
			r.fault(p.lines[i-1], "", fmt.Sprintf("the edge from longitude %g to %g crosses the antimeridian", p.at[i-1].Lon, p.at[i].Lon),
				"cut the polygon in two at longitude 180 and -180 (RFC 7946, section 3.1.9)")
			return false
		}
	}
	return true
}
