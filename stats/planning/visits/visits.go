// Package visits chooses the dates of visits that see most of a flush at least cost.
//
// Visits that record what is new see, of what comes up, what still stands at the next
// of them. With f_d the share of the flush that comes up on day d, its mean over the
// forecast, and S(t) the share that stands t days later, visits on t_1 < ... < t_m see
//
//	sum_j g(t_(j-1), t_j),  g(s, t) = sum_(s < d <= t) f_d S(t - d)
//
// a sum over pairs of visits, so that the best dates of m visits follow from those of
// m - 1 by dynamic programming (Bellman 1957, Dynamic Programming), exactly. The plan
// is the smallest number of visits whose best dates see the wanted share.
//
// The mean over the forecast spreads over more days than any one flush does. Visits
// before the season must cover them all; in the season, with the forecast brought up
// to date and the visits made, fewer are left.
package visits

import (
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/planning/forecast"
)

// Options say what visits cost and what they are to see.
type Options struct {
	Share    float64 // of the flush; 0: 0.9
	Most     int     // visits; 0: 20
	Cost     float64 // of each
	Standing forecast.Standing
	Done     []int // days of visits already made, ascending
	Today    int   // visits are after this day, and after those made; 0: no limit
}

func (o Options) settled() Options {
	if o.Share == 0 {
		o.Share = 0.9
	}
	if o.Most == 0 {
		o.Most = 20
	}
	if !(o.Share > 0 && o.Share <= 1) || o.Most < 0 || !(o.Cost >= 0) || !(o.Standing.Days >= 0) || !slices.IsSorted(o.Done) {
		panic("visits: a share outside of (0, 1], a negative number, or visits that do not ascend")
	}
	return o
}

// Plan is a number of visits with their best dates.
type Plan struct {
	Days []int // of the year, to come
	Cost float64
	// Share is the mean over the forecast of what they see of the flush, those made
	// included; Low what they see of it in the worst tenth of the flushes that may
	// come. Chance is that they see the wanted share.
	Share, Low, Chance float64
}

// Schedule is the plans by their number of visits.
type Schedule struct {
	Plans  []Plan // of 1, 2, ... visits to come
	Chosen int    // the first that sees the wanted share; -1 for none
	None   *stats.Warning
}

// Warnings are the types of warnings of a schedule.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	tooFew   = Warnings.New("too-few-visits", stats.Unavailable, "Too few visits")
	noPlaces = Warnings.New("no-forecast", stats.Unavailable, "No forecast")
	seenYet  = Warnings.New("seen-already", stats.Note, "Seen already")
)

// Choose plans visits that all places have in common. The number grows until the
// wanted share is seen, and one further to show what it would add; None says why no
// number of them was chosen.
func Choose(f *forecast.Forecast, places []forecast.Place, o Options) Schedule {
	o = o.settled()
	s := Schedule{Chosen: -1}
	first, last, ok := span(f, places, o)
	if !ok {
		w := noPlaces.With("there is no forecast for the places")
		if f.None != nil {
			w = *f.None
		}
		s.None = &w
		return s
	}
	d := &dates{daily: f.Daily(places, first, last), first: first, Options: o}
	seen := forecast.Share(d.daily, first, o.Done, o.Standing)
	if seen >= o.Share {
		w := seenYet.With("the visits made have seen %.0f %% of the flush", 100*seen)
		s.None = &w
		return s
	}
	for m := 1; m <= o.Most; m++ {
		days := d.best(m)
		if days == nil {
			break
		}
		s.Plans = append(s.Plans, o.plan(f, places, d, days))
		if s.Chosen >= 0 {
			return s
		}
		if s.Plans[m-1].Share >= o.Share {
			s.Chosen = m - 1
		}
	}
	if s.Chosen < 0 {
		w := tooFew.With("%d visits see %.0f %% of the flush, not %.0f %%", len(s.Plans), 100*s.most(), 100*o.Share)
		s.None = &w
	}
	return s
}

func (s Schedule) most() float64 {
	if len(s.Plans) == 0 {
		return 0
	}
	return s.Plans[len(s.Plans)-1].Share
}

func (o Options) plan(f *forecast.Forecast, places []forecast.Place, d *dates, days []int) Plan {
	all := append(slices.Clone(o.Done), days...)
	p := Plan{Days: days, Cost: o.Cost * float64(len(days)), Share: forecast.Share(d.daily, d.first, all, o.Standing)}
	seen := f.Seen(places, all, o.Standing)
	slices.Sort(seen)
	p.Low = seen[len(seen)/10]
	met := 0
	for _, v := range seen {
		if v >= o.Share {
			met++
		}
	}
	p.Chance = float64(met) / float64(len(seen))
	return p
}

// span is the days that matter: from the earliest onset to the latest end, and a
// quarter of that on either side for what comes before the one and after the other.
func span(f *forecast.Forecast, places []forecast.Place, o Options) (first, last int, ok bool) {
	const chance = 0.998
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range places {
		t := f.Times(p, chance)
		if t.None != nil {
			return 0, 0, false
		}
		low, high = min(low, t.Onset.Lower), max(high, t.End.Upper)
	}
	if math.IsInf(low, 1) {
		return 0, 0, false
	}
	margin := (high - low) / 4
	first, last = int(math.Floor(low-margin)), int(math.Ceil(high+margin))
	if len(o.Done) > 0 {
		first = min(first, o.Done[0])
	}
	return first, max(last, o.Today+1), true
}

// dates finds the best dates over the days of a mean flush.
type dates struct {
	Options
	daily []float64
	first int

	start  int         // place of the first day that may be visited
	gain   [][]float64 // g by the places of the visit before, start-1 for none, and of this
	value  [][]float64 // best share of m+1 visits that end on a day
	before [][]int     // the visit before it
}

// best is the best dates of m visits; nil if there are not so many days.
func (d *dates) best(m int) []int {
	if d.gain == nil {
		d.prepare()
	}
	n := len(d.daily) - d.start
	if m > n {
		return nil
	}
	for len(d.value) < m {
		d.step()
	}
	at := 0
	for t, v := range d.value[m-1] {
		if v > d.value[m-1][at] {
			at = t
		}
	}
	days := make([]int, m)
	for j := m - 1; j >= 0; j-- {
		days[j] = d.first + d.start + at
		at = d.before[j][at]
	}
	return days
}

// prepare computes g. Row 0 has no visit before it but those made.
func (d *dates) prepare() {
	since := 0 // place after the last visit made
	if len(d.Done) > 0 {
		since = max(0, d.Done[len(d.Done)-1]-d.first+1)
	}
	d.start = max(since, d.Today-d.first+1, 0)
	n := max(0, len(d.daily)-d.start)
	d.gain = make([][]float64, n+1)
	for s := range d.gain {
		from := since
		if s > 0 {
			from = d.start + s
		}
		d.gain[s] = make([]float64, n)
		for t := s; t < n; t++ {
			for day := from; day <= d.start+t; day++ {
				d.gain[s][t] += d.daily[day] * d.Standing.Survival(float64(d.start+t-day))
			}
		}
	}
}

// step adds a visit.
func (d *dates) step() {
	n := len(d.daily) - d.start
	value, before := make([]float64, n), make([]int, n)
	for t := range value {
		value[t], before[t] = math.Inf(-1), -1
		if len(d.value) == 0 {
			value[t] = d.gain[0][t]
			continue
		}
		for s, v := range d.value[len(d.value)-1][:t] {
			if v += d.gain[s+1][t]; v > value[t] {
				value[t], before[t] = v, s
			}
		}
	}
	d.value, d.before = append(d.value, value), append(d.before, before)
}
