package dispersion

import "ashtally/stats"

// Warnings are the types of warnings that arise here, beside those of package stats.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	OneFind        = Warnings.New("one-find", stats.Note, "A single find")
	UnderDispersed = Warnings.New("under-dispersed", stats.Coverage, "Underdispersed counts")
	OpenUpperLimit = Warnings.New("open-upper-limit", stats.Note, "No upper limit of k")
	FewClasses     = Warnings.New("few-classes", stats.Note, "Too few classes of counts")
)
