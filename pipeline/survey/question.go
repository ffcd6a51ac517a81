package survey

// Question is a doubt about the sheets: a value that may be right and is more
// likely not what the crew meant. It keeps nothing from being used.
type Question struct {
	Fault
	// Kind is one of QuestionKinds.
	Kind string `json:"question"`
	// Text is the cell as it stands in the file, or the name of what is in doubt.
	Text string `json:"text,omitempty"`
	// Rows is how many rows are like this one, itself included.
	Rows int `json:"rows,omitempty"`
}

// The kinds of questions.
const (
	NearName     = "name"      // a name that is almost another
	SameRow      = "same-row"  // rows that are equal cell for cell
	OfMass       = "mass"      // mass of a fruit body
	OfCount      = "count"     // fruit bodies of a row
	UnitSize     = "unit-size" // size of a plot or transect
	Series       = "series"    // a size filled down a column as a series
	OfSlope      = "slope"
	TreeDistance = "tree-distance"
	LineDistance = "line-distance"
	OfStems      = "stems"       // basal area of a stem
	InUnit       = "in-unit"     // a position outside of its unit
	OfHours      = "hours"       // hours of a search, or of an observer's day
	OfPercent    = "percent"     // a share where a percentage is meant
	OfPosition   = "position"    // latitude and longitude
	OfElevation  = "elevation"   //
	OfFire       = "fire"        // the year of a fire
	OfDate       = "date"        // the day of a visit
	NotVisited   = "not-visited" // a unit without a visit and without a reason
	OfTrack      = "track"       // a difference from a recorded track
)

// QuestionKinds names the kinds of questions.
var QuestionKinds = []string{
	NearName, SameRow, OfMass, OfCount, UnitSize, Series, OfSlope, TreeDistance, LineDistance, OfStems, InUnit,
	OfHours, OfPercent, OfPosition, OfElevation, OfFire, OfDate, NotVisited, OfTrack,
}
