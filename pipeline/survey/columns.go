package survey

import "ashtally/pipeline/column"

// The words of the columns that take one of a few.
var (
	modes = []column.Word{
		{Text: Saprotrophic, Spelt: []string{"saprophytic"}},
		{Text: HostAssociated, Spelt: []string{"mycorrhizal", "host associated"}},
		{Text: Undetermined},
	}
	kinds  = []column.Word{{Text: Strip}, {Text: Line}}
	lays   = []column.Word{{Text: Horizontal}, {Text: AlongSlope}}
	hollow = []column.Word{{Text: "yes", Spelt: column.Yes}, {Text: "no", Spelt: column.No}, {Text: "unchecked"}}
)

// Strata declares strata.csv.
var Strata = column.Table[Stratum]{
	Name:  "strata",
	About: "a part of the survey area that is estimated on its own",
	Columns: []column.Column[Stratum]{
		{Field: column.Field{Name: "stratum", Form: column.ID, Required: true, About: "name of the stratum"},
			At: func(r *Stratum) any { return &r.Stratum }},
		{Field: column.Field{Name: "area_ha", Unit: "ha", Form: column.Number, Required: true, Bounds: landHa, About: "horizontal area of the stratum"},
			At: func(r *Stratum) any { return &r.AreaHa }},
		{Field: column.Field{Name: "fire_date", Form: column.Fire, Bounds: burned, About: "date or year of the fire; empty for unburned land"},
			At: func(r *Stratum) any { return &r.FireDate }},
		{Field: column.Field{Name: "severity", Form: column.Text, About: "burn severity, in the crew's own words"},
			At: func(r *Stratum) any { return &r.Severity }},
	},
}

// Plots declares plots.csv.
var Plots = column.Table[Plot]{
	Name:  "plots",
	About: "a plot of fixed area",
	Columns: append([]column.Column[Plot]{
		{Field: column.Field{Name: "plot", Form: column.ID, Required: true, About: "name of the plot, unique over plots and transects"},
			At: func(r *Plot) any { return &r.Plot }},
		{Field: column.Field{Name: "stratum", Form: column.ID, Required: true, About: "the stratum it lies in"},
			At: func(r *Plot) any { return &r.Stratum }},
		{Field: column.Field{Name: "site", Form: column.ID, About: "the group of neighbouring units it belongs to; units of a site are not independent"},
			At: func(r *Plot) any { return &r.Site }},
		{Field: column.Field{Name: "radius_m", Unit: "m", Form: column.Number, Bounds: plotM, About: "radius of a round plot"},
			At: func(r *Plot) any { return &r.RadiusM }},
		{Field: column.Field{Name: "length_m", Unit: "m", Form: column.Number, Bounds: plotM, About: "length of a rectangular plot"},
			At: func(r *Plot) any { return &r.LengthM }},
		{Field: column.Field{Name: "width_m", Unit: "m", Form: column.Number, Bounds: plotM, About: "width of a rectangular plot"},
			At: func(r *Plot) any { return &r.WidthM }},
		{Field: column.Field{Name: "area_m2", Unit: "m2", Form: column.Number, Bounds: SearchedM2, About: "area of a plot of another shape"},
			At: func(r *Plot) any { return &r.AreaM2 }},
		{Field: slopeField, At: func(r *Plot) any { return &r.SlopePercent }},
		{Field: laidField, At: func(r *Plot) any { return &r.Laid }},
		{Field: column.Field{Name: "added", Form: column.Truth, About: "in a stratum of adaptive cluster plots: no for a plot that was drawn at " +
			"random, yes for one that was added beside a plot that met the threshold; empty elsewhere"},
			At: func(r *Plot) any { return &r.Added }},
		{Field: column.Field{Name: "network", Form: column.ID, About: "name of the connected set of plots that met the threshold, also where it " +
			"is one plot; empty for a plot that did not meet it"},
			At: func(r *Plot) any { return &r.Network }},
	}, ground(func(r *Plot) *Ground { return &r.Ground })...),
}

