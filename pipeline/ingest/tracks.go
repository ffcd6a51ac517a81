package ingest

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
)

// TracksTable is the table of .gpx files among the inputs.
const TracksTable = "tracks"

// tracks are the waypoints and tracks of the .gpx files beside the sheets, by the
// key of their names: GPX 1.1 (Topografix 2004), in WGS 84.
type tracks struct {
	points map[string]waypoint
	lines  map[string]track
}

type waypoint struct {
	at   geodesy.Position
	file string
}

// track is a walk along a transect.
type track struct {
	file       string
	start, end geodesy.Position
	lengthM    float64 // horizontal, of the way without its jitter
	bearingDeg float64 // from start to end
}

// maxTracks is how many .gpx files are read, and jitterM how far a receiver under
// trees strays from the way walked (common practice, no source).
const (
	maxTracks = 200
	jitterM   = 5
)

// tracks reads the .gpx files of the folder, in order of their names.
func (o *opener) tracks() {
	entries, err := fs.ReadDir(o.root.FS(), ".")
	if err != nil {
		return // the folder was read before
	}
	var files []string
	for _, e := range entries {
		if strings.HasSuffix(strings.ToLower(e.Name()), ".gpx") && !hidden(e.Name()) {
			files = append(files, e.Name())
		}
	}
	if len(files) > maxTracks {
		o.fault(fileFault(files[maxTracks], fmt.Sprintf("is one .gpx file more than %d", maxTracks), "join them, or move those that are not needed"))
		files = files[:maxTracks]
	}
	for _, name := range files {
		data, input, err := wholeFile(o.root, name, TracksTable)
		if err != nil {
			problem, remedy := readProblem(err)
			o.fault(fileFault(name, problem, remedy))
			continue
		}
		o.folder.input = append(o.folder.input, input)
		if o.folder.tracks == nil {
			o.folder.tracks = &tracks{map[string]waypoint{}, map[string]track{}}
		}
		if line, ok := o.folder.tracks.read(name, data); !ok {
			o.fault(survey.Fault{Place: survey.Place{File: name, Line: line}, Problem: "is not GPX",
				Remedy: "export the track again as GPX 1.1, or move the file elsewhere"})
		}
	}
}

// read takes the waypoints and tracks of a file. A name that comes again keeps its
// first position.
func (t *tracks) read(file string, data []byte) (line int64, ok bool) {
	in := xml.NewDecoder(bytes.NewReader(data))
	var name *string // of the waypoint, route or track that is open
	var point geodesy.Position
	var way []geodesy.Position
	var element, text string
	root := false
	for {
		token, err := in.Token()
		if err == io.EOF {
			return 0, root
		}
		if err != nil {
			line, _ := in.InputPos()
			return int64(line), false
		}
		switch e := token.(type) {
		case xml.StartElement:
			element, text = e.Name.Local, ""
			switch element {
			case "gpx":
				root = true
			case "wpt", "trk", "rte":
				name, way = new(string), nil
			}
			if element == "wpt" || element == "trkpt" || element == "rtept" {
				p, ok := positionOf(e)
				if !ok {
					line, _ := in.InputPos()
					return int64(line), false
				}
				if point = p; element != "wpt" {
					way = append(way, p)
				}
			}
		case xml.CharData:
			text += string(e)
		case xml.EndElement:
			switch e.Name.Local {
			case "name":
				if name != nil && *name == "" && element == "name" {
					*name = strings.TrimSpace(text)
				}
			case "wpt":
				t.waypoint(*name, waypoint{point, file})
				name = nil
			case "trk", "rte":
				t.track(*name, file, way)
				name = nil
			}
		}
	}
}

func positionOf(e xml.StartElement) (geodesy.Position, bool) {
	p := geodesy.Position{Lat: math.NaN(), Lon: math.NaN()}
	for _, a := range e.Attr {
		v, err := strconv.ParseFloat(strings.TrimSpace(a.Value), 64)
		switch {
		case err != nil:
		case a.Name.Local == "lat":
			p.Lat = v
		case a.Name.Local == "lon":
			p.Lon = v
		}
	}
	return p, math.Abs(p.Lat) <= 90 && math.Abs(p.Lon) <= 180
}

