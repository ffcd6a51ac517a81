// Package geo writes the units of a survey with their densities and effort for
// geographic information systems: as GeoParquet 1.1
// (https://geoparquet.org/releases/v1.1.0/) and as GeoJSON (RFC 7946). Positions
// are longitude and latitude on WGS 84.
package geo

import (
	"cmp"
	"context"
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
	"ashtally/pipeline/position"
	"ashtally/pipeline/survey"
)

// feature is one unit in one year.
type feature struct {
	Unit, Kind, Stratum, Site, YearsSinceFire string

	Year, Visits        column.Int
	First, Last         column.Date
	Hours, SearchedM2   column.Float
	LengthM             column.Float
	Bodies, OtherBodies column.Int
	PerHa, PerKm        column.Float
	Note                string
	Roadside            column.Bool
	ElevationM          column.Float
	Coordinates         string
	UncertaintyM        column.Float
	Point               []byte // well-known binary; nil for no position

	longitude, latitude float64
}

// units declares the table.
var units = column.Table[feature]{
	Name:  "units",
	About: "a unit in one year that it was searched in, with effort and density",
	Columns: []column.Column[feature]{
		text("unit", "plot or transect", func(f *feature) *string { return &f.Unit }),
		text("kind", "plot, strip or line", func(f *feature) *string { return &f.Kind }),
		text("stratum", "stratum it lies in", func(f *feature) *string { return &f.Stratum }),
		text("site", "group of neighbouring units it belongs to", func(f *feature) *string { return &f.Site }),
		whole("year", "", "calendar year of the visits", func(f *feature) *column.Int { return &f.Year }),
		text("years_since_fire", "growing seasons since the fire, or unburned", func(f *feature) *string { return &f.YearsSinceFire }),
		whole("visits", "", "searches, each pass counted", func(f *feature) *column.Int { return &f.Visits }),
		day("first_visit", "day of the first visit", func(f *feature) *column.Date { return &f.First }),
		day("last_visit", "day of the last visit", func(f *feature) *column.Date { return &f.Last }),
		number("hours", "h", "hours of search; empty where not all visits recorded them", func(f *feature) *column.Float { return &f.Hours }),
		number("searched_m2", "m2", "horizontal area of one search; empty for a line", func(f *feature) *column.Float { return &f.SearchedM2 }),
		number("length_m", "m", "horizontal length; empty for a plot", func(f *feature) *column.Float { return &f.LengthM }),
		whole("fruit_bodies", "fruit bodies", "fruit bodies of the target taxa: the sum of the visits where each recorded only new ones, else "+
			"those of the fullest day", func(f *feature) *column.Int { return &f.Bodies }),
		whole("other_fruit_bodies", "fruit bodies", "fruit bodies of other taxa, likewise", func(f *feature) *column.Int { return &f.OtherBodies }),
		number("density_per_ha", "fruit bodies per ha", "fruit_bodies over searched_m2, as counted; empty for a line",
			func(f *feature) *column.Float { return &f.PerHa }),
		number("encounter_rate_per_km", "fruit bodies per km", "fruit_bodies over length_m; empty for a plot", func(f *feature) *column.Float { return &f.PerKm }),
		text("density_note", "why there is no density", func(f *feature) *string { return &f.Note }),
		{Field: column.Field{Name: "roadside", Form: column.Truth, About: "whether the unit was laid along a road"}, At: func(f *feature) any { return &f.Roadside }},
		number("elevation_m", "m", "elevation above sea level; empty where the position is not exact", func(f *feature) *column.Float { return &f.ElevationM }),
		text("coordinates", "exact, generalized to the centre of a grid cell, withheld, or not recorded", func(f *feature) *string { return &f.Coordinates }),
		number("coordinate_uncertainty_m", "m", "greatest distance from a generalized position to the recorded one",
			func(f *feature) *column.Float { return &f.UncertaintyM }),
	},
}

func text(name, about string, at func(*feature) *string) column.Column[feature] {
	return column.Column[feature]{Field: column.Field{Name: name, Form: column.Text, About: about}, At: func(f *feature) any { return at(f) }}
}

func number(name, unit, about string, at func(*feature) *column.Float) column.Column[feature] {
	return column.Column[feature]{Field: column.Field{Name: name, Unit: unit, Form: column.Number, About: about}, At: func(f *feature) any { return at(f) }}
}

func whole(name, unit, about string, at func(*feature) *column.Int) column.Column[feature] {
	return column.Column[feature]{Field: column.Field{Name: name, Unit: unit, Form: column.Whole, About: about}, At: func(f *feature) any { return at(f) }}
}

func day(name, about string, at func(*feature) *column.Date) column.Column[feature] {
	return column.Column[feature]{Field: column.Field{Name: name, Form: column.Day, About: about}, At: func(f *feature) any { return at(f) }}
}

