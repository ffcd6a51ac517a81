package fieldwork

import "ashtally/stats"

// Warnings are the types of warnings that the design of a survey gives reason for.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	RoadsideTogether   = Warnings.New("roadside-together", stats.Scope, "Roadside units counted like any other")
	RoadsideOnly       = Warnings.New("roadside-only", stats.Scope, "Only roadsides were searched")
	RoadsideApart      = Warnings.New("roadside-apart", stats.Note, "Roadside units left out")
	RoadsideInGrid     = Warnings.New("roadside-in-grid", stats.Scope, "Roadside plots counted as plots of the grid")
	SitesInGrid        = Warnings.New("sites-in-grid", stats.Scope, "Plots of a grid grouped in sites")
	UnequalVisits      = Warnings.New("unequal-visits", stats.Scope, "Unequal numbers of visits")
	OneVisit           = Warnings.New("one-visit", stats.Scope, "Units searched once")
	SeasonsPooled      = Warnings.New("seasons-pooled", stats.Scope, "Seasons pooled")
	AreaNotReached     = Warnings.New("land-not-reached", stats.Scope, "Part of the survey area not sampled")
	UnitsNeverSearched = Warnings.New("never-searched", stats.Scope, "Units that were never searched")
)