func (t *tracks) waypoint(name string, p waypoint) {
	key := plausible.Key(name)
	if _, twice := t.points[key]; !twice && key != "" {
		t.points[key] = p
	}
}

func (t *tracks) track(name, file string, way []geodesy.Position) {
	key := plausible.Key(name)
	if _, twice := t.lines[key]; twice || key == "" || len(way) < 2 {
		return
	}
	kept := simplified(way)
	one := track{file: file, start: way[0], end: way[len(way)-1]}
	for i := 1; i < len(kept); i++ {
		one.lengthM += geodesy.Inverse(kept[i-1], kept[i]).Length
	}
	one.bearingDeg = geodesy.Inverse(one.start, one.end).Azimuth
	t.lines[key] = one
}

// simplified is the way without the jitter of its receiver: of the points between
// two that are kept, the farthest from the line through these is kept as well where
// it is farther than jitterM (Douglas & Peucker 1973, Cartographica 10: 112-122).
func simplified(way []geodesy.Position) []geodesy.Position {
	keep := make([]bool, len(way))
	keep[0], keep[len(way)-1] = true, true
	spans := [][2]int{{0, len(way) - 1}}
	for len(spans) > 0 {
		s := spans[len(spans)-1]
		spans = spans[:len(spans)-1]
		far, at := float64(jitterM), -1
		for i := s[0] + 1; i < s[1]; i++ {
			if d := offLine(way[i], way[s[0]], way[s[1]]); d > far {
				far, at = d, i
			}
		}
		if at > 0 {
			keep[at] = true
			spans = append(spans, [2]int{s[0], at}, [2]int{at, s[1]})
		}
	}
	var kept []geodesy.Position
	for i, p := range way {
		if keep[i] {
			kept = append(kept, p)
		}
	}
	return kept
}

// offLine is the distance of p from the segment a to b, in metres, on a plane at a.
func offLine(p, a, b geodesy.Position) float64 {
	const perDegree = 111_195
	east := func(q geodesy.Position) float64 {
		return perDegree * math.Remainder(q.Lon-a.Lon, 360) * math.Cos(a.Lat*math.Pi/180)
	}
	north := func(q geodesy.Position) float64 { return perDegree * (q.Lat - a.Lat) }
	x, y, bx, by := east(p), north(p), east(b), north(b)
	share := 0.0
	if l := bx*bx + by*by; l > 0 {
		share = min(1, max(0, (x*bx+y*by)/l))
	}
	return math.Hypot(x-share*bx, y-share*by)
}

// trackedLength is the column whose empty cells a track may fill.
const trackedLength = "length_m"

// unlessWritten forgets a value that the sheet does not have: one that a track gave
// to the row before, where the file has no such column.
func unlessWritten(l *line, name string, v *column.Float) {
	if l.text(name) == "" {
		*v = column.Float{}
	}
}

// trackedPlot gives a plot the position of its waypoint, or holds its own to it.
func trackedPlot(l *line, row *survey.Plot) {
	if l.folder.tracks == nil {
		return
	}
	unlessWritten(l, "latitude", &row.Latitude)
	unlessWritten(l, "longitude", &row.Longitude)
	if p, ok := l.folder.tracks.points[plausible.Key(row.Plot)]; ok {
		trackedAt(l, &row.Ground, p.at, "the waypoint "+phrase.Quote(row.Plot)+" of "+p.file)
	}
}

