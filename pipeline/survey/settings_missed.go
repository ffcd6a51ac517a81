package survey

// Missed says how densities are made up for the fruit bodies that were missed.
type Missed struct {
	Correction string `json:"correction"` // one of Corrections
	Model      string `json:"model"`      // one of Sights
}

// The words of [missed], beside [LowestAIC].
const (
	AsRecorded = "as-recorded" // by observers where two searched on their own, else by passes
	Observers  = "observers"
	Passes     = "passes"
	NoneMissed = "none"

	ByObserver  = "observer"
	ByGroupSize = "group-size"
	ByStratum   = "stratum"
)

// Corrections names what densities can be made up by.
var Corrections = []string{AsRecorded, Observers, Passes, NoneMissed}

// Sights names what the chance to see a find can be made to depend on.
var Sights = []string{LowestAIC, ByObserver, ByGroupSize, ByStratum}