// Transects declares transects.csv.
var Transects = column.Table[Transect]{
	Name:  "transects",
	About: "a transect: a strip or a line",
	Columns: append([]column.Column[Transect]{
		{Field: column.Field{Name: "transect", Form: column.ID, Required: true, About: "name of the transect, unique over plots and transects"},
			At: func(r *Transect) any { return &r.Transect }},
		{Field: column.Field{Name: "stratum", Form: column.ID, Required: true, About: "the stratum it lies in"},
			At: func(r *Transect) any { return &r.Stratum }},
		{Field: column.Field{Name: "site", Form: column.ID, About: "the group of neighbouring units it belongs to; units of a site are not independent"},
			At: func(r *Transect) any { return &r.Site }},
		{Field: column.Field{Name: "kind", Form: column.Choice, Words: kinds, Required: true, About: "strip: all finds within the half-width are " +
			"counted; line: distances are measured"},
			At: func(r *Transect) any { return &r.Kind }},
		{Field: column.Field{Name: "length_m", Unit: "m", Form: column.Number, Required: true, Bounds: transectM, About: "length of the transect"},
			At: func(r *Transect) any { return &r.LengthM }},
		{Field: column.Field{Name: "half_width_m", Unit: "m", Form: column.Number, Bounds: sightM, About: "greatest distance searched on one " +
			"side; required for a strip"},
			At: func(r *Transect) any { return &r.HalfWidthM }},
		{Field: column.Field{Name: "sides", Form: column.Whole, Default: "2", Bounds: column.Bounds{Set: true, Min: 1, Max: 2}, About: "sides searched, 1 or 2"},
			At: func(r *Transect) any { return &r.Sides }},
		{Field: column.Field{Name: "sequence", Form: column.Whole, Bounds: places, About: "order along a systematic layout; empty for a random one"},
			At: func(r *Transect) any { return &r.Sequence }},
		{Field: column.Field{Name: "bearing_deg", Unit: "deg", Form: column.Number, Bounds: compass, About: "compass bearing of the line"},
			At: func(r *Transect) any { return &r.BearingDeg }},
		{Field: slopeField, At: func(r *Transect) any { return &r.SlopePercent }},
		{Field: laidField, At: func(r *Transect) any { return &r.Laid }},
	}, ground(func(r *Transect) *Ground { return &r.Ground })...),
}

var (
	slopeField = column.Field{Name: "slope_percent", Unit: "percent", Form: column.Number, Bounds: slopes, About: "slope of the ground, rise over run"}
	laidField  = column.Field{Name: "laid", Form: column.Choice, Words: lays, Default: Horizontal, About: "whether lengths were taped level " +
		"(horizontal) or along the ground (slope)"}
)

// ground declares the columns of where a unit lies, which plots and transects share.
func ground[R any](at func(*R) *Ground) []column.Column[R] {
	return []column.Column[R]{
		{Field: column.Field{Name: "latitude", Unit: "deg", Form: column.Number, Bounds: latitudes, About: "latitude, WGS 84, north positive"},
			At: func(r *R) any { return &at(r).Latitude }},
		{Field: column.Field{Name: "longitude", Unit: "deg", Form: column.Number, Bounds: longitudes, About: "longitude, WGS 84, east positive"},
			At: func(r *R) any { return &at(r).Longitude }},
		{Field: column.Field{Name: "elevation_m", Unit: "m", Form: column.Number, Bounds: elevations, About: "elevation above sea level"},
			At: func(r *R) any { return &at(r).ElevationM }},
		{Field: column.Field{Name: "aspect_deg", Unit: "deg", Form: column.Number, Bounds: compass, About: "compass direction the slope faces"},
			At: func(r *R) any { return &at(r).AspectDeg }},
		{Field: column.Field{Name: "roadside", Form: column.Truth, About: "whether the unit was laid along a road; such units are a sample of roadsides"},
			At: func(r *R) any { return &at(r).Roadside }},
	}
}
