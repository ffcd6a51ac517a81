package survey

// Selection says what trees offer to host-associated fungi.
type Selection struct {
	Availability string `json:"availability"` // Stems, BasalArea or Cover
}

// Association says over which distances to hosts finds are looked at.
type Association struct {
	FarthestM  float64 `json:"farthest_m"` // the end of the range
	Steps      int     `json:"steps"`      // distances in it, equally far apart
	Replicates int     `json:"replicates"` // swaps and bootstrap samples
}

// Compare says which comparisons are tested by permutation.
type Compare struct {
	Permute    string `json:"permute"`    // Years, Modes, YearsAndModes or Nothing
	Replicates int    `json:"replicates"` // arrangements drawn where there are too many to go through
}

// The words of these settings.
const (
	Stems     = "stems"
	BasalArea = "basal-area"
	Cover     = "cover"

	Years         = "years"
	Modes         = "modes"
	YearsAndModes = "years-and-modes"
	Nothing       = "nothing"
)

// Availabilities names the measures of what trees offer.
var Availabilities = []string{Stems, BasalArea, Cover}

// Permutations names the comparisons that can be tested by permutation.
var Permutations = []string{YearsAndModes, Years, Modes, Nothing}
