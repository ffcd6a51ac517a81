package outline

import (
	"strings"
	"testing"

	"ashtally/stats/layout"
)

// Every fault has its line, says what is wrong, and what to do.
func TestFaults(t *testing.T) {
	good := stratum("burn", burnRing)
	geometry := func(g string) string {
		return `{"type": "Feature", "properties": {"stratum": "burn"}, "geometry": ` + g + `}`
	}
	with := func(properties string) string {
		return `{"type": "Feature", "properties": ` + properties + `, "geometry": {"type": "Polygon", "coordinates": [[` + burnRing + `]]}}`
	}
	for _, c := range []struct {
		name, want string
		outline    File
	}{
		{"not JSON", `outline.geojson:2: the file is not valid JSON: invalid character 'x'`, collection("x")},
		{"cut off", `outline.geojson:2: the file is not valid JSON: the document ends too early`, File{"outline.geojson", []byte("{\"type\":\n\"Feat")}},
		{"empty", `outline.geojson:1: the file is not valid JSON: the document ends too early`, File{"outline.geojson", []byte("")}},
		{"two documents", `outline.geojson:4: the file is not valid JSON: more text follows`, File{"outline.geojson", append(collection(good).Data, "\n{}"...)}},
		{"a name twice", `outline.geojson:2: the file is not valid JSON: "a" is given twice`, collection(`{"a": 1, "a": 2}`)},
		{"too deep", `nested more than 64 deep`, collection(strings.Repeat("[", 100))},
		{"a number alone", `outline.geojson:1: the document is a number instead of a GeoJSON object`, File{"outline.geojson", []byte("7")}},
		{"another type", `outline.geojson:1: type: the document is of type "Topology"; it may be FeatureCollection, Feature,`, File{"outline.geojson", []byte(`{"type": "Topology"}`)}},
		{"no features", `outline.geojson: the file has no feature`, collection()},
		{"features are numbers", `outline.geojson:1: features: a feature is a number`, collection("1")},
		{"no geometry", `outline.geojson:2: the geometry of a feature is null instead of a GeoJSON object`, collection(geometry("null"))},
		{"a point", `outline.geojson:2: type: the geometry of a feature is of type "Point"`, collection(geometry(`{"type": "Point", "coordinates": [1, 2]}`))},
		{"a line", `outline.geojson:2: an outline is a line, which has no area`, collection(line("[1, 2], [3, 4]"))},
		{"no coordinates", `outline.geojson:2: coordinates: the geometry has no coordinates`, collection(geometry(`{"type": "Polygon", "coordinates": []}`))},
		{"too shallow", `outline.geojson:2: coordinates: positions are nested less deep`, collection(geometry(`{"type": "Polygon", "coordinates": [[1, 2], [3, 4]]}`))},
		{"too deep for its type", `outline.geojson:2: coordinates: a position is not an array of longitude and latitude`, collection(geometry(`{"type": "Polygon", "coordinates": [[[[1, 2]]]]}`))},
		{"one number", `a position is not an array of longitude and latitude`, collection(stratum("burn", "[1], [2], [3], [1]"))},
		{"a text as degrees", `a position is not an array of longitude and latitude`, collection(stratum("burn", `["1", "2"]`))},
		{"swapped", `outline.geojson:2: coordinates: [46.1, -118.42]: the latitude is not between -90 and 90; GeoJSON has longitude first`, collection(stratum("burn", "[46.1, -118.42], [46.2, -118.42], [46.2, -118.3]"))},
		{"metres", `[390000, 5.105e+06]: these are not degrees; the file seems to be in metres`, collection(stratum("burn", "[390000, 5105000], [390100, 5105000], [390000, 5105100]"))},
		{"east of 180", `[190, 50]: the longitude is not between -180 and 180; subtract or add 360`, collection(stratum("burn", "[190, 50], [191, 50], [190, 51]"))},
		{"another system", `outline.geojson:1: crs: the coordinates are in a reference system of their own`, File{"outline.geojson", []byte(`{"type": "FeatureCollection", "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26911"}}, "features": [` + good + `]}`)}},
		{"across the antimeridian", `outline.geojson:2: the edge from longitude 179.9 to -179.9 crosses the antimeridian; cut the polygon in two`, collection(stratum("burn", "[179.9, 50], [-179.9, 50], [-179.9, 51], [179.9, 51]"))},
		{"round the pole", `crosses the antimeridian`, collection(stratum("burn", "[0, 89], [90, 89], [180, 89], [-90, 89]"))},
		{"two positions", `outline.geojson:2: the ring has fewer than three different positions`, collection(stratum("burn", "[1, 2], [1, 2], [3, 4], [1, 2]"))},
		{"bow tie", `outline.geojson:2: the outline crosses or touches itself at longitude 1.050000, latitude 2.050`, collection(stratum("burn", "[1, 2], [1.1, 2.1], [1.1, 2], [1, 2.1], [1, 2]"))},
		{"touches itself", `crosses or touches itself at longitude 1.100000, latitude 2.100000`, collection(stratum("burn", "[1, 2], [1.1, 2.1], [1.2, 2], [1.2, 2.2], [1.1, 2.1], [1, 2.2], [1, 2]"))},
		{"spike", `crosses or touches itself at longitude 1.2`, collection(stratum("burn", "[1, 0], [1.2, 0], [1.1, 0], [1.1, 0.1], [1, 0]"))},
		{"no area", `crosses or touches itself`, collection(stratum("burn", "[1, 0], [1.1, 0], [1.2, 0], [1, 0]"))},
		{"hole outside", `outline.geojson:2: the hole lies outside of its outline`, collection(stratum("burn", box(1, 1, 2, 2), box(2.1, 1, 2.2, 2)))},
		{"hole crosses", `outline.geojson:2: the ring crosses that of line 2 at longitude 1.99998`, collection(stratum("burn", box(1, 1, 2, 2), box(1.5, 1.2, 2.5, 1.8)))},
		{"hole within a hole", `the hole lies within another hole`, collection(stratum("burn", box(1, 1, 2, 2), box(1.2, 1.2, 1.8, 1.8), box(1.4, 1.4, 1.6, 1.6)))},
		{"no stratum", `outline.geojson:2: stratum: the feature does not say which stratum it is`, collection(with("null"))},
		{"stratum is no text", `outline.geojson:2: stratum: the property is an object instead of a text`, collection(with(`{"stratum": {}}`))},
		{"fire date", `outline.geojson:2: fire_date: "14.8.2030" is not a year or a date`, collection(with(`{"stratum": "burn", "fire_date": "14.8.2030"}`))},
		{"fire date, no such day", `fire_date: "2030-02-30" is not a year or a date`, collection(with(`{"stratum": "burn", "fire_date": "2030-02-30"}`))},
		{"fire year", `fire_date: "3" is not a year or a date`, collection(with(`{"stratum": "burn", "fire_date": 3}`))},
		{"two fire dates", `outline.geojson:3: stratum "burn" has another fire date or severity than in line 2`, collection(good, with(`{"stratum": "burn", "fire_date": 2030}`))},
		{"strata overlap", `outline.geojson:3: strata "a" and "b" overlap by 3`, collection(stratum("a", box(1, 1, 2, 2)), stratum("b", box(1.5, 1.5, 2.5, 2.5)))},
		{"stratum within another", `outline.geojson:3: strata "a" and "b" overlap by 1`, collection(stratum("a", box(1, 1, 2, 2)), stratum("b", box(1.4, 1.4, 1.5, 1.5)))},
		{"too far apart", `parts of the outline lie `, collection(stratum("a", box(1, 1, 2, 2)), stratum("b", box(7, 1, 8, 2)))},
	} {
		t.Run(c.name, func(t *testing.T) { wantFault(t, Files{Outline: c.outline}, c.want) })
	}
}

