package fieldwork

import "ashtally/pipeline/column"

// LineFind is a find along a line: one fruit body, or a group seen as one.
type LineFind struct {
	Visit, Group int
	N            int64
	DistanceM    float64
	CoverPercent column.Float // percent of the ground that is hidden around it
}
