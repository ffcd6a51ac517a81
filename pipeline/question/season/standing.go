package season

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/season"
)

// otherStanding is a season in which fruit bodies stand otherwise than the
// estimates take them to.
type otherStanding struct {
	stands standing
	flush
	carried bool // whether the limits of totals take it in
}

// How much shorter and longer the days that a fruit body stands may well be,
// where the settings give one number: nobody knows them to better than that. Nor
// do the visits tell: a fruit body is recorded once and has no name, so that
// nothing says how long it still stood, and the curve takes up what windows of
// other lengths would change. In made-up seasons of 60 and 120 units, half and twice
// the true days lowered the log-likelihood by less than 0.1 on the mean, by 0.7 at
// most.
var standingFactors = []float64{0.7, 1.4}

// alternatives are the other ways to stand, and whether the settings allow them:
// days that vary from body to body, with the least mean of the settings, and the
// most days for all of them. Between the two lie all others that the settings
// allow, for the share that the visits see falls with shorter days and with days that
// vary. Of a single number, shorter and longer days are told of and not allowed.
func alternatives(r survey.Range) (list []standing, carried []bool) {
	list, carried = []standing{{days: r.Low, varies: true}}, []bool{true}
	if r.Low < r.High {
		return append(list, standing{days: r.High}), append(carried, true)
	}
	for _, by := range standingFactors {
		list, carried = append(list, standing{days: by * r.Low}), append(carried, false)
	}
	return list, carried
}

// otherStandings fits the season where fruit bodies stand otherwise, each from the
// curve of the season on. There are none where that does not come into it.
func (y *yearly) otherStandings(whole *season.Flush) []otherStanding {
	if whole.None != nil || y.season.Settings.Counting.Rule == survey.Standing {
		return nil
	}
	ways, carried := alternatives(y.season.Settings.Curve.StandingDays)
	list := make([]otherStanding, len(ways))
	var fits errgroup.Group
	fits.SetLimit(runtime.GOMAXPROCS(0))
	for i, way := range ways {
		fits.Go(func() error {
			other := standingFor(y, way)
			all := flushGroup{key: wholeSeason(y.year), members: fieldwork.Indices(len(y.elements))}
			curve := whole.Refit(other.carried(other.sample(all)))
			curve = curve.WithoutVisits()
			list[i] = otherStanding{way, newFlush(&curve, other), carried[i]}
			return nil
		})
	}
	_ = fits.Wait() // none fails
	return slices.DeleteFunc(list, func(o otherStanding) bool { return o.None != nil })
}

// standingFor is a year in which fruit bodies stand otherwise.
func standingFor(y *yearly, way standing) *yearly {
	other := *y
	other.stands, other.visits = way, slices.Clone(y.visits)
	other.windows()
	return &other
}

// leastShift is how far a total must move for a reader to be told.
const leastShift = 0.05

// acrossStandings gives a total limits that take in how else fruit bodies may
// stand, and says what it rests on: in full for the land, in short for a part.
func (y *yearly) acrossStandings(t season.Total, parts []season.Part, land bool, others []otherStanding) (season.Total, []stats.Warning) {
	if !(t.Value > 0) {
		return t, nil
	}
	var carried []season.Total
	var within, beyond []string
	var most float64
	for _, o := range others {
		other := o.view.Total(parts)
		if math.IsNaN(other.Value) {
			continue
		}
		change := other.Value/t.Value - 1
		most = max(most, math.Abs(change))
		says := fmt.Sprintf("%+.0f %% for %s", 100*change, o.stands.words())
		if o.carried {
			carried, within = append(carried, other), append(within, says)
		} else {
			beyond = append(beyond, says)
		}
	}
	if most < leastShift {
		return t.Across(carried...), nil
	}
	return t.Across(carried...), []stats.Warning{restsOnStanding.With("%s",
		restsOn(y.stands.days, y.season.Settings.Curve.StandingDays, land, within, beyond)).Moving(most)}
}

func (s standing) words() string {
	if s.varies {
		return fmt.Sprintf("days that vary from body to body about a mean of %.3g (exponential)", s.days)
	}
	return fmt.Sprintf("%.3g days", s.days)
}

// restsOn says what a total rests on, and of the land how it would change.
func restsOn(days float64, given survey.Range, land bool, within, beyond []string) string {
	text := fmt.Sprintf("the total depends on how long a fruit body can be found, assumed to be %.3g days for each", days)
	if given.Low < given.High {
		text += fmt.Sprintf(", the middle of %s", given)
	}
	switch {
	case len(within) == 0:
		return text + ". Its limits allow for no other"
	case !land:
		return text + ". Its limits allow for days that vary"
	}
	text += ". Its limits allow for " + strings.Join(within, " and ")
	if len(beyond) > 0 {
		text += ", and not for " + strings.Join(beyond, " and ") + ": a range of standing_days would"
	}
	return text
}
