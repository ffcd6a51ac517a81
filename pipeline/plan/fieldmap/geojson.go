package fieldmap

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/plan/outline"
)

// WriteUnits writes units as a GeoJSON feature collection: a plot as the point
// of its centre, a line as a line and a strip as a polygon. Its error names a
// unit that lies across the antimeridian, where RFC 7946 has no line.
func WriteUnits(w io.Writer, units []Unit) error {
	var all []feature
	for _, u := range units {
		if across(u.Corners) || across([]geodesy.Position{u.Start, u.End}) {
			return fmt.Errorf("unit %s lies across the antimeridian", u.ID)
		}
		all = append(all, feature{"Feature", u.geometry(), properties{
			Unit: u.ID, Stratum: u.Stratum, Kind: u.Kind, Spare: u.Spare,
			Radius: round(u.Radius, 100), Length: round(u.Length, 100), HalfWidth: round(u.Width/2, 100), Bearing: u.bearing(),
		}})
	}
	return write(w, all)
}

// WriteStrata writes the outlines of strata as a GeoJSON feature collection.
// Its error names a stratum that lies across the antimeridian.
func WriteStrata(w io.Writer, strata []outline.Stratum) error {
	var all []feature
	for _, s := range strata {
		var polygons [][]ring
		for _, polygon := range s.Polygons {
			if across(polygon[0]) {
				return fmt.Errorf("stratum %s lies across the antimeridian", s.Stratum.Stratum)
			}
			polygons = append(polygons, rings(polygon))
		}
		shape := geometry{"MultiPolygon", polygons}
		if len(polygons) == 1 {
			shape = geometry{"Polygon", polygons[0]}
		}
		all = append(all, feature{"Feature", shape, properties{
			Stratum: s.Stratum.Stratum, FireDate: s.FireDate, Severity: s.Severity, AreaHa: round(s.AreaM2/1e4, 1e4),
		}})
	}
	return write(w, all)
}

func (u Unit) geometry() geometry {
	switch {
	case u.Kind == plot:
		return geometry{"Point", position(u.Center)}
	case u.Corners != nil:
		return geometry{"Polygon", rings([][]geodesy.Position{u.Corners})}
	}
	return geometry{"LineString", []position{position(u.Start), position(u.End)}}
}

func (u Unit) bearing() *float64 {
	if u.Kind == plot {
		return nil
	}
	b := math.Mod(round(u.Bearing, 10), 360)
	return &b
}

// across reports whether an edge is shorter across the antimeridian.
func across(positions []geodesy.Position) bool {
	for i := 1; i < len(positions); i++ {
		if math.Abs(positions[i].Lon-positions[i-1].Lon) > 180 {
			return true
		}
	}
	return false
}

// rings closes the rings of a polygon and turns the first counter-clockwise and
// the others clockwise.
func rings(polygon [][]geodesy.Position) []ring {
	all := make([]ring, len(polygon))
	for i, positions := range polygon {
		positions = slices.Clone(positions)
		if (geodesy.Area(positions) > 0) != (i == 0) {
			slices.Reverse(positions)
		}
		if positions[0] != positions[len(positions)-1] {
			positions = append(positions, positions[0])
		}
		for _, at := range positions {
			all[i] = append(all[i], position(at))
		}
	}
	return all
}

// The objects of GeoJSON that are written.
type (
	feature struct {
		Type       string     `json:"type"`
		Geometry   geometry   `json:"geometry"`
		Properties properties `json:"properties"`
	}
	geometry struct {
		Type        string `json:"type"`
		Coordinates any    `json:"coordinates"`
	}
	ring     []position
	position geodesy.Position

	properties struct {
		Unit      string   `json:"unit,omitempty"`
		Stratum   string   `json:"stratum"`
		Kind      string   `json:"kind,omitempty"`
		Spare     int      `json:"spare,omitempty"`
		Radius    float64  `json:"radius_m,omitempty"`
		Length    float64  `json:"length_m,omitempty"`
		HalfWidth float64  `json:"half_width_m,omitempty"`
		Bearing   *float64 `json:"bearing_deg,omitempty"`
		FireDate  string   `json:"fire_date,omitempty"`
		Severity  string   `json:"severity,omitempty"`
		AreaHa    float64  `json:"area_ha,omitempty"`
	}
)

// MarshalJSON writes longitude and latitude with seven decimals.
func (p position) MarshalJSON() ([]byte, error) {
	return []byte("[" + degrees(p.Lon) + "," + degrees(p.Lat) + "]"), nil
}

func round(v, parts float64) float64 { return math.Round(v*parts) / parts }

// write writes a feature on each line.
func write(w io.Writer, features []feature) error {
	if _, err := io.WriteString(w, `{"type":"FeatureCollection","features":[`); err != nil {
		return err
	}
	for i, f := range features {
		line, err := json.Marshal(f)
		if err != nil {
			return err
		}
		separator := ",\n"
		if i == 0 {
			separator = "\n"
		}
		if _, err := w.Write(append([]byte(separator), line...)); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, "\n]}\n")
	return err
}
