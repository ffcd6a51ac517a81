package demo

import "math"

// stratum is a part of the invented land.
type stratum struct {
	name     string
	areaHa   float64
	fire     string // date or year; "" = unburned
	severity string

	perHa [populations]float64 // fruit bodies that come up in the season

	lowM, highM         float64 // elevations
	latitude, longitude float64 // of its middle
	stemsPerHa          [len(species)]float64
	aliveShare          float64 // of the stems
}

// The strata, by their place in the list below.
const (
	severe = iota
	moderate
	older
	oldest
	unburned
	bottoms
)

// Densities of morels on severely burned ground in the first season, per ha:
// what stands on the two visits is then within 1,000 to 2,000 per ha (common
// practice, no source). Moderate fire leaves less dead matter and more hosts.
const (
	severeSaprotrophic   = 1500
	moderateShare        = 0.55
	moderateHosts        = 150
	severeHosts          = 60
	unburnedSaprotrophic = 4
	unburnedHosts        = 90
)

var strata = [...]stratum{
	severe: {
		name: "quillet-severe", areaHa: 640, fire: "2030-08-11", severity: "severe",
		perHa: [...]float64{severeSaprotrophic, severeHosts, 20, 40},
		lowM:  1100, highM: 1450, latitude: 46.412, longitude: -141.287,
		stemsPerHa: [...]float64{190, 90, 240, 60, 20}, aliveShare: 0.06,
	},
	moderate: {
		name: "quillet-moderate", areaHa: 910, fire: "2030-08-11", severity: "moderate",
		perHa: [...]float64{moderateShare * severeSaprotrophic, moderateHosts, 30, 40},
		lowM:  1000, highM: 1350, latitude: 46.438, longitude: -141.262,
		stemsPerHa: [...]float64{230, 110, 200, 70, 40}, aliveShare: 0.45,
	},
	older: {
		name: "bramwold", areaHa: 1450, fire: "2029", severity: "mixed",
		perHa: [...]float64{SaprotrophicPerYear * severeSaprotrophic, HostAssociatedPerYear * moderateHosts, 30, 20},
		lowM:  900, highM: 1300, latitude: 46.533, longitude: -141.418,
		stemsPerHa: [...]float64{210, 80, 160, 80, 50}, aliveShare: 0.30,
	},
	oldest: {
		name: "ostrey", areaHa: 2230, fire: "2027-07-26", severity: "mixed",
		perHa: [...]float64{
			math.Pow(SaprotrophicPerYear, 3) * severeSaprotrophic,
			math.Pow(HostAssociatedPerYear, 3) * moderateHosts, 30, 10,
		},
		lowM: 1200, highM: 1600, latitude: 46.297, longitude: -141.105,
		stemsPerHa: [...]float64{160, 140, 150, 40, 60}, aliveShare: 0.40,
	},
	bottoms: {
		name: "ostrey-bottoms", areaHa: 42, fire: "2027-07-26", severity: "light",
		perHa: [...]float64{15, 165, 20, 5},
		lowM:  1150, highM: 1250, latitude: 46.281, longitude: -141.121,
		stemsPerHa: [...]float64{60, 180, 40, 10, 160}, aliveShare: 0.75,
	},
	unburned: {
		name: "unburned-control", areaHa: 3800, severity: "none",
		perHa: [...]float64{unburnedSaprotrophic, unburnedHosts, 15, 5},
		lowM:  950, highM: 1450, latitude: 46.471, longitude: -141.196,
		stemsPerHa: [...]float64{240, 120, 210, 80, 50}, aliveShare: 0.94,
	},
}
