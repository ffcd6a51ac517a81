package fieldmap

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"

	"ashtally/pipeline/plan/geodesy"
)

// WriteGPX writes units as GPX 1.1: a waypoint at the centre of a plot and at
// both ends of a transect, and a track along a transect. The waypoint at the
// start of a transect has its name, that at the end its name and "end".
func WriteGPX(w io.Writer, title string, units []Unit) error {
	document := gpx{Version: "1.1", Creator: "ashtally", Namespace: "http://www.topografix.com/GPX/1/1", Title: title}
	for _, u := range units {
		about := u.describe()
		document.Waypoints = append(document.Waypoints, newWaypoint(u.Start, u.ID, about, u.Kind))
		if u.Kind == plot {
			continue
		}
		document.Waypoints = append(document.Waypoints, newWaypoint(u.End, u.ID+" end", about, u.Kind))
		document.Tracks = append(document.Tracks, track{u.ID, about, u.Kind, []waypoint{newWaypoint(u.Start, "", "", ""), newWaypoint(u.End, "", "", "")}})
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", "  ")
	if err := e.Encode(document); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// describe says in a line what there is to do at a unit.
func (u Unit) describe() string {
	about := "Stratum " + u.Stratum + "; "
	switch {
	case u.Kind == plot:
		about += "plot, radius " + metres(u.Radius) + " m"
	case u.Width > 0:
		about += fmt.Sprintf("strip, %s m long and %s m wide, bearing %.1f degrees", metres(u.Length), metres(u.Width), u.Bearing)
	default:
		about += fmt.Sprintf("line, %s m long, bearing %.1f degrees", metres(u.Length), u.Bearing)
	}
	if u.Spare > 0 {
		about += fmt.Sprintf("; spare %d", u.Spare)
	}
	return about
}

// The elements of GPX 1.1 that are written, in the order of its schema.
type (
	gpx struct {
		XMLName   xml.Name   `xml:"gpx"`
		Namespace string     `xml:"xmlns,attr"`
		Version   string     `xml:"version,attr"`
		Creator   string     `xml:"creator,attr"`
		Title     string     `xml:"metadata>name"`
		Waypoints []waypoint `xml:"wpt"`
		Tracks    []track    `xml:"trk"`
	}
	waypoint struct {
		Lat  string `xml:"lat,attr"`
		Lon  string `xml:"lon,attr"`
		Name string `xml:"name,omitempty"`
		Desc string `xml:"desc,omitempty"`
		Type string `xml:"type,omitempty"`
	}
	track struct {
		Name   string     `xml:"name"`
		Desc   string     `xml:"desc"`
		Type   string     `xml:"type"`
		Points []waypoint `xml:"trkseg>trkpt"`
	}
)

// newWaypoint has its longitude within [-180, 180), as the schema wants it.
func newWaypoint(at geodesy.Position, name, about, kind string) waypoint {
	if math.Round(at.Lon*1e7) >= 180e7 {
		at.Lon -= 360
	}
	return waypoint{degrees(at.Lat), degrees(at.Lon), name, about, kind}
}
