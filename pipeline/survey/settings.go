package survey

import "ashtally/pipeline/column"

// Settings is survey.toml. [Defaults] holds what stands where the file is silent.
type Settings struct {
	Title      string  `toml:"title" json:"title"`
	Confidence float64 `toml:"confidence" json:"confidence"` // level of every interval, between 0.5 and 0.9999
	Seed       uint64  `toml:"seed" json:"seed"`             // of every random number of the run
	Units      string  `toml:"units" json:"units"`           // Metric or US: what the report shows first

	Files    map[string][]string          `toml:"files" json:"files"`     // table name to names and globs within the folder
	Columns  map[string]map[string]string `toml:"columns" json:"columns"` // table name to the crew's header to ours
	Season   Season                       `toml:"season" json:"season"`
	Counting Counting                     `toml:"counting" json:"counting"`
	Taxa     Taxa                         `toml:"taxa" json:"taxa"`
	Hosts    Hosts                        `toml:"hosts" json:"hosts"`
	Density  Density                      `toml:"density" json:"density"`
}

// Season bounds the dates that a visit may have; an unknown end is open.
type Season struct {
	First column.Date `toml:"first" json:"first"`
	Last  column.Date `toml:"last" json:"last"`
}

// Counting says how repeat visits of a unit make a season.
type Counting struct {
	Rule string `toml:"rule" json:"rule"` // New or Standing
}

// Taxa says what is estimated.
type Taxa struct {
	Target []string `toml:"target" json:"target"` // empty = every taxon
}

// Hosts says which trees can be hosts and within what distance.
type Hosts struct {
	Trees     []string `toml:"trees" json:"trees"` // empty = any tree
	DistanceM float64  `toml:"distance_m" json:"distance_m"`
}

// Density chooses among the methods of the density estimates.
type Density struct {
	Interval   string `toml:"interval" json:"interval"`     // name of an interval method of stats/density
	Systematic string `toml:"systematic" json:"systematic"` // variance of a systematic layout: R2, O2, O3 or S2
	Roadside   string `toml:"roadside" json:"roadside"`     // Apart or Together
	Replicates int    `toml:"replicates" json:"replicates"` // bootstrap samples, where the interval needs them
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
		Density:    Density{Interval: "nb-profile", Systematic: "R2", Roadside: Apart, Replicates: 1999},
	}
}

// TableNames lists the input tables in the order they are read: each refers
// only to those before it.
func TableNames() []string {
	return []string{Strata.Name, Plots.Name, Transects.Name, Visits.Name, Finds.Name, Trees.Name, ReferencePoints.Name}
}
