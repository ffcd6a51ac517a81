package coverage

import (
	"math"
	"math/rand/v2"

	"ashtally/stats/detect"
)

// lineWorld is land walked along lines, to 20 m on either side unless said.
type lineWorld struct {
	name, family string
	density      float64 // objects per hectare
	perLine      float64 // detections expected on a line, or on a pair of them
	width        float64 // half-width, m
	// seen is the chance to see a group of the size at the distance by the
	// observer of the line.
	seen   func(x, size float64, observer string) float64
	models []detect.Model // that the survey chooses from

	clumped float64 // variance of the density from line to line, as a share of its square
	bySite  bool    // lines come in pairs, and the density varies from pair to pair on top
	trend   float64 // the density goes from 1 - trend to 1 + trend along the layout
	strata  bool    // every other line lies in a stratum three times as large, and half as rich
	size    func(r *rand.Rand) float64
	classes []float64 // borders of the classes that distances are recorded in, m
	mapped  bool      // the longleaf pines, on lines at random
}

// lineWorlds lists the worlds of lines, those of a family together.
func lineWorlds() []lineWorld {
	normal := lineWorld{density: 7.8, perLine: 5.1, width: 20, seen: halfNormal(7), models: detect.Candidates(0)}
	hazard := normal
	hazard.perLine, hazard.seen = 5.2, hazardRate(7, 3)
	observer := normal
	observer.perLine, observer.seen, observer.models = 5, unequalSight, detect.Candidates(0, "observer")
	groups := normal
	groups.density, groups.perLine, groups.seen, groups.size = 22, 5.1, larger, groupSize
	trend := normal
	trend.trend = 0.7

	var all []lineWorld
	add := func(family, name string, w lineWorld, change func(w *lineWorld)) {
		w.family, w.name = family, name
		if change != nil {
			change(&w)
		}
		all = append(all, w)
	}
	clumped := func(w *lineWorld) { w.clumped = 0.25 }
	named := func(key detect.Key) func(w *lineWorld) {
		return func(w *lineWorld) { w.models = []detect.Model{{Key: key}} }
	}
	add("one sight", "half-normal", normal, nil)
	add("one sight", "half-normal, clumped", normal, clumped)
	add("one sight", "half-normal in classes", normal, func(w *lineWorld) { w.classes = []float64{0, 2, 5, 9, 14, 20} })
	add("one sight", "half-normal, function named", normal, named(detect.HalfNormal))
	add("one sight", "hazard-rate", hazard, nil)
	add("one sight", "hazard-rate, clumped", hazard, clumped)
	add("one sight", "hazard-rate, function named", hazard, named(detect.HazardRate))
	add("sites and strata", "sites of two lines", normal, func(w *lineWorld) { w.clumped, w.bySite, w.density = 0.1, true, 3.9 })
	add("sites and strata", "two strata", normal, func(w *lineWorld) { w.clumped, w.strata, w.density = 0.25, true, 6.5 })
	add("observers", "two observers, tried as covariate", observer, nil)
	add("observers", "two observers, clumped", observer, clumped)
	add("observers", "two observers, not tried", observer, func(w *lineWorld) { w.models = normal.models })
	add("observers", "two observers alike, tried", observer, func(w *lineWorld) { w.seen, w.perLine = normal.seen, normal.perLine })
	add("groups", "larger groups seen farther", groups, nil)
	add("groups", "larger groups seen farther, size tried", groups, func(w *lineWorld) { w.models = detect.Candidates(0, "size") })
	add("groups", "groups seen alike", groups, func(w *lineWorld) { w.seen, w.density = normal.seen, 7.8*meanGroup })
	add("mapped along lines", "longleaf pines, lines of 100 m", normal, func(w *lineWorld) {
		w.mapped, w.width, w.seen, w.density, w.perLine = true, 5, halfNormal(1.5), Longleaf().PerHa(), 5.5
	})
	add("lines across a trend", "lines across a trend", trend, nil)
	return all
}

// slow tells of a world whose surveys choose among many functions.
func (w lineWorld) slow() bool { return len(w.models) > 3 }

func halfNormal(sigma float64) func(x, size float64, observer string) float64 {
	return func(x, _ float64, _ string) float64 { return math.Exp(-x * x / (2 * sigma * sigma)) }
}

func hazardRate(sigma, b float64) func(x, size float64, observer string) float64 {
	return func(x, _ float64, _ string) float64 { return -math.Expm1(-math.Pow(x/sigma, -b)) }
}

// unequalSight has two observers, each with a scale of his own: a 9 m, b 5 m.
func unequalSight(x, _ float64, observer string) float64 {
	if observer == "a" {
		return halfNormal(9)(x, 0, "")
	}
	return halfNormal(5)(x, 0, "")
}

// larger groups are seen farther off.
func larger(x, size float64, _ string) float64 { return halfNormal(5+2.5*math.Log(size))(x, 0, "") }

// groupSize is 1 to about 20.
func groupSize(r *rand.Rand) float64 { return 1 + math.Floor(math.Exp(0.4+0.9*r.NormFloat64())) }

// meanGroup is the mean of groupSize: 1 + sum_k P(exp(0.4 + 0.9 z) >= k).
var meanGroup = func() float64 {
	mean := 1.0
	for k := 1.0; k < 1000; k++ {
		mean += math.Erfc((math.Log(k)-0.4)/(0.9*math.Sqrt2)) / 2
	}
	return mean
}()
