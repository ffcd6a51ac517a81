package outline

import (
	"fmt"
	"strings"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
)

// File is a GeoJSON document and the name that faults give it.
type File struct {
	Name string
	Data []byte
}

// reading collects what is found wrong in files.
type reading struct {
	file            string
	faults, notices []survey.Fault
}

func (r *reading) place(line int64) survey.Place { return survey.Place{File: r.file, Line: line} }

func (r *reading) fault(line int64, name, problem, remedy string) {
	r.faults = append(r.faults, survey.Fault{Place: r.place(line), Name: name, Problem: problem, Remedy: remedy})
}

func (r *reading) notice(line int64, problem, remedy string) {
	r.notices = append(r.notices, survey.Fault{Place: r.place(line), Problem: problem, Remedy: remedy})
}

// geoJSON takes the features out of a document.
type geoJSON struct{ *reading }

// feature is a feature of a document with the lines and polygons of its
// geometry.
type feature struct {
	line       int64
	properties *value
	polygons   [][]path // rings of each polygon, the outer first
	lines      []path
}

// path is a line or ring as it was read.
type path struct {
	line  int64
	at    []geodesy.Position
	lines []int64 // of each position
}

// features returns those of a document. Faults are noted.
func (r geoJSON) features(f File) []feature {
	r.file = f.Name
	document, err := parse(f.Data)
	if err != nil {
		line := err.(syntaxError).line
		r.fault(line, "", "the file is not valid JSON: "+err.Error(), "export it again as GeoJSON")
		return nil
	}
	r.reference(document)
	switch r.kind(document, "the document", "FeatureCollection", "Feature", "Polygon", "MultiPolygon", "LineString", "MultiLineString", "GeometryCollection") {
	case "":
		return nil
	case "FeatureCollection":
		return r.collection(document)
	case "Feature":
		return r.feature(document)
	}
	found := feature{line: document.line}
	r.geometry(document, &found, 0)
	return []feature{found}
}

// reference refuses coordinates of another system than WGS 84. RFC 7946 has no
// other; its predecessor named them in a member "crs".
func (r geoJSON) reference(document *value) {
	crs := document.get("crs")
	if crs == nil || crs.kind == null {
		return
	}
	name := crs.get("properties").get("name")
	if name != nil {
		for _, known := range []string{"CRS84", "EPSG::4326", "EPSG:4326"} {
			if strings.HasSuffix(name.text, known) {
				return
			}
		}
	}
	r.fault(crs.line, "crs", "the coordinates are in a reference system of their own", "export the file in WGS 84 (EPSG:4326), longitude and latitude in degrees")
}

// kind returns the type of a GeoJSON object if it is among those wanted, and ""
// with a fault otherwise.
func (r geoJSON) kind(v *value, what string, wanted ...string) string {
	if v == nil || v.kind != object {
		line, is := int64(0), "missing"
		if v != nil {
			line, is = v.line, v.kind.String()
		}
		r.fault(line, "", what+" is "+is+" instead of a GeoJSON object", "export the file again as GeoJSON")
		return ""
	}
	t := v.get("type")
	if t == nil || t.kind != text {
		r.fault(v.line, "type", what+" has no type", "export the file again as GeoJSON")
		return ""
	}
	for _, w := range wanted {
		if t.text == w {
			return w
		}
	}
	r.fault(t.line, "type", what+" is of type "+quote(t.text), "it may be "+either(wanted))
	return ""
}

