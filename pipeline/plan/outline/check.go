package outline

import (
	"fmt"
	"strings"

	"github.com/peterstace/simplefeatures/geom"
)

// polygon checks the rings of a polygon and returns it in metres.
func (r *reading) polygon(rings []path, p plane) (geom.Polygon, bool) {
	polygon := p.geometry(rings)
	if c, ok := findCrossing(polygon); ok {
		r.crossed(c, rings, p)
		return polygon, false
	}
	if polygon.Validate() == nil {
		return polygon, true
	}
	r.invalid(rings, p)
	return polygon, false
}

func (r *reading) crossed(c crossing, rings []path, p plane) {
	line := rings[c.first.ring].lines[c.first.number]
	what := "the outline crosses or touches itself"
	if c.first.ring != c.then.ring {
		what = fmt.Sprintf("the ring crosses that of line %d", rings[c.then.ring].line)
	}
	r.fault(line, "", fmt.Sprintf("%s at %s", what, p.describe(c.at)), "move the positions there, or cut the outline into polygons that do not overlap")
}

// invalid names the ring from which on the polygon is not valid.
func (r *reading) invalid(rings []path, p plane) {
	for n := 1; n <= len(rings); n++ {
		if err := p.geometry(rings[:n]).Validate(); err != nil {
			problem, remedy := explain(err)
			r.fault(rings[n-1].line, "", problem, remedy)
			return
		}
	}
}

// violations are the library's words for what is wrong with a polygon.
var violations = []struct{ word, problem, remedy string }{
	{"outside of exterior", "the hole lies outside of its outline", "make it a polygon of its own, or delete it"},
	{"nested", "the hole lies within another hole", "make it a polygon of its own, or delete it"},
	{"multiple points", "the hole touches another ring along an edge or at several places", "join the two rings"},
	{"disconnected", "the hole cuts the outline into parts", "make a polygon of each part"},
}

func explain(err error) (problem, remedy string) {
	for _, v := range violations {
		if strings.Contains(err.Error(), v.word) {
			return v.problem, v.remedy
		}
	}
	return "the polygon is not valid: " + err.Error(), "draw it again"
}
