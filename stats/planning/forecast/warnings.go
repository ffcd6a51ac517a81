package forecast

import (
	"math"

	"ashtally/stats"
)

// Warnings are the types of warnings of a forecast.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	NoCurve       = Warnings.New("no-past-curve", stats.Unavailable, "No past season has a curve")
	NoLead        = Warnings.New("no-past-lead", stats.Unavailable, "Nothing is known of roadsides")
	OneSeason     = Warnings.New("one-season", stats.Scope, "How much years differ is assumed")
	FewSeasons    = Warnings.New("few-seasons", stats.Note, "How much years differ rests on few seasons")
	WithoutCurve  = Warnings.New("season-without-curve", stats.Note, "A past season without a curve")
	DelayAssumed  = Warnings.New("delay-assumed", stats.Scope, "The delay by elevation is assumed")
	NothingYet    = Warnings.New("nothing-yet", stats.Note, "The season tells nothing yet")
	FewDraws      = Warnings.New("far-from-forecast", stats.Coverage, "The season is far from what was forecast")
	OneFormer     = Warnings.New("one-former-year", stats.Scope, "How much the warmth of years differs is assumed")
	FormerTooSoon = Warnings.New("former-years-end", stats.Scope, "Temperatures end before the season may")
)

// enoughSeasons is from how many on the variation between years is known to a third.
const enoughSeasons = 5

func (f *Forecast) warn(seasons int, o Options) {
	add := func(w stats.Warning) { f.Warnings = append(f.Warnings, w) }
	if n := seasons - f.Seasons; n > 0 {
		add(WithoutCurve.With("%d of %d past seasons have no curve and are passed over", n, seasons))
	}
	known := math.IsInf(o.Peak.DF, 1)
	switch {
	case known:
	case f.Seasons == 1:
		more := 1.5 * o.Peak.SD
		add(OneSeason.With("one past season does not show how much years differ; a standard deviation of %.3g days is assumed, and if it is %.3g, "+
			"windows of 80 %% hold %.0f %%", o.Peak.SD, more, 100*o.Peak.holds(more)))
	case f.Seasons < enoughSeasons:
		add(FewSeasons.With("how much years differ, a standard deviation of about %.2g days, is estimated from %d seasons", f.BetweenYears, f.Seasons))
	}
	if f.calendar == nil {
		return
	}
	if len(f.calendar.Former) == 1 {
		add(OneFormer.With("the temperatures to come are those of one former year; that the sum of years differs by %.0f %% is assumed", 100*DefaultWarmth.SD))
	}
	if end := f.Times(Place{ElevationM: math.NaN()}, windowChance).End.Upper; end > float64(f.calendar.last) {
		add(FormerTooSoon.With("the temperatures of former years end on day %d of the year, and the season may end on day %.0f; from there on it "+
			"is assumed to be as warm as in the %d days before", f.calendar.last, end, rateDays))
	}
}