func TestFaultsBeside(t *testing.T) {
	for _, c := range []struct {
		name, want     string
		exclude, roads File
	}{
		{"line excluded", `exclude.geojson:2: an excluded feature is a line`, collection(line("[1, 2], [3, 4]")), File{}},
		{"all excluded", `exclude.geojson: all of stratum "burn" is excluded`, collection(stratum("", box(-119, 45, -118, 47))), File{}},
		{"excluded ground crosses itself", `exclude.geojson:2: the outline crosses or touches itself`, collection(stratum("", "[-118.5, 46], [-118.4, 46.1], [-118.4, 46], [-118.5, 46.1]")), File{}},
		{"roads swapped", `roads.geojson:2: coordinates: roads lie `, File{}, collection(line("[46.1, -85], [46.2, -85]"))},
		{"roads elsewhere", `leave out what belongs to another survey`, File{}, collection(line("[11, 46.1], [11, 46.2]"))},
		{"road of one position", `roads.geojson:2: the road has fewer than two different positions`, File{}, collection(line("[-118.4, 46.1], [-118.4, 46.1]"))},
		{"road is a point", `roads.geojson:2: type: the geometry of a feature is of type "Point"`, File{}, collection(`{"type": "Feature", "geometry": {"type": "Point", "coordinates": [-118, 46]}}`)},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.exclude.Data != nil {
				c.exclude.Name = "exclude.geojson"
			}
			if c.roads.Data != nil {
				c.roads.Name = "roads.geojson"
			}
			wantFault(t, Files{Outline: collection(stratum("burn", burnRing)), Exclude: c.exclude, Roads: c.roads}, c.want)
		})
	}
}

