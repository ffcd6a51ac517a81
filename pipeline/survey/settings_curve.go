package survey

import "ashtally/pipeline/column"

// Curve says how the flush of a season is found.
type Curve struct {
	StandingDays     Range   `json:"standing_days"`      // how long a fruit body can be found
	ElevationBandM   float64 `json:"elevation_band_m"`   // 0: no bands
	BaseTemperatureC float64 `json:"base_temperature_c"` // of degree days
}

func defaultCurve() Curve { return Curve{StandingDays: Range{10, 10}, ElevationBandM: 200} }

// curveKeys are the settings of [Curve].
var curveKeys = []Key{
	{Table: "curve", Name: "standing_days", About: "mean days that a fruit body stands and can be found, or the least and the most that they " +
		"may be: [7, 14]; what came up longer before a visit is assumed to be lost to it, where each visit records only what is new (10: common " +
		"practice, no source)", Bounds: column.Bounds{Set: true, Min: 1, Max: 365},
		At: func(s *Settings) any { return &s.Curve.StandingDays }},
	{Table: "curve", Name: "elevation_band_m", About: "height of the bands of elevation that have a curve of their own; 0 = none",
		Bounds: column.Bounds{Set: true, Min: 0, Max: 5000},
		At:     func(s *Settings) any { return &s.Curve.ElevationBandM }},
	{Table: "curve", Name: "base_temperature_c", About: "temperature above which a day's mean counts towards degree days, where there is a weather.csv",
		Bounds: column.Bounds{Set: true, Min: -20, Max: 30},
		At:     func(s *Settings) any { return &s.Curve.BaseTemperatureC }},
}
