package crop

import "ashtally/stats"

// Warnings are the types of warnings that a crop and a mean mass can carry.
var Warnings stats.WarningTypes

// The types of warnings. Those that a question tells apart are exported.
var (
	NoMass        = Warnings.New("no-mass", stats.Unavailable, "Nothing was weighed")
	FewWeighed    = Warnings.New("few-weighed", stats.Coverage, "Few fruit bodies were weighed")
	WeighedInPart = Warnings.New("weighed-in-part", stats.Scope, "Only part of the fruit bodies were weighed")

	noDensity      = Warnings.New("no-density", stats.Unavailable, "No density, hence no crop")
	weighedInPlace = Warnings.New("weighed-in-one-place", stats.Unavailable, "Weighed in one unit or site only")
	massesAlike    = Warnings.New("masses-alike", stats.Scope, "All masses are equal")
	massApart      = Warnings.New("mass-apart", stats.Scope, "Density and mean mass assumed to be independent")
	kindsPooled    = Warnings.New("kinds-pooled", stats.Scope, "Kinds with the mean mass of all")
)

// Under these the interval of a mean mass may not have its nominal coverage
// (common practice, no source).
const (
	fewWeighed = 20
	fewSites   = 5
)

// nothingWeighed is the reason for a mass that cannot be had.
func nothingWeighed() stats.Warning {
	return NoMass.With("no find has a mass, so the crop is given in fruit bodies alone; weigh some finds, not only the large ones")
}

// allAlike tells of masses without variance.
func allAlike() stats.Warning {
	return massesAlike.With("every fruit body weighed has the same mass; where a standard mass was written down, nothing was weighed")
}

// fewWarnings are those of the number of sites and of fruit bodies weighed.
func fewWarnings(sites int, weighed float64) []stats.Warning {
	switch {
	case sites == 1:
		return []stats.Warning{weighedInPlace.With("fruit bodies were weighed in one unit or site alone, which gives no information on the " +
			"others, so the mass has no interval")}
	case sites < fewSites || weighed < fewWeighed:
		return []stats.Warning{FewWeighed.With("%.0f fruit bodies in %d units or sites were weighed, which is few; under %d in %d the interval "+
			"may not have its nominal coverage", weighed, sites, fewWeighed, fewSites)}
	}
	return nil
}

// mostWeighed is the share from which finds count as weighed all.
const mostWeighed = 0.9

// warnings are those of a mass that its mean does not have already.
func (p Part) warnings(t sums, c Crop) []stats.Warning {
	var w []stats.Warning
	counted := over(t.count, every(p.Kinds))
	if c.Weighed < mostWeighed*counted {
		w = append(w, WeighedInPart.With("%.0f of %.0f fruit bodies were weighed. If larger ones were chosen, the mass is too high",
			c.Weighed, counted))
	}
	pooled := 0
	for g, n := range t.weighed {
		if n < leastWeighed && t.count[g] > 0 {
			pooled++
		}
	}
	if pooled > 0 && p.Kinds > 1 {
		w = append(w, kindsPooled.With("under %d fruit bodies were weighed of %d of the %d kinds, which get the mean mass of all kinds",
			leastWeighed, pooled, p.Kinds))
	}
	if p.Apart {
		w = append(w, massApart.With("density and mass are assumed independent, and the mix of kinds is that of the finds"))
	}
	return w
}
