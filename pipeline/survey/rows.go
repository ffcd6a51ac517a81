package survey

import "ashtally/pipeline/column"

// Row is what every kind of row carries beside its own columns.
type Row struct {
	Place
	// Extra holds the texts of the columns the contract does not know, in the
	// order of the table's extra headers; "" where the row's file lacks one.
	Extra []string
}

// Base returns the part that all kinds of row share.
func (r *Row) Base() *Row { return r }

// Stratum is a part of the land that is estimated on its own.
type Stratum struct {
	Row
	Stratum  string
	AreaHa   column.Float
	FireDate string // ISO date or year of the fire; "" = unburned
	Severity string
}

// Plot is a searched area of fixed size. One of the radius, the length and
// width, or the area gives its size.
type Plot struct {
	Row
	Plot         string
	Stratum      string
	Site         string
	RadiusM      column.Float
	LengthM      column.Float
	WidthM       column.Float
	AreaM2       column.Float
	SlopePercent column.Float
	Laid         string      // Horizontal or AlongSlope
	Added        column.Bool // beside a plot that met the threshold; unknown where plots are not adaptive
	Network      string      // the connected plots that met the threshold; "" = it did not
	Ground
}

// Ground is where a unit lies.
type Ground struct {
	Latitude   column.Float
	Longitude  column.Float
	ElevationM column.Float
	AspectDeg  column.Float
	Roadside   column.Bool
}

// Transect is a searched line: a strip counted to its half-width, or a line
// from which distances are measured.
type Transect struct {
	Row
	Transect     string
	Stratum      string
	Site         string
	Kind         string // Strip or Line
	LengthM      column.Float
	HalfWidthM   column.Float
	Sides        column.Int // 1 or 2
	Sequence     column.Int // order along a systematic layout
	BearingDeg   column.Float
	SlopePercent column.Float
	Laid         string
	Ground
}

// Visit is one search of one unit on one day.
type Visit struct {
	Row
	Unit      string
	Date      column.Date
	Pass      column.Int
	Observers string // divided by ";"
	Hours     column.Float

	GroundCoverPercent column.Float // of the unit, on that day
}

// Find is one fruit body or one tight group of them.
type Find struct {
	Row
	Unit          string
	Date          column.Date
	Pass          column.Int
	Taxon         string
	Count         column.Int
	Mode          string // Saprotrophic, HostAssociated or Undetermined
	Tree          string
	TreeDistanceM column.Float
	TreeAlive     column.Bool
	DistanceM     column.Float // perpendicular to a line
	SeenBy        string       // divided by ";"
	MassG         column.Float // of the whole row
	Hollow        string       // "yes", "no" or "unchecked"
	Harvested     column.Bool
	XM            column.Float
	YM            column.Float

	GroundCoverPercent column.Float // around the find

	Rows column.Int // that it stands for, in a table that was reduced; unknown in others
}

// Tree is what a unit offers of one tree species.
type Tree struct {
	Row
	Unit         string
	Tree         string
	Alive        column.Bool
	Stems        column.Int
	BasalAreaM2  column.Float
	CoverPercent column.Float
}

// ReferencePoint is a point drawn at random in a unit.
type ReferencePoint struct {
	Row
	Unit          string
	Tree          string
	TreeDistanceM column.Float
	TreeAlive     column.Bool
}

// The texts of the columns that take one of a few words.
const (
	Saprotrophic   = "saprotrophic"
	HostAssociated = "host-associated"
	Undetermined   = "undetermined"

	Strip = "strip"
	Line  = "line"

	Horizontal = "horizontal"
	AlongSlope = "slope"
)