// trackedTransect gives a transect the position, bearing and length of its track
// where the sheet has none, and holds those of the sheet to them.
func trackedTransect(l *line, row *survey.Transect) {
	if l.folder.tracks == nil {
		return
	}
	unlessWritten(l, "latitude", &row.Latitude)
	unlessWritten(l, "longitude", &row.Longitude)
	unlessWritten(l, "bearing_deg", &row.BearingDeg)
	unlessWritten(l, trackedLength, &row.LengthM)
	t, ok := l.folder.tracks.lines[plausible.Key(row.Transect)]
	if !ok {
		return
	}
	check := l.folder.Settings.Check
	where := "the track " + phrase.Quote(row.Transect) + " of " + t.file
	trackedAt(l, &row.Ground, t.start, where)
	if turn := math.Abs(math.Remainder(row.BearingDeg.Value-t.bearingDeg, 360)); !row.BearingDeg.Known {
		row.BearingDeg = column.Float{Value: math.Round(t.bearingDeg*10) / 10, Known: true}
	} else if turn > check.TrackBearingDeg {
		problem := fmt.Sprintf("%s is %.0f degrees from %s, %.0f degrees", phrase.Quote(l.text("bearing_deg")), turn, where, t.bearingDeg)
		if 180-turn <= check.TrackBearingDeg {
			problem += ": it was walked the other way"
		}
		l.ask(survey.OfTrack, "bearing_deg", problem, "is the bearing magnetic, or back along the line? "+rightAsItIs)
	}
	ground := 1.0
	if row.Laid == survey.AlongSlope {
		ground = math.Hypot(1, row.SlopePercent.Value/100)
	}
	if !row.LengthM.Known {
		row.LengthM = column.Float{Value: math.Round(t.lengthM*ground*10) / 10, Known: t.lengthM > 0}
		return
	}
	// A receiver is some metres off at either end.
	if off := math.Abs(row.HorizontalM() - t.lengthM); off > 2*jitterM && off > check.TrackLengthShare*t.lengthM {
		c := l.figure("length_m", row.LengthM, 1)
		l.ask(survey.OfTrack, "length_m", fmt.Sprintf("%s is %s on the map, and %s is %s long", c.shown(),
			c.inHeader(row.HorizontalM()), where, c.inHeader(t.lengthM)),
			join(c.guess(func(meant float64) bool { return math.Abs(meant/ground-t.lengthM) <= check.TrackLengthShare*t.lengthM }), rightAsItIs))
	}
}

// trackedAt gives a unit a position, or holds the one that it has to it, its
// coordinates being rounded.
func trackedAt(l *line, g *survey.Ground, p geodesy.Position, where string) {
	if !g.Latitude.Known && !g.Longitude.Known {
		g.Latitude, g.Longitude = column.Float{Value: p.Lat, Known: true}, column.Float{Value: p.Lon, Known: true}
		return
	}
	if !g.Latitude.Known || !g.Longitude.Known {
		return
	}
	most := l.folder.Settings.Check.TrackM + roundedM(l.text("latitude")) + roundedM(l.text("longitude"))
	if m := geodesy.Inverse(geodesy.Position{Lat: g.Latitude.Value, Lon: g.Longitude.Value}, p).Length; m > most {
		l.ask(survey.OfTrack, "latitude", fmt.Sprintf("%s, %s lies %s m from %s, %s, %s", l.text("latitude"), l.text("longitude"),
			phrase.Decimal(toDigits(m, 3)), where, phrase.Decimal(toDigits(p.Lat, 8)), phrase.Decimal(toDigits(p.Lon, 8))), rightAsItIs)
	}
}

// roundedM is half of the last decimal of a coordinate, as metres of latitude.
func roundedM(text string) float64 {
	decimals := 0
	if i := strings.IndexAny(text, ".,"); i >= 0 {
		decimals = len(text) - i - 1
	}
	return 111_195 * math.Pow10(-decimals) / 2
}

// unnamed tells of tracks that are there and of no unit.
func (a *acrossRows) unnamed() {
	t := a.folder.tracks
	if t == nil {
		return
	}
	if _, lost := a.known.lostUnit(); lost {
		return
	}
	units := map[string]bool{}
	for _, u := range a.known.unitOrder {
		units[plausible.Key(u.name)] = true
	}
	of := map[string]bool{}
	for key, p := range t.points {
		of[p.file] = of[p.file] || units[key]
	}
	for key, l := range t.lines {
		of[l.file] = of[l.file] || units[key]
	}
	for _, in := range a.folder.input {
		if in.Table == TracksTable && !of[in.Name] {
			a.notice(fileFault(in.Name, "has no waypoint and no track with the name of a unit",
				"name them as the plots and transects in the sheets, if they are theirs"))
		}
	}
}
