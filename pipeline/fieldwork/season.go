package fieldwork

import (
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/density"
)

// Season collects the tables of a survey, batch by batch, into what the
// estimates need: units with their area, visits, and the fruit bodies of each
// group on each visit. What it holds grows with the number of units, visits
// and groups, not with the number of finds; only finds along lines are held
// each, for their distances.
type Season struct {
	Settings survey.Settings
	Target   map[string]bool // nil: every taxon

	Strata    []Stratum // by name
	StratumOf map[string]int
	Units     []Unit
	UnitOf    map[string]int
	lastUnit  int // that was looked up while rows are taken
	Visits    []Visit
	visitOf   visitIndex
	teams     map[string]*Searchers
	taking    string        // the table whose rows were taken last
	kinds     [256]findKind // that were met last, by a hash
	Groups    []Group
	groupOf   map[Group]int
	counts    byVisit                  // fruit bodies of the target taxa, by group
	Weights   Weights                  // of those with a mass
	LineFinds []LineFind               // of the target taxa
	Histories histories                // of the target taxa, where observers were named
	Weather   map[string][]Temperature // by station, in the order of the rows
	Taxa      map[string]*Taxon
	Cuts      []Cut    // by visit, of the target taxa
	Hosts     hostData // trees, and how far finds and reference points are from them

	// Earlier are surveys of former seasons that this one is compared with.
	Earlier []Earlier

	settled *settled // once all rows are taken

	// Fits keeps what was fitted to samples for all that estimate their densities.
	Fits *density.Fits

	// Progress, if not nil, is told how far work goes that can last: so much
	// done of so much. It is called by one goroutine at a time.
	Progress func(done, total int64)
}

// Earlier is a survey of former seasons.
type Earlier struct {
	Name string // of its folder
	*Season
}

// Stratum is a part of the survey area that was sampled on its own.
type Stratum struct {
	Name     string
	Row      int // in strata.csv, from 0
	AreaHa   float64
	FireYear int    // calendar year of the fire; 0 = unburned
	Severity string // of the burn, in the crew's words

	Adaptive bool // its plots say whether they were added
}

// Ground is whether the stratum burned.
func (s Stratum) Ground() string {
	if s.FireYear == 0 {
		return result.Unburned
	}
	return result.Burned
}

// Unit is a plot or a transect.
type Unit struct {
	ID, Site string
	Method   string
	Stratum  int
	Roadside bool
	AreaHa   float64 // horizontal; 0 for a line
	Network  string  // of an adaptive cluster plot; "" = under the threshold

	ElevationM, AspectDeg, SlopePercent column.Float

	Latitude, Longitude column.Float // as recorded: see [Season.Positions]

	*Transect // plots share an empty one
}

// Transect is what a transect has beside a plot.
type Transect struct {
	LengthM     float64 // as it was taped
	HorizontalM float64 // of a line, horizontal
	HalfWidthM  column.Float
	Sides       int // of a line
	Sequence    column.Int
	BearingDeg  column.Float
}

// noTransect is that of all plots.
var noTransect Transect

// Visit is one search of a unit.
type Visit struct {
	Unit, Pass int32
	Date       column.Date
	*Searchers
	CoverPercent column.Float // percent of the ground that is hidden
}

// Searchers are who searched: few, of many visits.
type Searchers struct {
	Team      string // as it was written down
	Observers []int  // those of them who searched on their own, by their places in the names of the histories
}

// Group is what finds are told apart by.
type Group struct{ Mode, Tree, Taxon string }

// New returns an empty Season for the settings of a survey.
func New(settings survey.Settings) *Season {
	s := &Season{
		Settings:  settings,
		StratumOf: map[string]int{},
		UnitOf:    map[string]int{},
		teams:     map[string]*Searchers{},
		groupOf:   map[Group]int{},
		Histories: newHistories(),
		Hosts:     hostData{measure: settings.Selection.Availability},
		Taxa:      map[string]*Taxon{},
		Fits:      new(density.Fits),
	}
	for _, name := range settings.Taxa.Target {
		if s.Target == nil {
			s.Target = map[string]bool{}
		}
		s.Target[name] = true
	}
	return s
}

// WithConfidence returns the same data with another nominal level of confidence.
func (s *Season) WithConfidence(level float64) *Season {
	at := *s
	at.Settings.Confidence = level
	return &at
}

func (s collector) groupAt(g Group) int {
	if g.Tree == "" {
		g.Tree = result.Unrecorded
	}
	at, ok := s.groupOf[g]
	if !ok {
		g = Group{Mode: strings.Clone(g.Mode), Tree: strings.Clone(g.Tree), Taxon: strings.Clone(g.Taxon)}
		at = len(s.Groups)
		s.groupOf[g] = at
		s.Groups = append(s.Groups, g)
	}
	return at
}