func wantFault(t *testing.T, files Files, want string) {
	t.Helper()
	m, faults, _ := Read(files)
	if m != nil {
		t.Fatal("no fault")
	}
	if !strings.Contains(faults[0].String(), want) || faults[0].Remedy == "" {
		t.Errorf("fault\n%s\nwant\n%s", faults[0], want)
	}
}

// Degrees that are swapped without leaving their range are told by the outline.
func TestSwapped(t *testing.T) {
	_, faults, _ := Read(Files{
		Outline: collection(stratum("burn", box(11, 46, 11.1, 46.1))),
		Roads:   File{Name: "roads.geojson", Data: collection(line("[46.05, 11.0], [46.05, 11.1]")).Data},
	})
	if len(faults) != 1 || !strings.Contains(faults[0].Remedy, "swap them") {
		t.Errorf("faults: %v", faults)
	}
}

// Faults in several places are all told.
func TestFaultsAll(t *testing.T) {
	_, faults, _ := Read(Files{Outline: collection(
		stratum("a", "[1, 2], [1.1, 2.1], [1.1, 2], [1, 2.1], [1, 2]"),
		stratum("b", burnRing),
		stratum("", box(1.2, 1.2, 1.3, 1.3)),
		stratum("c", box(1.4, 1.2, 1.5, 1.3), box(1.6, 1.2, 1.7, 1.3)),
	)})
	if len(faults) != 1 { // burn is far from the others, which leaves the rest without a middle
		t.Errorf("faults: %v", faults)
	}
	_, faults, _ = Read(Files{Outline: collection(
		stratum("a", "[1, 2], [1.1, 2.1], [1.1, 2], [1, 2.1], [1, 2]"),
		stratum("", box(1.2, 1.2, 1.3, 1.3)),
		stratum("c", box(1.4, 1.2, 1.5, 1.3), box(1.6, 1.2, 1.7, 1.3)),
	)})
	if len(faults) != 3 || faults[0].Line != 2 || faults[1].Line != 3 || faults[2].Line != 4 {
		t.Errorf("faults: %v", faults)
	}
}

// What is mended is told.
func TestNotices(t *testing.T) {
	for _, c := range []struct {
		name, want string
		features   []string
	}{
		{"not closed", `outline.geojson:2: the ring is not closed: its last position is 5528.8 m`, []string{stratum("a", "[1, 2], [1.1, 2], [1.05, 2], [1.05, 2.05], [1.0, 2.05]")}},
		{"sliver", `outline.geojson:3: strata "a" and "b" overlap by 12307 m2 about longitude 1.099995, latitude 1.0`, []string{stratum("a", box(1, 1, 1.1, 1.1)), stratum("b", box(1.09999, 1, 1.2, 1.1))}},
	} {
		_, _, notices := Read(Files{Outline: collection(c.features...)})
		if len(notices) != 1 || !strings.Contains(notices[0].String(), c.want) {
			t.Errorf("%s: notices %v, want %s", c.name, notices, c.want)
		}
	}
}

func TestNoRoom(t *testing.T) {
	m := mustRead(t, Files{
		Outline: collection(stratum("burn", burnRing), stratum("spot", box(-118.45, 46.1, -118.4499, 46.1001))),
		Roads:   collection(line("[-118.5, 46.11], [-118.3, 46.11]")),
	})
	for _, c := range []struct {
		stratum int
		buffers Buffers
		unit    layout.Footprint
		want    string
	}{
		{1, Buffers{}, layout.Footprint{Radius: 5.64}, `outline.geojson:3: no unit of 5.64 m radius fits into stratum "spot" of 0.008595 ha`},
		{1, Buffers{Edge: 6}, layout.Footprint{}, `outline.geojson:3: no room for a unit of 0 m radius is left in stratum "spot" at 6 m from its edge`},
		{0, Buffers{Roads: 2000}, layout.Footprint{Length: 50, Width: 4}, `outline.geojson:2: no room for a unit of 50 m by 4 m is left in stratum "burn" at 0 m from its edge, 0 m from excluded ground and 2000 m from roads`},
		{0, Buffers{}, layout.Footprint{Length: 5000}, `no unit of 5000 m length fits`},
	} {
		_, fault := m.Frame(m.Strata[c.stratum], c.buffers, c.unit)
		if fault == nil || !strings.Contains(fault.String(), c.want) {
			t.Errorf("fault %v, want %s", fault, c.want)
		}
	}
}
