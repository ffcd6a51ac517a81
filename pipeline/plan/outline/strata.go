package outline

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/peterstace/simplefeatures/geom"

	"ashtally/pipeline/column"
	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
)

// Polygon is an outer ring and the rings of its holes, in degrees on WGS 84.
// The last position of a ring repeats its first.
type Polygon [][]geodesy.Position

// Area is that on the ellipsoid, m2, with geodesics as edges.
func (p Polygon) Area() float64 {
	area := 0.0
	for i, ring := range p {
		if i == 0 {
			area += math.Abs(geodesy.Area(ring))
		} else {
			area -= math.Abs(geodesy.Area(ring))
		}
	}
	return area
}

// Stratum is a stratum of the outline: all features of its name together.
type Stratum struct {
	survey.Stratum           // AreaHa is of the whole outline, excluded ground with it
	Polygons       []Polygon // they do not overlap; outer rings counter-clockwise, holes clockwise
	AreaM2         float64   // area on the ellipsoid, m2
	ExcludedM2     float64   // of it, what lies in excluded polygons

	within geom.Geometry // in metres
}

// part is a feature of a stratum with its polygons in metres.
type part struct {
	survey.Stratum
	polygons []geom.Polygon
	read     []Polygon // the same in degrees, as they were read
}

// parts reads the features of the outline.
func (r *reading) parts(features []feature, p plane) []part {
	var all []part
	for _, f := range features {
		one := part{Stratum: r.stratum(f)}
		one.polygons, one.read = r.checked(f.polygons, p)
		all = append(all, one)
	}
	return all
}

// checked returns the polygons that are without fault.
func (r *reading) checked(all [][]path, p plane) ([]geom.Polygon, []Polygon) {
	var in []geom.Polygon
	var read []Polygon
	for _, rings := range all {
		polygon, ok := r.polygon(rings, p)
		if !ok {
			continue
		}
		var positions Polygon
		for _, ring := range rings {
			positions = append(positions, ring.at)
		}
		in, read = append(in, polygon), append(read, positions)
	}
	return in, read
}

// stratum reads the properties.
func (r *reading) stratum(f feature) survey.Stratum {
	var s survey.Stratum
	s.Place = r.place(f.line)
	s.Stratum = r.property(f, "stratum")
	if s.Stratum == "" {
		r.fault(f.line, "stratum", "the feature does not say which stratum it is", `give it the property "stratum"`)
	}
	s.FireDate = r.property(f, "fire_date")
	if s.FireDate != "" && !fireDate(s.FireDate) {
		r.fault(f.line, "fire_date", quote(s.FireDate)+" is not a year or a date of the form YYYY-MM-DD", "write 2030 or 2030-08-14; leave it out for unburned land")
	}
	s.Severity = r.property(f, "severity")
	return s
}

// property is a property as text, "" where it is not given. A whole number
// counts as text, for years and names that consist of digits.
func (r *reading) property(f feature, name string) string {
	v := f.properties.get(name)
	switch {
	case v == nil || v.kind == null:
		return ""
	case v.kind == text:
		return strings.TrimSpace(v.text)
	case v.kind == number:
		if n, err := strconv.ParseFloat(v.text, 64); err == nil && n == math.Trunc(n) && math.Abs(n) < 1e15 {
			return strconv.FormatFloat(n, 'f', -1, 64)
		}
	}
	r.fault(v.line, name, "the property is "+v.kind.String()+" instead of a text", "write it in quotes")
	return ""
}

// fireDate holds a date or year to the declaration of the column in strata.csv.
func fireDate(s string) bool {
	year, err := strconv.Atoi(s[:min(4, len(s))])
	if err != nil || len(s) < 4 {
		return false
	}
	for _, c := range survey.Strata.Columns {
		if c.Name == "fire_date" && !c.Bounds.Hold(float64(year)) {
			return false
		}
	}
	if len(s) == 4 {
		return true
	}
	_, err = column.ParseDate(s)
	return err == nil
}

// strata joins the parts of each stratum, in the order of their first features.
func (r *reading) strata(parts []part, p plane) []Stratum {
	var names []string
	byName := map[string][]part{}
	for _, one := range parts {
		if byName[one.Stratum.Stratum] == nil {
			names = append(names, one.Stratum.Stratum)
		}
		byName[one.Stratum.Stratum] = append(byName[one.Stratum.Stratum], one)
	}
	var all []Stratum
	for _, name := range names {
		if s, ok := r.joined(byName[name], p); ok {
			all = append(all, s)
		}
	}
	return all
}

// joined is a stratum of its parts.
func (r *reading) joined(parts []part, p plane) (Stratum, bool) {
	s := Stratum{Stratum: parts[0].Stratum}
	var polygons []geom.Polygon
	for _, one := range parts {
		if one.FireDate != s.FireDate || one.Severity != s.Severity {
			r.fault(one.Line, "", fmt.Sprintf("stratum %s has another fire date or severity than in line %d", quote(one.Stratum.Stratum), s.Line),
				"give all features of a stratum the same, or make strata of them")
			return s, false
		}
		polygons = append(polygons, one.polygons...)
		s.Polygons = append(s.Polygons, one.read...)
	}
	whole, err := union(polygons)
	if err != nil {
		r.fault(s.Line, "", fmt.Sprintf("the polygons of stratum %s cannot be joined: %v", quote(s.Stratum.Stratum), err),
			"redraw them so that they share their boundaries exactly or lie apart")
		return s, false
	}
	s.within = whole
	if apart := sum(polygons) - whole.Area(); len(polygons) > 1 {
		if apart > slight {
			r.notice(s.Line, fmt.Sprintf("the polygons of stratum %s overlap by %.0f m2", quote(s.Stratum.Stratum), apart), "that ground was counted once")
		}
		s.Polygons = nil
		for _, polygon := range polygonsOf(whole) {
			s.Polygons = append(s.Polygons, p.positions(polygon))
		}
	}
	for i, polygon := range s.Polygons {
		s.Polygons[i] = polygon.righthanded()
		s.AreaM2 += polygon.Area()
	}
	s.AreaHa = column.Finite(s.AreaM2 / 1e4)
	return s, true
}

// slight is the area that digitizing leaves between polygons that share a
// boundary, m2: what is smaller is not spoken of.
const slight = 1

func sum(polygons []geom.Polygon) float64 {
	total := 0.0
	for _, p := range polygons {
		total += p.Area()
	}
	return total
}
