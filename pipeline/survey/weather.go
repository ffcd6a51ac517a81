package survey

import "ashtally/pipeline/column"

// Reading is the mean temperature of one day at one station.
type Reading struct {
	Row
	Date         column.Date
	TemperatureC column.Float
	Station      string // a stratum or site, or any other name; "" is one too
}

// Weather declares weather.csv.
var Weather = column.Table[Reading]{
	Name:  "weather",
	About: "the mean temperature of one day at one station",
	Columns: []column.Column[Reading]{
		{Field: column.Field{Name: "date", Form: column.Day, Required: true, Bounds: surveyed, About: "day of the reading"},
			At: func(r *Reading) any { return &r.Date }},
		{Field: column.Field{Name: "temperature_c", Unit: "°C", Form: column.Number, Required: true, Bounds: celsius,
			About: "mean temperature of the day, of the soil or of the air, the same throughout"},
			At: func(r *Reading) any { return &r.TemperatureC }},
		{Field: column.Field{Name: "station", Form: column.ID, About: "where it was read; the name of a stratum or site for its units, any other " +
			"or none for the units without a station of their own"},
			At: func(r *Reading) any { return &r.Station }},
	},
}
