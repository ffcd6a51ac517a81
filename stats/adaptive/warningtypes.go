package adaptive

import "ashtally/stats"

// Warnings are the types of warnings that arise here, beside those of package stats.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	VarianceBelow0    = Warnings.New("variance-below-0", stats.Unavailable, "A variance below 0")
	NoNetworks        = Warnings.New("no-networks", stats.Note, "No plot met the threshold")
	NetworkNotDrawn   = Warnings.New("network-not-drawn", stats.Scope, "Networks without a drawn plot")
	NetworkIncomplete = Warnings.New("network-incomplete", stats.Scope, "Networks that were not searched whole")
)
