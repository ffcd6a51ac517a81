package forecast

import "math"

// Standing is how long a fruit body stands: as many days, or, if the days vary, so
// many on the mean of an exponential distribution. Zero days: until the end.
type Standing struct {
	Days   float64
	Varies bool
}

// Survival is the share of what came up in the day before a time, evenly, that still
// stands some days after it.
func (s Standing) Survival(days float64) float64 {
	switch {
	case s.Days == 0:
		return 1
	case s.Varies:
		return s.Days * math.Exp(-days/s.Days) * -math.Expm1(-1/s.Days)
	}
	return min(max(s.Days-days, 0), 1)
}

// Daily is the mean over the forecast of the share of the flush that comes up on each
// of the days from first to last, of all places by their weights. It is nil without a
// forecast, or with a roadside of which nothing is known.
func (f *Forecast) Daily(places []Place, first, last int) []float64 {
	mean := make([]float64, last-first+1)
	if f.unknown(places) {
		return nil
	}
	for _, d := range f.draws {
		for i, v := range f.daily(d, places, first, last) {
			mean[i] += v
		}
	}
	for i := range mean {
		mean[i] /= float64(len(f.draws))
	}
	return mean
}

// unknown is true of places that cannot be forecast.
func (f *Forecast) unknown(places []Place) bool {
	for _, p := range places {
		if p.Roadside && !f.hasLead {
			return true
		}
	}
	return f.None != nil || len(places) == 0
}

// daily is that of one draw.
func (f *Forecast) daily(d draw, places []Place, first, last int) []float64 {
	out := make([]float64, last-first+1)
	var weight float64
	for _, p := range places {
		weight += p.Weight
	}
	for _, p := range places {
		before := f.share(d, p, float64(first-1))
		for i := range out {
			now := f.share(d, p, float64(first+i))
			out[i] += (now - before) * p.Weight / weight
			before = now
		}
	}
	return out
}

// Seen is the share of the flush that visits on some days, ascending, see in each of
// the flushes that may come, if each records what is new and nothing that stands is
// missed.
func (f *Forecast) Seen(places []Place, visits []int, s Standing) []float64 {
	if f.unknown(places) || len(visits) == 0 {
		return nil
	}
	first, last := visits[0]-lookBack, visits[len(visits)-1]
	out := make([]float64, len(f.draws))
	for i, d := range f.draws {
		out[i] = Share(f.daily(d, places, first, last), first, visits, s)
	}
	return out
}

// lookBack is the days before the first visit on which anything that it sees may have
// come up.
const lookBack = 150

// Share is what visits see of a flush that comes up by daily shares from a first day
// on: each what came since the visit before and still stands.
func Share(daily []float64, first int, visits []int, s Standing) float64 {
	var sum float64
	from := first
	for _, v := range visits {
		for day := from; day <= v && day-first < len(daily); day++ {
			sum += daily[day-first] * s.Survival(float64(v-day))
		}
		from = max(from, v+1)
	}
	return sum
}
