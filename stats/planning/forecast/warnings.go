package forecast

import "ashtally/stats"

// Warnings are the types of warnings of a forecast.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	NoCurve       = Warnings.New("no-past-curve", stats.Unavailable, "No past season has a curve")
	NoLead        = Warnings.New("no-past-lead", stats.Unavailable, "Nothing is known of roadsides")
	FewSeasons    = Warnings.New("few-seasons", stats.Scope, "How much years differ is assumed")
	WithoutCurve  = Warnings.New("season-without-curve", stats.Note, "A past season without a curve")
	DelayAssumed  = Warnings.New("delay-assumed", stats.Scope, "The delay by elevation is assumed")
	NothingYet    = Warnings.New("nothing-yet", stats.Note, "The season tells nothing yet")
	FewDraws      = Warnings.New("far-from-forecast", stats.Coverage, "The season is far from what was forecast")
	FormerTooFew  = Warnings.New("few-former-years", stats.Scope, "Few former years of temperatures")
	FormerTooSoon = Warnings.New("former-years-end", stats.Scope, "Temperatures end before the season does")
)

// enoughSeasons is how many tell of the variation between years as much as the
// default prior does.
const enoughSeasons = 5

// enoughFormer is how many years show how the warmth to come may vary (common
// practice, no source).
const enoughFormer = 5

func (f *Forecast) warn(seasons int, o Options) {
	if n := seasons - f.Seasons; n > 0 {
		f.Warnings = append(f.Warnings, WithoutCurve.With("%d of %d past seasons have no curve and are passed over", n, seasons))
	}
	if f.Seasons < enoughSeasons && !(o.Peak.DF > 100) {
		f.Warnings = append(f.Warnings, FewSeasons.With("%d past seasons have a curve; that the peak varies between years by about %.3g is assumed with the weight of %.3g years", f.Seasons, o.Peak.SD, o.Peak.DF))
	}
	if o.Calendar != nil && len(o.Calendar.Former) < enoughFormer {
		f.Warnings = append(f.Warnings, FormerTooFew.With("the temperatures to come are those of %d former years; the dates vary less than they may", len(o.Calendar.Former)))
	}
}
