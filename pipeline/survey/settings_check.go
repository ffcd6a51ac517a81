package survey

import "ashtally/pipeline/column"

// Check says what a survey's values are held to beyond the bounds of their
// columns. What lies outside is a question.
type Check struct {
	Questions string   `json:"questions"` // Told, AsFaults or Off
	Quiet     []string `json:"quiet"`     // kinds of questions that are not asked

	BodyMassG        Range   `json:"body_mass_g"`
	RowCount         Range   `json:"row_count"`
	PlotRadiusM      Range   `json:"plot_radius_m"`
	SlopePercent     Range   `json:"slope_percent"`
	TreeDistanceM    Range   `json:"tree_distance_m"`
	StemBasalAreaM2  Range   `json:"stem_basal_area_m2"`
	VisitHours       Range   `json:"visit_hours"`
	DayHours         float64 `json:"day_hours"`
	YearsSinceFire   float64 `json:"years_since_fire"`
	ApartKm          float64 `json:"apart_km"`
	Times            float64 `json:"times"`
	TrackM           float64 `json:"track_m"`
	TrackBearingDeg  float64 `json:"track_bearing_deg"`
	TrackLengthShare float64 `json:"track_length_share"`
}

// What is done with questions.
const (
	Told     = "told"
	AsFaults = "faults"
	Off      = "off"
)

// Uses of questions.
var questionUses = []string{Told, AsFaults, Off}

// defaultCheck holds the ranges of what crews of post-fire mushroom surveys
// write down: common practice, without a published source but where one is named.
func defaultCheck() Check {
	return Check{
		Questions:     Told,
		BodyMassG:     Range{0.1, 500},
		RowCount:      Range{1, 100},
		PlotRadiusM:   Range{0.5, 30},
		SlopePercent:  Range{0, 150},
		TreeDistanceM: Range{0, 30},
		// From a seedling 5 mm thick to a stem 2.5 m thick.
		StemBasalAreaM2:  Range{2e-5, 5},
		VisitHours:       Range{0.02, 10},
		DayHours:         18,
		YearsSinceFire:   100,
		ApartKm:          100,
		Times:            5,
		TrackM:           30,
		TrackBearingDeg:  15,
		TrackLengthShare: 0.1,
	}
}

var (
	ranges    = column.Bounds{Set: true, Min: 0, Max: 1e6}
	multiples = column.Bounds{Set: true, Min: 1.5, Max: 1000}
)

// checkKeys are the settings of [Check].
var checkKeys = []Key{
	{Table: "check", Name: "questions", About: "what is done with values that are likely not what the crew meant: told; faults: the survey is " +
		"not estimated while one is open; off: none is asked", Words: questionUses,
		At: func(s *Settings) any { return &s.Check.Questions }},
	{Table: "check", Name: "quiet", About: "kinds of questions that are not asked; a single answered question belongs into accepted.csv", Words: QuestionKinds,
		At: func(s *Settings) any { return &s.Check.Quiet }},
	{Table: "check", Name: "body_mass_g", About: "fresh mass of one fruit body that is not asked about (common practice, no source; morels " +
		"weigh some 5 to 100 g)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.BodyMassG }},
	{Table: "check", Name: "row_count", About: "fruit bodies of one row that are not asked about (common practice, no source: a row is one tight group)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.RowCount }},
	{Table: "check", Name: "plot_radius_m", About: "radius of a round plot that is not asked about (common practice, no source)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.PlotRadiusM }},
	{Table: "check", Name: "slope_percent", About: "slope that is not asked about; 150 % are 56 degrees (common practice, no source)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.SlopePercent }},
	{Table: "check", Name: "tree_distance_m", About: "distance to the nearest tree that is not asked about (common practice, no source)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.TreeDistanceM }},
	{Table: "check", Name: "stem_basal_area_m2", About: "mean basal area of one stem that is not asked about: from 5 mm to 2.5 m thick (common " +
		"practice, no source)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.StemBasalAreaM2 }},
	{Table: "check", Name: "visit_hours", About: "hours of one search of one unit that are not asked about (common practice, no source)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.VisitHours }},
	{Table: "check", Name: "day_hours", About: "most hours of one observer in a day (common practice, no source)", Bounds: searchH,
		At: func(s *Settings) any { return &s.Check.DayHours }},
	{Table: "check", Name: "years_since_fire", About: "most years from a fire to the first visit (common practice, no source: living memory)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.YearsSinceFire }},
	{Table: "check", Name: "apart_km", About: "farthest that a unit lies from the middle of the others, in km (common practice, no source)", Bounds: ranges,
		At: func(s *Settings) any { return &s.Check.ApartKm }},
	{Table: "check", Name: "times", About: "how many times the 95th percentile of its column a value may be, or how many times less than the " +
		"5th (common practice, no source: of log-normal values with a CV of 0.5 fewer than one in a million lie beyond)", Bounds: multiples,
		At: func(s *Settings) any { return &s.Check.Times }},
	{Table: "check", Name: "track_m", About: "how far a plot or the start of a transect may lie from its waypoint or track in a .gpx file, in " +
		"m, beside the rounding of its coordinates (common practice, no source: GPS under trees)", Bounds: distanceM,
		At: func(s *Settings) any { return &s.Check.TrackM }},
	{Table: "check", Name: "track_bearing_deg", About: "how much a transect's bearing may differ from its track (common practice, no source)", Bounds: compass,
		At: func(s *Settings) any { return &s.Check.TrackBearingDeg }},
	{Table: "check", Name: "track_length_share", About: "how much a transect's horizontal length may differ from its track, as a share of it " +
		"(common practice, no source)", Bounds: column.Bounds{Set: true, Min: 0.01, Max: 1},
		At: func(s *Settings) any { return &s.Check.TrackLengthShare }},
}
