package survey

import "ashtally/pipeline/column"

// Settings is survey.toml. [Defaults] holds what stands where the file is
// silent, and [Keys] says what each key means and allows.
type Settings struct {
	Title      string  `json:"title"`
	Confidence float64 `json:"confidence"` // level of every interval, between 0.5 and 0.9999
	Seed       uint64  `json:"seed"`       // of every random number of the run
	Units      string  `json:"units"`      // Metric or US: what the report shows first

	Files   map[string][]string          `json:"files"`   // table name to names and globs within the folder
	Columns map[string]map[string]string `json:"columns"` // table name to the crew's header to ours

	// SingleUnitStrata names the stratum that one of a single independent unit is
	// estimated with; those not named are with the nearest in density.
	SingleUnitStrata map[string]string `json:"single_unit_strata,omitempty"`

	Season   Season        `json:"season"`
	Counting Counting      `json:"counting"`
	Taxa     Taxa          `json:"taxa"`
	Hosts    Hosts         `json:"hosts"`
	Density  Density       `json:"density"`
	Lines    Lines         `json:"lines"`
	Missed   Missed        `json:"missed"`
	Curve    Curve         `json:"curve"`
	Ground   GroundClasses `json:"ground"`
	Adaptive Adaptive      `json:"adaptive"`
	Report   Report        `json:"report"`

	Selection   Selection   `json:"selection"`
	Association Association `json:"association"`
	Compare     Compare     `json:"compare"`
	Harvest     []Harvest   `json:"harvest,omitempty"`
	Model       Model       `json:"model"`
	Check       Check       `json:"check"`

	Dataset Dataset `json:"dataset,omitzero"`
	Plan    Plan    `json:"-"` // of the next survey: no result rests on it
}

// Season bounds the dates that a visit may have; an unknown end is open.
type Season struct {
	First column.Date `json:"first"`
	Last  column.Date `json:"last"`
}

// Counting says how repeat visits of a unit make a season.
type Counting struct {
	Rule string `json:"rule"` // New or Standing
}

// Taxa says what is estimated.
type Taxa struct {
	Target []string `json:"target"` // empty = every taxon
}

// Hosts says which trees can be hosts and within what distance.
type Hosts struct {
	Trees     []string `json:"trees"` // empty = any tree
	DistanceM float64  `json:"distance_m"`
}

// Density chooses among the methods of the density estimates.
type Density struct {
	Interval   string `json:"interval"`   // name of an interval method, one of Intervals
	Systematic string `json:"systematic"` // variance of a systematic layout, one of Systematics
	Roadside   string `json:"roadside"`   // Apart or Together
	Replicates int    `json:"replicates"` // bootstrap samples, where the interval needs them
}

// The words of the settings.
const (
	Metric = "metric"
	US     = "us"

	New      = "new"
	Standing = "standing"

	Apart    = "apart"    // roadside units are left out of a stratum's density and named
	Together = "together" // roadside units count like any other
)

// Intervals names the interval methods that a survey can ask for.
var Intervals = []string{"model-averaged", "t", "log-t", "nb-profile", "bootstrap-t", "bca", "empirical-likelihood"}

// RandomLayout is the variance of transects in a sequence as if they lay at random.
const RandomLayout = "random"

// Systematics names the variances of a systematic layout that a survey can ask for.
var Systematics = []string{RandomLayout, "successive-differences", "successive-differences-by-area", "neighbour-pairs"}

// Defaults returns the settings of a survey.toml that holds nothing but a title.
func Defaults() Settings {
	files := map[string][]string{}
	for _, name := range TableNames() {
		files[name] = []string{name + ".csv"}
	}
	return Settings{
		Confidence: 0.95,
		Seed:       1,
		Units:      Metric,
		Files:      files,
		Columns:    map[string]map[string]string{},
		Counting:   Counting{Rule: New},
		Hosts:      Hosts{DistanceM: 3},
		Density:    Density{Interval: "model-averaged", Systematic: RandomLayout, Roadside: Apart, Replicates: 1999},
		Lines:      defaultLines,
		Missed:     Missed{Correction: AsRecorded, Model: LowestAIC},
		Curve:      defaultCurve(),
		Ground:     defaultGround(),
		Report:     defaultReport(),
		Adaptive:   Adaptive{Estimator: HorvitzThompson},

		Selection:   Selection{Availability: Stems},
		Association: Association{FarthestM: 6, Steps: 12, Replicates: 1999},
		Compare:     Compare{Permute: YearsAndModes, Replicates: 9999},
		Model:       defaultModel(),
		Check:       defaultCheck(),
		Plan:        defaultPlan(),
	}
}
