package survey

import "ashtally/pipeline/column"

// Plan says what the next survey is to be like. A run does not use it.
type Plan struct {
	Unit       string  `json:"unit"`         // PlannedPlot, Strip or Line
	RadiusM    float64 `json:"radius_m"`     // of round plots; 0 where plots are rectangular
	LengthM    float64 `json:"length_m"`     // of rectangular plots and of transects
	WidthM     float64 `json:"width_m"`      // of rectangular plots
	HalfWidthM float64 `json:"half_width_m"` // of transects
	BearingDeg float64 `json:"bearing_deg"`  // of what has a length

	Layout     string `json:"layout"`     // one of Layouts
	UnitCount  int    `json:"units"`      // 0: as many as the precision asks for
	Spares     int    `json:"spares"`     // in each stratum
	Least      int    `json:"least"`      // units in each stratum
	Allocation string `json:"allocation"` // one of Allocations

	CV     float64 `json:"cv"`             // wanted coefficient of variation of the density
	Width  float64 `json:"interval_width"` // wanted (upper - lower) / estimate instead; 0: the CV
	Chance float64 `json:"chance"`         // that a survey reports no more than that
	Hours  float64 `json:"hours"`          // of the field crew; 0: no limit

	TravelHours      float64 `json:"travel_hours"` // of the survey as a whole
	SetUpHours       float64 `json:"set_up_hours"` // of a unit
	SearchHoursPerHa float64 `json:"search_hours_per_ha"`
	WalkHoursPerKm   float64 `json:"walk_hours_per_km"`

	EdgeM     float64 `json:"edge_m"`     // buffer
	ExcludedM float64 `json:"excluded_m"` // buffer
	RoadsM    float64 `json:"roads_m"`    // buffer

	Ratio     float64 `json:"ratio"`      // of two densities, to be detected
	Detection float64 `json:"detection"`  // probability that one observer finds what is there
	SeenShare float64 `json:"seen_share"` // of the flush, by the visits
	Year      int     `json:"year"`       // of the season; 0: the one after the pilot's
}

// PlannedPlot is the unit of a plan that is no transect.
const PlannedPlot = "plot"

// The layouts of planned units.
const (
	LaidRandom     = "random"
	LaidSystematic = "systematic"
	LaidBalanced   = "balanced"
)

// Layouts names them.
var Layouts = []string{LaidRandom, LaidSystematic, LaidBalanced}

// Allocations names the rules by which units are divided among strata.
var Allocations = []string{"proportional", "neyman", "cost-optimal"}

// defaultPlan: a round plot of 100 m2; a CV of 0.2 with the usual power; hours by
// common practice, no source.
func defaultPlan() Plan {
	return Plan{
		Unit: PlannedPlot, RadiusM: 5.64, LengthM: 50, HalfWidthM: 1,
		Layout: LaidBalanced, Spares: 3, Least: 5, Allocation: "neyman",
		CV: 0.2, Chance: 0.8,
		SetUpHours: 0.2, SearchHoursPerHa: 25, WalkHoursPerKm: 0.5,
		Ratio: 2, Detection: 0.85, SeenShare: 0.9,
	}
}

var (
	hours   = column.Bounds{Set: true, Min: 0, Max: 1e5}
	buffers = column.Bounds{Set: true, Min: 0, Max: 1e4}
	lengths = column.Bounds{Set: true, Min: 0, Max: 1e5, Least: 0.05}
)

