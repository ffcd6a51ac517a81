package ingest

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// A degree of the meridian at 46 degrees north is 111,151 m: 111132.95 - 559.85
// cos 2p + 1.175 cos 4p (series for WGS 84; from memory, to the metre).
const meridianM = 111_151.0

// walk is a track due north from 46 N 120 W, with a jitter of some metres.
func walk(name string, metres float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "<trk><name>%s</name><trkseg>", name)
	for i := range 21 {
		east := 3 * float64(i%2) * float64(min(i, 20-i, 1)) // m, not at the ends
		fmt.Fprintf(&b, `<trkpt lat="%.8f" lon="%.8f"><time>2031-05-18T09:00:00Z</time></trkpt>`, 46+metres/meridianM*float64(i)/20, -120+east/(meridianM*math.Cos(46*math.Pi/180)))
	}
	return b.String() + "</trkseg></trk>\n"
}

func gpx(parts ...string) string {
	return `<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">` + strings.Join(parts, "") + "</gpx>\n"
}

const plotPoint = `<wpt lat="46.001" lon="-120.002"><ele>900</ele><name>P1</name></wpt>`

// gatherTransects reads the base with a .gpx file and keeps plots and transects.
func gatherTransects(t *testing.T, changes map[string]string) (g gathered, plots []survey.Plot, transects []survey.Transect) {
	t.Helper()
	folder, faults, err := Open(write(t, with(changes)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range faults {
		g.faults = append(g.faults, f.String())
	}
	g.rows = map[string][]string{}
	sink := g.sink()
	sink.Plot = func(r *survey.Plot) error { plots = append(plots, *r); return nil }
	sink.Transect = func(r *survey.Transect) error { transects = append(transects, *r); return nil }
	if g.summary, err = folder.Read(t.Context(), sink, Options{}); err != nil {
		t.Fatal(err)
	}
	return g, plots, transects
}

// A track gives what the sheet leaves empty: a transect's length, bearing and
// start, a plot's position.
func TestTracksFill(t *testing.T) {
	g, plots, transects := gatherTransects(t, map[string]string{
		"transects.csv": "transect,stratum,kind,length_m,half_width_m,bearing_deg,laid,slope_percent\nT1,burn,strip,,2,,slope,75\nL1,burn,line,80,,,,\n",
		"walk.gpx":      gpx(plotPoint, walk("T1", 50), walk("L1", 80)),
	})
	if len(g.faults)+len(g.questions)+len(g.notices) > 0 {
		t.Fatalf("faults %v, questions %v, notices %v", g.faults, g.questions, g.notices)
	}
	// Taped along a slope of 75 %, 50 m of map are 50 * 1.25 = 62.5 m.
	if got := transects[0]; math.Abs(got.LengthM.Value-62.5) > 0.11 || math.Abs(math.Remainder(got.BearingDeg.Value, 360)) > 0.1 || got.Latitude.Value != 46 || got.Longitude.Value != -120 {
		t.Errorf("T1: %+v", got)
	}
	if got := transects[1]; got.LengthM.Value != 80 || !got.BearingDeg.Known {
		t.Errorf("L1: %+v", got)
	}
	if got := plots[0]; got.Latitude.Value != 46.001 || got.Longitude.Value != -120.002 || plots[1].Latitude.Known {
		t.Errorf("plots: %+v", plots)
	}
}

// What differs from the sheet is asked about; what rounding explains is not.
func TestTracksDiffer(t *testing.T) {
	transect := func(length, bearing, lat string) string {
		return "transect,stratum,kind,length_m,half_width_m,bearing_deg,latitude,longitude\nT1,burn,strip,50,2,,,\nL1,burn,line," + length + ",," + bearing + "," + lat + ",-120\n"
	}
	for _, c := range []struct{ sheet, want string }{
		{transect("80", "5", "46.000"), ""},
		{transect("88", "", "46.000"), ""}, // within the error of both ends
		{transect("262", "", "46.000"), `transects.csv:3:4: length_m: "262" m is 262 m on the map, and the track "L1" of walk.gpx is 80 m long; is it 79.9 m if it was written in feet?`},
		{transect("80", "90", "46.000"), `transects.csv:3:6: bearing_deg: "90" is 90 degrees from the track "L1" of walk.gpx, 0 degrees`},
		{transect("80", "181", "46.000"), `transects.csv:3:6: bearing_deg: "181" is 179 degrees from the track "L1" of walk.gpx, 0 degrees: it was walked the other way`},
		{transect("80", "", "46.0003"), ""}, // 33 m, of which the rounding of both coordinates may be 11
		{transect("80", "", "46.0100"), `transects.csv:3:7: latitude: 46.0100, -120 lies 1110 m from the track "L1" of walk.gpx, 46, -120`},
	} {
		sheet := strings.Replace(c.sheet, ",-120\n", ",-120.0000\n", 1)
		want := strings.Replace(c.want, ", -120 lies", ", -120.0000 lies", 1)
		g, _, _ := gatherTransects(t, map[string]string{"transects.csv": sheet, "walk.gpx": gpx(walk("L1", 80))})
		if len(g.faults) > 0 || want == "" && len(g.questions) > 0 || want != "" && (len(g.questions) != 1 || !strings.HasPrefix(g.questions[0], want)) {
			t.Errorf("%s: faults %v, questions\n%s", c.sheet, g.faults, lines(g.questions))
		}
	}
}

// Files that are no GPX are faults with their line; tracks of no unit are told.
func TestTracksFaults(t *testing.T) {
	for _, c := range []struct{ text, fault, notice string }{
		{"<gpx>\n<wpt lat=\"46\"><name>P1</name></wpt></gpx>", "walk.gpx:2: is not GPX", ""},
		{"<gpx>\n<wpt lat=\"46\" lon=\"200\"><name>P1</name></wpt></gpx>", "walk.gpx:2: is not GPX", ""},
		{"<gpx><trk>", "walk.gpx:1: is not GPX", ""},
		{"unit,date\n", "walk.gpx: is not GPX", ""},
		{"", "walk.gpx: is not GPX", ""},
		{gpx(`<wpt lat="46" lon="-120"><name>camp</name></wpt>`), "", "walk.gpx: has no waypoint and no track with the name of a unit"},
		{gpx(`<trk><name>L1</name><trkseg><trkpt lat="46" lon="-120"/></trkseg></trk>`, plotPoint), "", ""}, // one point is no track
	} {
		g, _, _ := gatherTransects(t, map[string]string{"walk.gpx": c.text})
		if c.fault == "" && len(g.faults) > 0 || c.fault != "" && (len(g.faults) != 1 || !strings.HasPrefix(g.faults[0], c.fault)) {
			t.Errorf("%q: faults %v", c.text, g.faults)
		}
		if c.notice != "" && (len(g.notices) != 1 || !strings.HasPrefix(g.notices[0], c.notice)) {
			t.Errorf("%q: notices %v", c.text, g.notices)
		}
	}
	g, _, _ := gatherTransects(t, map[string]string{
		"transects.csv": "transect,stratum,kind,length_m\nT1,burn,line,\nL1,burn,line,80\n", "walk.gpx": gpx(walk("L1", 80)),
	})
	if len(g.faults) != 1 || !strings.HasPrefix(g.faults[0], "transects.csv:2:4: length_m: is empty, and it is needed; fill it in, or name a track") {
		t.Errorf("a length that no track gives: %v", g.faults)
	}
}
