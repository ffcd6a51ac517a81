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
		{Field: column.Field{Name: "date", Form: column.Day, Required: true, About: "day of the reading"},
			At: func(r *Reading) any { return &r.Date }},
		// No soil or air has a daily mean outside of these; a larger figure is in another unit.
		{Field: column.Field{Name: "temperature_c", Unit: "°C", Form: column.Number, Required: true, Bounds: column.Bounds{Set: true, Min: -60, Max: 60}, About: "mean temperature of the day, of the soil or of the air, the same throughout"},
			At: func(r *Reading) any { return &r.TemperatureC }},
		{Field: column.Field{Name: "station", Form: column.ID, About: "where it was read; the name of a stratum or site for its units, any other or none for the units without a station of their own"},
			At: func(r *Reading) any { return &r.Station }},
	},
}
