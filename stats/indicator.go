package stats

// Indicator is 1 where a condition holds and 0 elsewhere.
func Indicator(holds bool) int {
	if holds {
		return 1
	}
	return 0
}
