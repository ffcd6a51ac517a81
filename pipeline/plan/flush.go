package plan

import (
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/result"
	"ashtally/pipeline/table"
	"ashtally/stats"
	"ashtally/stats/season"
)

// TakeFlush takes results/season: the curves of all units of each season, and those of
// each aspect.
func (p *Pilot) TakeFlush(b table.Batch) {
	for i := range b.Rows() {
		year := int(b.Ints("year").At(i).Value)
		at := slices.IndexFunc(p.Seasons, func(f Flush) bool { return f.Year == year })
		whole := true
		for _, name := range []string{"stratum", "elevation_band_m", "roadside"} {
			whole = whole && b.Texts(name).At(i) == result.All
		}
		switch aspect := strings.Clone(b.Texts("aspect").At(i)); {
		case !whole:
		case aspect == result.All && at < 0:
			p.Seasons = append(p.Seasons, Flush{Year: year, Folder: p.Folder, All: *flushOf(b, i)})
		case aspect != result.All && at >= 0:
			p.Seasons[at].Aspects = append(p.Seasons[at].Aspects, AspectFlush{aspect, *flushOf(b, i)})
		}
	}
}

// flushOf is the curve of a row by its figures.
func flushOf(b table.Batch, row int) *season.Flush {
	at := func(name string) float64 { return b.Floats(name).At(row).Or(math.NaN()) }
	level := at("confidence")
	f := &season.Flush{
		ReferenceM: at("at_elevation_m"), Shape: season.Gaussian,
		Peak:  limited(at("peak_day"), at("peak_day_lower"), at("peak_day_upper"), level),
		Width: limited(at("width_days"), at("width_days_lower"), at("width_days_upper"), level),
		Lead:  limited(at("roadside_lead_days"), at("roadside_lead_days_lower"), at("roadside_lead_days_upper"), level),
	}
	if f.K = at("k"); math.IsNaN(f.K) {
		f.K = math.Inf(1) // no more clumped than chance
	}
	f.DaysPer100M = limited(at("days_per_100m"), at("days_per_100m_lower"), at("days_per_100m_upper"), level)
	if math.IsNaN(f.Peak.Value) || math.IsNaN(f.Width.Value) {
		w := noCurve.With("%s", "the former season has no curve: "+b.Texts("warnings").At(row))
		f.None = &w
	}
	return f
}

// Warnings are the types of warnings of a plan.
var Warnings stats.WarningTypes

var noCurve = Warnings.New("no-pilot-curve", stats.Unavailable, "The pilot has no curve of its season")

// limited is an estimate whose standard error follows from its limits.
func limited(value, lower, upper, level float64) stats.Estimate {
	e := stats.Estimate{Value: value, SE: math.NaN()}
	e.Lower, e.Upper, e.Confidence, e.DF = lower, upper, level, math.Inf(1)
	if w := upper - lower; w > 0 && !math.IsInf(w, 1) && level > 0 && level < 1 {
		e.SE = w / (2 * stats.QuantileT((1+level)/2, math.Inf(1)))
	}
	return e
}
