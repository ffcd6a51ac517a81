package plan

import (
	"bytes"
	"math"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/plan/fieldmap"
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// folder writes the survey folder of an input, and its units for other tools.
type folder struct{ Input }

// surveyFiles is the survey folder to be filled in. Without an outline it has no
// units.
func (in folder) surveyFiles(placed []Placed) []File {
	files := []File{
		{"survey/survey.toml", in.Document},
		{"survey/strata.csv", rowsFile(survey.Strata, in.Strata)},
		headers("visits"), headers("finds"),
	}
	if in.Map == nil {
		return files
	}
	units, spares := allUnits(placed), allSpares(placed)
	if in.Settings.Plan.Unit == survey.PlannedPlot {
		return append(files, File{"survey/plots.csv", in.plots(units)}, File{"spares.csv", in.plots(spares)})
	}
	return append(files, File{"survey/transects.csv", in.transects(units)}, File{"spares.csv", in.transects(spares)})
}

// headers is an input table without rows.
func headers(name string) File {
	for _, t := range survey.Tables() {
		if t.Name != name {
			continue
		}
		var names []string
		for _, f := range t.Fields {
			names = append(names, f.Name)
		}
		return File{"survey/" + name + ".csv", []byte(strings.Join(names, ",") + "\n")}
	}
	panic("plan: no table " + name)
}

// rowsFile writes rows as an input table.
func rowsFile[R any](t column.Table[R], rows []R) []byte {
	b := table.FromRows(t, rows)
	defer b.Release()
	var out bytes.Buffer
	csv := table.NewCSV(&out, b.Schema())
	// Writing to memory cannot fail.
	_, _ = csv.Write(b), csv.Flush()
	return out.Bytes()
}

func (in folder) plots(units []fieldmap.Unit) []byte {
	p := in.Settings.Plan
	rows := make([]survey.Plot, len(units))
	for i, u := range units {
		rows[i] = survey.Plot{Plot: u.ID, Stratum: u.Stratum, Laid: survey.Horizontal, Ground: ground(u)}
		if p.RadiusM > 0 {
			rows[i].RadiusM = column.Finite(p.RadiusM)
			continue
		}
		rows[i].LengthM, rows[i].WidthM = column.Finite(p.LengthM), column.Finite(p.WidthM)
	}
	return rowsFile(survey.Plots, rows)
}

// transects have their start as their position, and their order along a systematic
// layout.
func (in folder) transects(units []fieldmap.Unit) []byte {
	p := in.Settings.Plan
	rows := make([]survey.Transect, len(units))
	for i, u := range units {
		rows[i] = survey.Transect{
			Transect: u.ID, Stratum: u.Stratum, Kind: p.Unit, Laid: survey.Horizontal,
			LengthM: column.Finite(p.LengthM), Sides: column.Count(2), BearingDeg: column.Finite(tenth(u.Bearing)), Ground: ground(u),
		}
		if p.Unit == survey.Strip {
			rows[i].HalfWidthM = column.Finite(p.HalfWidthM)
		}
		if p.Layout == survey.LaidSystematic && u.Spare == 0 {
			rows[i].Sequence = column.Count(i + 1)
		}
	}
	return rowsFile(survey.Transects, rows)
}

// tenth rounds a bearing, which stays below 360.
func tenth(degrees float64) float64 { return math.Mod(math.Round(degrees*10)/10, 360) }

// ground is where a unit lies, to 1 cm.
func ground(u fieldmap.Unit) survey.Ground {
	round := func(v float64) column.Float { return column.Finite(math.Round(v*1e7) / 1e7) }
	return survey.Ground{Latitude: round(u.Start.Lat), Longitude: round(u.Start.Lon)}
}

// StrataOf are the strata of a map, with the area that units can be placed on but for
// the buffers: excluded ground is not part of it.
func StrataOf(m *outline.Map) []survey.Stratum {
	strata := make([]survey.Stratum, len(m.Strata))
	for i, s := range m.Strata {
		strata[i] = s.Stratum
		strata[i].AreaHa = column.Finite((s.AreaM2 - s.ExcludedM2) / 1e4)
	}
	return strata
}

// mapFiles are the units for GPS receivers and geographic information systems.
func (in folder) mapFiles(placed []Placed) ([]File, error) {
	units := append(allUnits(placed), allSpares(placed)...)
	var gpx, geojson bytes.Buffer
	if err := fieldmap.WriteGPX(&gpx, in.Settings.Title, units); err != nil {
		return nil, err
	}
	if err := fieldmap.WriteUnits(&geojson, units); err != nil {
		return nil, err
	}
	return []File{{"units.gpx", gpx.Bytes()}, {"units.geojson", geojson.Bytes()}}, nil
}