// features returns the units of the survey, in its order and by year.
func features(ctx context.Context, r export.Results) ([]feature, *export.Survey, error) {
	s, err := export.ReadSurvey(ctx, r)
	if err != nil {
		return nil, nil, err
	}
	var list []feature
	for _, u := range s.Visited() {
		for visits := u.Visits; len(visits) > 0; {
			n := 1
			for n < len(visits) && visits[n].Date().Year() == visits[0].Date().Year() {
				n++
			}
			list = append(list, featureOf(s, u, visits[:n]))
			visits = visits[n:]
		}
	}
	return list, s, nil
}

// featureOf is a unit in the year of the given visits.
func featureOf(s *export.Survey, u *export.Unit, visits []*export.Visit) feature {
	first, last := visits[0].Date(), visits[len(visits)-1].Date()
	f := feature{
		Unit: u.ID, Kind: u.Kind, Stratum: u.Stratum, Site: u.Site, YearsSinceFire: yearsSinceFire(s.Strata[u.Stratum], first.Year()),
		Year: column.Count(first.Year()), Visits: column.Count(len(visits)), First: first, Last: last, Hours: hours(visits),
		SearchedM2: column.Float{Value: u.SearchedM2, Known: u.SearchedM2 > 0}, LengthM: column.Float{Value: u.LengthM, Known: u.LengthM > 0},
		Roadside: u.Roadside, ElevationM: u.ElevationM, UncertaintyM: s.UncertaintyM(u.ID), Coordinates: s.Of(u.ID).String(),
	}
	bodies, others := counted(s, visits)
	f.Bodies, f.OtherBodies = column.Int{Value: bodies, Known: true}, column.Int{Value: others, Known: true}
	if f.LengthM.Known {
		f.PerKm = column.Finite(float64(bodies) / u.LengthM * 1000)
	}
	if f.SearchedM2.Known {
		f.PerHa = column.Finite(float64(bodies) / u.SearchedM2 * 1e4)
	} else {
		f.Note = "detection along a line falls with distance: results/density has the estimate of the stratum"
	}
	f.locate(u.Ground)
	return f
}

func (f *feature) locate(g survey.Ground) {
	if g.Latitude.Known && g.Longitude.Known {
		f.longitude, f.latitude = g.Longitude.Value, g.Latitude.Value
		f.Point = point(f.longitude, f.latitude)
		return
	}
	f.UncertaintyM = column.Float{}
	if f.Coordinates != position.Withheld.String() {
		f.Coordinates = "not recorded"
	}
}

// hours is the sum over the visits; unknown where one has none.
func hours(visits []*export.Visit) column.Float {
	sum := column.Float{Known: true}
	for _, v := range visits {
		if !v.Hours.Known {
			return column.Float{}
		}
		sum.Value += v.Hours.Value
	}
	return sum
}

// counted is the number of fruit bodies of target and of other taxa in a year, by
// the counting rule.
func counted(s *export.Survey, visits []*export.Visit) (target, others int64) {
	var ofDay, othersOfDay int64
	for i, v := range visits {
		if s.Settings.Counting.Rule == survey.Standing && (i == 0 || v.Day != visits[i-1].Day) {
			target, others = max(target, ofDay), max(others, othersOfDay)
			ofDay, othersOfDay = 0, 0
		}
		for taxon, n := range v.Bodies {
			if s.Target(taxon) {
				ofDay += n
			} else {
				othersOfDay += n
			}
		}
	}
	return max(target, ofDay), max(others, othersOfDay)
}

// yearsSinceFire counts growing seasons: the year of the visit minus that of the fire.
func yearsSinceFire(s survey.Stratum, year int) string {
	fire, _, _ := strings.Cut(s.FireDate, "-")
	burned, err := strconv.Atoi(fire)
	if err != nil {
		return "unburned"
	}
	return strconv.Itoa(year - burned)
}

// extent is the bounding box of the features, west, south, east and north; nil
// where none has a position.
func extent(list []feature) []float64 {
	box := []float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, f := range list {
		if f.Point != nil {
			box = []float64{min(box[0], f.longitude), min(box[1], f.latitude), max(box[2], f.longitude), max(box[3], f.latitude)}
		}
	}
	if math.IsInf(box[0], 1) {
		return nil
	}
	return box
}

// outcome says what was written.
func outcome(list []feature, s *export.Survey) export.Outcome {
	located := 0
	for _, f := range list {
		located += cmp.Compare(len(f.Point), 0)
	}
	o := export.Outcome{Counts: []export.Count{{Name: "units by year", N: int64(len(list))}, {Name: "with a position", N: int64(located)}}}
	if n := len(s.Units) - len(s.Visited()); n > 0 {
		o.Notes = append(o.Notes, "Units without a visit are left out: "+strconv.Itoa(n)+".")
	}
	if s.On() {
		o.Notes = append(o.Notes, s.Summary())
	}
	return o
}
