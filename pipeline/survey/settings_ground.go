package survey

import "ashtally/pipeline/column"

// GroundClasses says into which classes units are put by the ground they lie on. Bands of
// elevation are those of [Curve].
type GroundClasses struct {
	SlopeBandPercent float64 `json:"slope_band_percent"` // 0: no classes
	CoverBandPercent float64 `json:"cover_band_percent"` // 0: no classes
}

func defaultGround() GroundClasses { return GroundClasses{SlopeBandPercent: 20, CoverBandPercent: 25} }

// groundKeys are the settings of [GroundClasses].
var groundKeys = []Key{
	{Table: "ground", Name: "slope_band_percent", About: "width of the classes of slope; 0 = none", Bounds: column.Bounds{Set: true, Min: 0, Max: 200},
		At: func(s *Settings) any { return &s.Ground.SlopeBandPercent }},
	{Table: "ground", Name: "cover_band_percent", About: "width of the classes of ground cover; 0 = none", Bounds: column.Bounds{Set: true, Min: 0, Max: 100},
		At: func(s *Settings) any { return &s.Ground.CoverBandPercent }},
}
