package survey

// Report says which figure the report leads with, and which positions it tells.
type Report struct {
	Basis  string `json:"basis"`  // one of Bases
	Method string `json:"method"` // one of ReportMethods
	// Positions is how much of the position of each unit report, result tables and
	// exports tell: one of Disclosures.
	Positions string `json:"positions"`
}

// The links of the chain from counted to grown that crop and harvest may stand on.
const (
	LastLink = "last"
	Counted  = "counted"
	Detected = "detected"
	Whole    = "season"
)

// Bases names the links that a survey can ask for.
var Bases = []string{LastLink, Counted, Detected, Whole}

// MostArea leaves it to the areas which method stands alone where methods disagree.
const MostArea = "most-area"

// ReportMethods names the methods that a survey can ask for.
var ReportMethods = []string{MostArea, "plot", "strip", "line"}

// The words of how much of a position is told.
const (
	Exact       = "exact"
	Generalized = "generalized"
	Withheld    = "withheld"
)

// Disclosures names them, each telling less than the one before.
var Disclosures = []string{Exact, Generalized, Withheld}

func defaultReport() Report { return Report{Basis: LastLink, Method: MostArea, Positions: Exact} }

// reportKeys are the settings of [Report].
var reportKeys = []Key{
	{Table: "report", Name: "basis", About: "density that crop and harvest stand on: as counted; detected: corrected for imperfect detection; " +
		"season: for the part of the season that nobody saw as well; last: the last of these that the survey can tell, as where it cannot tell " +
		"the one asked for", Words: Bases,
		At: func(s *Settings) any { return &s.Report.Basis }},
	{Table: "report", Name: "method", About: "which method gives the density where several sampled the same strata and may differ (p under " +
		"0.2); most-area: the one that sampled the largest area", Words: ReportMethods,
		At: func(s *Settings) any { return &s.Report.Method }},
	{Table: "report", Name: "positions", About: "positions of units in the report, in result tables and in exports: exact; generalized to the " +
		"centre of a grid cell (dataset.blur_m); or withheld, with elevation and aspect; archive, run.json and set-aside.csv keep what was recorded",
		Words: Disclosures,
		At:    func(s *Settings) any { return &s.Report.Positions }},
}