// planKeys are the settings of [Plan].
var planKeys = []Key{
	{Table: "plan", Name: "unit", About: "what the next survey searches: plots, strips or lines", Words: []string{PlannedPlot, Strip, Line},
		At: func(s *Settings) any { return &s.Plan.Unit }},
	{Table: "plan", Name: "radius_m", About: "radius of round plots; 0 where plots are rectangular",
		Bounds: column.Bounds{Set: true, Min: 0, Max: 1000, Least: 0.05},
		At:     func(s *Settings) any { return &s.Plan.RadiusM }},
	{Table: "plan", Name: "length_m", About: "length of rectangular plots and of transects", Bounds: lengths,
		At: func(s *Settings) any { return &s.Plan.LengthM }},
	{Table: "plan", Name: "width_m", About: "width of rectangular plots", Bounds: column.Bounds{Set: true, Min: 0, Max: 1000, Least: 0.05},
		At: func(s *Settings) any { return &s.Plan.WidthM }},
	{Table: "plan", Name: "half_width_m", About: "greatest distance searched on one side of a strip, or that a line is expected to reach", Bounds: sightM,
		At: func(s *Settings) any { return &s.Plan.HalfWidthM }},
	{Table: "plan", Name: "bearing_deg", About: "bearing of rectangular plots and of transects, clockwise from true north; at right angles to " +
		"the contours where density may change with elevation", Bounds: compass,
		At: func(s *Settings) any { return &s.Plan.BearingDeg }},
	{Table: "plan", Name: "layout", About: "how units are placed: random, on a systematic grid with a random start, or spatially balanced", Words: Layouts,
		At: func(s *Settings) any { return &s.Plan.Layout }},
	{Table: "plan", Name: "units", About: "number of units; 0 = as many as the wanted precision asks for", Bounds: column.Bounds{Set: true, Min: 0, Max: 20000},
		At: func(s *Settings) any { return &s.Plan.UnitCount }},
	{Table: "plan", Name: "spares", About: "units in reserve in each stratum, to be searched in their order in place of units that cannot be reached",
		Bounds: column.Bounds{Set: true, Min: 0, Max: 100},
		At:     func(s *Settings) any { return &s.Plan.Spares }},
	{Table: "plan", Name: "least", About: "least number of units in each stratum; a variance needs two", Bounds: column.Bounds{Set: true, Min: 2, Max: 1000},
		At: func(s *Settings) any { return &s.Plan.Least }},
	{Table: "plan", Name: "allocation", About: "how units are divided among strata: in proportion to area, to area and standard deviation " +
		"(Neyman), or to these and the root of the cost", Words: Allocations,
		At: func(s *Settings) any { return &s.Plan.Allocation }},
	{Table: "plan", Name: "cv", About: "wanted coefficient of variation of the density of the survey area", Bounds: column.Bounds{Set: true, Min: 0.01, Max: 2},
		At: func(s *Settings) any { return &s.Plan.CV }},
	{Table: "plan", Name: "interval_width", About: "wanted width of the interval over the estimate, in place of the coefficient of variation; 0 = not wanted",
		Bounds: column.Bounds{Set: true, Min: 0, Max: 10, Least: 0.05},
		At:     func(s *Settings) any { return &s.Plan.Width }},
	{Table: "plan", Name: "chance", About: "probability that the survey will report a precision as good as that",
		Bounds: column.Bounds{Set: true, Min: 0.05, Max: 0.99},
		At:     func(s *Settings) any { return &s.Plan.Chance }},
	{Table: "plan", Name: "hours", About: "field time of the crew, in hours of one observer; 0 = no limit", Bounds: hours,
		At: func(s *Settings) any { return &s.Plan.Hours }},
	{Table: "plan", Name: "travel_hours", About: "hours that a stratum takes whatever its units: the way there and back", Bounds: hours,
		At: func(s *Settings) any { return &s.Plan.TravelHours }},
	{Table: "plan", Name: "set_up_hours", About: "hours to find and lay out one unit (0.2: common practice, no source)", Bounds: hours,
		At: func(s *Settings) any { return &s.Plan.SetUpHours }},
	{Table: "plan", Name: "search_hours_per_ha", About: "hours to search a hectare (25: common practice, no source)", Bounds: hours,
		At: func(s *Settings) any { return &s.Plan.SearchHoursPerHa }},
	{Table: "plan", Name: "walk_hours_per_km", About: "hours to walk a kilometre between units (0.5: common practice, no source)", Bounds: hours,
		At: func(s *Settings) any { return &s.Plan.WalkHoursPerKm }},
	{Table: "plan", Name: "edge_m", About: "distance that units keep from the boundary of their stratum", Bounds: buffers,
		At: func(s *Settings) any { return &s.Plan.EdgeM }},
	{Table: "plan", Name: "excluded_m", About: "distance that they keep from the ground of exclude.geojson", Bounds: buffers,
		At: func(s *Settings) any { return &s.Plan.ExcludedM }},
	{Table: "plan", Name: "roads_m", About: "distance that they keep from the roads of roads.geojson", Bounds: buffers,
		At: func(s *Settings) any { return &s.Plan.RoadsM }},
	{Table: "plan", Name: "ratio", About: "ratio of two densities for which the power is computed", Bounds: column.Bounds{Set: true, Min: 1.05, Max: 100},
		At: func(s *Settings) any { return &s.Plan.Ratio }},
	{Table: "plan", Name: "detection", About: "probability that one observer finds what is there, for what a second one would gain (0.85: " +
		"common practice, no source)", Bounds: column.Bounds{Set: true, Min: 0.05, Max: 1},
		At: func(s *Settings) any { return &s.Plan.Detection }},
	{Table: "plan", Name: "seen_share", About: "share of the flush that the visits are to see", Bounds: column.Bounds{Set: true, Min: 0.1, Max: 0.99},
		At: func(s *Settings) any { return &s.Plan.SeenShare }},
	{Table: "plan", Name: "year", About: "year of the season that is planned; 0 = the one after the pilot's last",
		Bounds: column.Bounds{Set: true, Min: 0, Max: 2200},
		At:     func(s *Settings) any { return &s.Plan.Year }},
}

// together holds the settings of a plan to each other.
func (p Plan) together() []Misfit {
	if p.Unit == PlannedPlot && p.RadiusM == 0 && !(p.LengthM > 0 && p.WidthM > 0) {
		return []Misfit{{"plan.radius_m", -1, "is 0, and there is no length and width of a rectangular plot", "give the radius, or length_m and width_m"}}
	}
	if p.Unit != PlannedPlot && p.LengthM == 0 {
		return []Misfit{{"plan.length_m", -1, "is 0, and transects are planned", "give their length"}}
	}
	return nil
}
