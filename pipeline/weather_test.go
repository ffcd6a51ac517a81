package pipeline

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// A made-up spring of ten degrees but for a cold spell in the midst of the
// flush, and a base of three.
const (
	springWarm, springCold, baseC = 10.0, 2.0, 3.0
	spellFrom, spellTo            = 118, 130 // days of the year 2031; warm again on the last
	weatherFrom                   = 91
)

func warmthAt(day int) float64 {
	return (springWarm - baseC) * float64(day-weatherFrom+1-min(max(day-spellFrom+1, 0), spellTo-spellFrom))
}

// springSheets are visits every four days to twenty plots, to count what stands
// of a flush that follows the warmth or the day.
func springSheets(byWarmth bool) map[string]string {
	r := rand.New(rand.NewPCG(31, 4))
	plots, visits, finds := "plot,stratum,area_m2,elevation_m\n", "unit,date\n", "unit,date,taxon,count\n"
	weather := "date,temperature_c\n"
	day := func(of int) string { // of April 1st, day 91, on
		if of > 120 {
			return fmt.Sprintf("2031-05-%02d", of-120)
		}
		return fmt.Sprintf("2031-04-%02d", of-90)
	}
	for of := weatherFrom; of <= 120+31; of++ {
		celsius := springWarm
		if of >= spellFrom && of < spellTo {
			celsius = springCold
		}
		weather += fmt.Sprintf("%s,%.1f\n", day(of), celsius)
	}
	for i := range 20 {
		id := fmt.Sprint("P", i)
		plots += fmt.Sprintf("%s,burn,200,1000\n", id)
		for of := 102; of <= 146; of += 4 {
			z := float64(of-124) / 8
			if byWarmth {
				z = (warmthAt(of) - warmthAt(115)) / 45
			}
			visits += id + "," + day(of) + "\n"
			n := 0
			for t := r.ExpFloat64(); t < 6*math.Exp(-z*z/2); t += r.ExpFloat64() {
				n++
			}
			if n > 0 {
				finds += fmt.Sprintf("%s,%s,black morel,%d\n", id, day(of), n)
			}
		}
	}
	return map[string]string{
		"survey.toml": fmt.Sprintf("title = \"A cold spell, invented\"\n[counting]\nrule = \"standing\"\n[curve]\nbase_temperature_c = %.1f\n", baseC),
		"strata.csv":  "stratum,area_ha,fire_date\nburn,120,2030-08-14\n",
		"plots.csv":   plots, "visits.csv": visits, "finds.csv": finds, "weather.csv": weather,
	}
}

// TestWeatherRun runs a survey with a weather sheet through to its report: of a
// flush that follows warmth the curve by degree days has the lower AIC and peaks
// where it was made to, of one that follows the day that by days.
func TestWeatherRun(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	for _, byWarmth := range []bool{true, false} {
		files := contents(t, mustRun(t, Options{Survey: writeSheets(t, springSheets(byWarmth))}))
		var row map[string]string
		for _, r := range resultRows(t, files, "season") {
			if r["year"] == "2031" && r["stratum"] == result.All {
				row = r
				break
			}
		}
		days, degrees := numberIn(t, row, "aic_days"), numberIn(t, row, "aic_degree_days")
		if byWarmth != (degrees < days-2) || byWarmth == (days < degrees-2) {
			t.Errorf("made by warmth %t: AIC %.1f by days, %.1f by degree days", byWarmth, days, degrees)
		}
		peak, want := numberIn(t, row, "peak_degree_days"), warmthAt(115)
		lower, upper := numberIn(t, row, "peak_degree_days_lower"), numberIn(t, row, "peak_degree_days_upper")
		if byWarmth && (math.Abs(peak-want) > 15 || !(lower < peak && peak < upper && upper-lower < 40)) {
			t.Errorf("peak at %.0f degree days (%.0f to %.0f), made with %.0f", peak, lower, upper, want)
		}
		if !strings.Contains(string(files[page.AppendixFile]), "Days and degree days") {
			t.Error("the appendix says nothing of degree days")
		}
	}
}
