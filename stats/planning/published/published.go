// Package published holds densities and clumping to assume where there is no pilot.
//
// Few surveys of fruit bodies say how their counts clump, and those that are known
// differ by more than a power of ten in density. So there is no single figure to
// assume: [Scenarios] are the ends and the middle of a range, and a plan without a
// pilot is a range too. Each says where it comes from. What was derived from published
// figures, and not published itself, is said to be derived.
package published

import (
	"ashtally/stats"
	"ashtally/stats/planning"
)

// Sources of the scenarios; Winder & Keefer 2008 is Botany 86: 1152-1167.
const (
	larson = "Larson et al. 2016, Forest Ecology and Management"
	pilz   = "Pilz et al. 2004, Forest Ecology and Management 198: 367-386"
)

// The clumping of the plots in Yosemite, which was not published: the k at which a
// negative binomial with their mean of 595/1119 (the 595 from memory; it agrees with
// the density) has the published 17.8 % of plots with finds,
//
//	k log(1 + m/k) = -log(0.822)
const (
	larsonK      = 0.112
	larsonUnitHa = 3.14e-4
)

// Scenario is a population to assume.
type Scenario struct {
	Name string
	planning.Population
	Source string
}

// Scenarios are three populations from sparse and clumped to dense and even. All have
// the k that was derived from the plots in Yosemite, of 3.14 m2. How it changes with
// the area of a unit is not known of any survey: the three have it constant, as the
// root of the area, and in proportion to it, which for plots of 100 m2 are 0.11, 0.63
// and 3.6.
//
// Published densities of morels in the year after a fire, per hectare, are
//
//	80     lowest of the sites in northeast Oregon (Pilz et al.)
//	1693   one burn in Yosemite, 1119 plots of 3.14 m2 (Larson et al.)
//	1702   lowest of five burnt forests in British Columbia (Winder & Keefer)
//	4350   highest of the sites in northeast Oregon
//	6473   mean of five burnt forests in British Columbia
//	16827  highest of five burnt forests in British Columbia
func Scenarios() []Scenario {
	at := func(name string, perHa, scaling float64, source string) Scenario {
		return Scenario{name, planning.Population{PerHa: perHa, K: larsonK, UnitHa: larsonUnitHa, Scaling: scaling}, source}
	}
	return []Scenario{
		at("sparse and clumped", 80, 0, "density: lowest site of "+pilz+"; clumping: derived from "+larson+", the same for units of any area (assumed)"),
		at("middle", 1693, 0.5, "density: "+larson+"; clumping: derived from the same, growing with the root of the area (assumed)"),
		at("dense and even", 4350, 1, "density: highest site of "+pilz+"; clumping: derived from "+larson+", in proportion to the area (assumed)"),
	}
}

// Strata is a scenario for some strata, all alike, with the warning that it is assumed.
func (s Scenario) Strata(n int) planning.Drawer {
	d := drawer{source: s.Source}
	for range n {
		d.Known = append(d.Known, s.Population)
	}
	return d
}

type drawer struct {
	planning.Known
	source string
}

// Limitations say that the scenario is assumed.
func (d drawer) Limitations(float64) []stats.Warning {
	return []stats.Warning{planning.Assumed.With("without a pilot density and clumping are assumed (%s); a few units searched beforehand tell more", d.source)}
}