func either(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

func (r geoJSON) collection(document *value) []feature {
	list := document.get("features")
	if list == nil || list.kind != array {
		r.fault(document.line, "features", "the collection has no array of features", "export the file again as GeoJSON")
		return nil
	}
	var all []feature
	for _, v := range list.items {
		if r.kind(v, "a feature", "Feature") != "" {
			all = append(all, r.feature(v)...)
		}
	}
	if len(list.numbers) > 0 {
		r.fault(list.line, "features", "a feature is a number", "export the file again as GeoJSON")
	}
	return all
}

// feature returns none where there is a fault in it.
func (r geoJSON) feature(v *value) []feature {
	found := feature{line: v.line, properties: v.get("properties")}
	before := len(r.faults)
	r.geometry(v.get("geometry"), &found, 0)
	if len(r.faults) > before {
		return nil
	}
	return []feature{found}
}

// geometry adds the lines and polygons of a geometry to a feature.
func (r geoJSON) geometry(v *value, to *feature, depth int) {
	kind := r.kind(v, "the geometry of a feature", "Polygon", "MultiPolygon", "LineString", "MultiLineString", "GeometryCollection")
	if kind == "" {
		return
	}
	if kind == "GeometryCollection" {
		r.geometries(v, to, depth)
		return
	}
	coordinates := v.get("coordinates")
	if coordinates == nil || coordinates.kind != array || coordinates.count() == 0 {
		r.fault(v.line, "coordinates", "the geometry has no coordinates", "draw it again, or delete the feature")
		return
	}
	switch kind {
	case "Polygon":
		to.polygons = append(to.polygons, r.paths(coordinates))
	case "MultiPolygon":
		for _, polygon := range r.elements(coordinates) {
			to.polygons = append(to.polygons, r.paths(polygon))
		}
	case "LineString":
		to.lines = append(to.lines, r.path(coordinates))
	case "MultiLineString":
		to.lines = append(to.lines, r.paths(coordinates)...)
	}
}

func (r geoJSON) geometries(v *value, to *feature, depth int) {
	list := v.get("geometries")
	if list == nil || list.kind != array || depth > 2 {
		r.fault(v.line, "geometries", "the collection has no array of geometries", "export the file again as GeoJSON")
		return
	}
	for _, g := range r.elements(list) {
		r.geometry(g, to, depth+1)
	}
}

// elements are those of an array of arrays or objects. Numbers among them are a
// fault.
func (r geoJSON) elements(v *value) []*value {
	if v.kind != array || len(v.numbers) > 0 {
		r.fault(v.line, "coordinates", "positions are nested less deep than their type says", "export the file again as GeoJSON")
		return nil
	}
	return v.items
}

func (r geoJSON) paths(v *value) []path {
	var all []path
	for _, ring := range r.elements(v) {
		all = append(all, r.path(ring))
	}
	return all
}

func (r geoJSON) path(v *value) path {
	p := path{line: v.line}
	for _, position := range r.elements(v) {
		at, ok := r.position(position)
		if !ok {
			return p // one fault of a kind that all positions are likely to have
		}
		p.at, p.lines = append(p.at, at), append(p.lines, position.line)
	}
	return p
}

// position reads longitude and latitude. A third number is the elevation, which
// nothing here needs.
func (r geoJSON) position(v *value) (geodesy.Position, bool) {
	if v.kind != array || len(v.items) > 0 || len(v.numbers) < 2 {
		r.fault(v.line, "coordinates", "a position is not an array of longitude and latitude", "write [longitude, latitude] in degrees, as in [-118.41, 46.11]")
		return geodesy.Position{}, false
	}
	lon, lat := v.numbers[0], v.numbers[1]
	if problem, remedy := outOfRange(lon, lat); problem != "" {
		r.fault(v.line, "coordinates", fmt.Sprintf("[%g, %g]: %s", lon, lat, problem), remedy)
		return geodesy.Position{}, false
	}
	return geodesy.Position{Lon: lon, Lat: lat}, true
}

// outOfRange says what is wrong with degrees that are none.
func outOfRange(lon, lat float64) (problem, remedy string) {
	within := func(v, most float64) bool { return v >= -most && v <= most }
	switch {
	case within(lon, 180) && within(lat, 90):
		return "", ""
	case within(lon, 90) && within(lat, 180):
		return "the latitude is not between -90 and 90", "GeoJSON has longitude first, then latitude: swap them"
	case within(lon, 360) && within(lat, 90):
		return "the longitude is not between -180 and 180", "subtract or add 360; cut outlines in two at the antimeridian (RFC 7946, section 3.1.9)"
	}
	return "these are not degrees", "the file seems to be in metres of a projection: export it in WGS 84 (EPSG:4326)"
}
