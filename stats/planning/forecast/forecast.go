package forecast

import (
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/stats"
	"ashtally/stats/season"
)

// The defaults, common practice without a source: see the package comment.
var (
	DefaultPeak     = Between{SD: 8, DF: 4}   // days
	DefaultThermal  = Between{SD: 5, DF: 4}   // days, of curves over degree days
	DefaultLogWidth = Between{SD: 0.2, DF: 4} // of the logarithm
)

// Options say what is assumed and how it is drawn.
type Options struct {
	Peak, LogWidth Between // in days; zero: the defaults
	// Calendar gives dates to curves over degree days; nil for curves over days.
	Calendar *Calendar
	Draws    int // 0: 4000, which know the ends of a window of 0.8 to 0.006 of its chance
	Seed     uint64
}

func (o Options) settled() Options {
	if o.Peak == (Between{}) {
		o.Peak = DefaultPeak
		if o.Calendar != nil {
			o.Peak = DefaultThermal
		}
	}
	if o.LogWidth == (Between{}) {
		o.LogWidth = DefaultLogWidth
	}
	if o.Draws == 0 {
		o.Draws = 4000
	}
	if !(o.Peak.SD > 0 && o.Peak.DF > 0 && o.LogWidth.SD > 0 && o.LogWidth.DF > 0) || o.Draws < 0 {
		panic("forecast: a variation between years that is not positive")
	}
	return o
}

// Forecast is the distribution of the next season's flush.
type Forecast struct {
	Seasons    int     // with a curve
	ReferenceM float64 // elevation that draws hold for; NaN without elevations
	// BetweenYears is what is assumed of sigma with one season, and its median with
	// more, in days; of curves over degree days, at the
	// degree days of a day about the peak.
	BetweenYears float64
	// None says why there is no forecast; nil where there is one.
	None     *stats.Warning
	Warnings []stats.Warning

	shape    shape
	draws    []draw
	calendar *Calendar
	perDay   float64 // on the clock: 1, or the degree days of a day about the peak
	hasLead  bool
	options  Options
}

// draw is one flush that may come.
type draw struct {
	peak, width float64 // at the reference, on the clock
	delay, lead float64
	shift       float64 // standard normal: error of a place's shift
	factor      float64 // of the degree days to come, by those of former years
}

// Next forecasts from the curves of past seasons, of one group of units, in any order
// of the years but the latest last: its shape is that of the forecast. Curves of the
// standing crop forecast the standing crop.
//
// Special cases: seasons without a curve are passed over with a warning; without any
// there is no forecast. It panics on an empty calendar.
func Next(past []season.Flush, o Options) *Forecast {
	o = o.settled()
	f := &Forecast{ReferenceM: math.NaN(), BetweenYears: math.NaN(), perDay: 1, options: o}
	var curves []*season.Flush
	for i := range past {
		if past[i].None == nil {
			curves = append(curves, &past[i])
		}
	}
	f.Seasons = len(curves)
	if len(curves) == 0 {
		w := NoCurve.With("no past season has a curve, so nothing tells when the next one comes")
		f.None = &w
		return f
	}
	latest := curves[len(curves)-1]
	f.ReferenceM, f.shape = latest.ReferenceM, shapeOf(latest)
	if o.Calendar != nil {
		f.calendar = o.Calendar
		f.calendar.prepare()
		f.perDay = f.calendar.perDay(middle(curves))
	}
	f.draw(curves, o)
	f.warn(len(past), o)
	return f
}

// middle is the mean of the peaks.
func middle(curves []*season.Flush) float64 {
	var sum float64
	for _, c := range curves {
		sum += c.Peak.Value
	}
	return sum / float64(len(curves))
}

// draw fills the draws.
func (f *Forecast) draw(curves []*season.Flush, o Options) {
	delay := f.delay(curves)
	lead, hasLead := pooled(curves, func(c *season.Flush) stats.Estimate { return c.Lead })
	f.hasLead = hasLead
	peaks, widths := make([]figure, len(curves)), make([]figure, len(curves))
	for i, c := range curves {
		peaks[i] = figureOf(c.Peak)
		if moved := delay.value * (f.ReferenceM - c.ReferenceM) / 100; !math.IsNaN(moved) {
			peaks[i].value += moved
		}
		widths[i] = figure{math.Log(c.Width.Value), figureOf(c.Width).se / c.Width.Value}
	}
	between := o.Peak
	between.SD *= f.perDay
	peak, width := newYears(peaks, between), newYears(widths, o.LogWidth)
	f.BetweenYears = peak.median() / f.perDay
	if len(curves) == 1 {
		f.BetweenYears = o.Peak.SD
	}
	var ahead years
	if f.calendar != nil {
		ahead = f.calendar.ahead(middle(curves))
	}
	r := rand.New(rand.NewPCG(o.Seed, 0))
	for range o.Draws {
		d := draw{
			peak: peak.next(r), width: math.Exp(clamp(width.next(r), math.Log(latestWidth(curves)), logFactor)),
			delay: delay.value + delay.se*r.NormFloat64(), lead: lead.value + lead.se*r.NormFloat64(),
			shift: r.NormFloat64(), factor: 1,
		}
		if f.calendar != nil {
			d.factor = math.Exp(clamp(ahead.next(r), 0, logFactor))
		}
		f.draws = append(f.draws, d)
	}
}

// logFactor bounds what is drawn on a log scale, where few years let the tails run
// far: no flush is three times as wide as the last one, and no spring three times as
// warm as the mean (common practice, no source).
var logFactor = math.Log(3)

// clamp is a value within so much of a middle.
func clamp(v, middle, reach float64) float64 { return min(max(v, middle-reach), middle+reach) }

func latestWidth(curves []*season.Flush) float64 { return curves[len(curves)-1].Width.Value }

// figure is a number with its standard error.
type figure struct{ value, se float64 }

// figureOf takes the standard error of an estimate as that of a t variable: its
// variance is df/(df-2) of the square, or three times it where there is none.
func figureOf(e stats.Estimate) figure {
	se := e.SE
	if math.IsNaN(se) {
		se = 0
	}
	inflate := 1.0
	if df := e.DF; !math.IsNaN(df) && !math.IsInf(df, 1) {
		inflate = 3
		if df > 3 {
			inflate = df / (df - 2)
		}
	}
	return figure{e.Value, se * math.Sqrt(inflate)}
}

// pooled is the mean of a figure over the curves that have it, weighed by 1/se^2.
func pooled(curves []*season.Flush, of func(*season.Flush) stats.Estimate) (figure, bool) {
	var sum, weight float64
	for _, c := range curves {
		e := figureOf(of(c))
		if math.IsNaN(e.value) || e.se == 0 {
			continue
		}
		sum += e.value / (e.se * e.se)
		weight += 1 / (e.se * e.se)
	}
	if weight == 0 {
		return figure{}, false
	}
	return figure{sum / weight, 1 / math.Sqrt(weight)}, true
}

// hopkinsSE is the error of the delay that is assumed, days per 100 m.
const hopkinsSE = 1

// delay is that of the curves, or what is assumed.
func (f *Forecast) delay(curves []*season.Flush) figure {
	if d, ok := pooled(curves, func(c *season.Flush) stats.Estimate { return c.DaysPer100M }); ok {
		return d
	}
	if math.IsNaN(f.ReferenceM) {
		return figure{}
	}
	f.Warnings = append(f.Warnings, DelayAssumed.With("no past season tells how much later the flush comes higher up; %.1f days per 100 m are "+
		"assumed (Hopkins 1920), give or take %d", season.HopkinsDaysPer100M, hopkinsSE))
	return figure{season.HopkinsDaysPer100M * f.perDay, hopkinsSE * f.perDay}
}

// Place is where a flush is forecast, or how much ground lies so.
type Place struct {
	ElevationM float64 // NaN: at the reference
	Roadside   bool
	// Shift is by how many days the flush comes later than elevation and roads have
	// it, such as on a northern aspect, with its standard error.
	Shift, ShiftSE float64
	Weight         float64 // among several places
}

// at is the peak of a draw at a place, on the clock.
func (f *Forecast) at(d draw, p Place) float64 {
	peak := d.peak
	if !math.IsNaN(p.ElevationM) && !math.IsNaN(f.ReferenceM) {
		peak += d.delay * (p.ElevationM - f.ReferenceM) / 100
	}
	if p.Roadside {
		peak -= d.lead
	}
	return peak + (p.Shift+d.shift*p.ShiftSE)*f.perDay
}

// Window is the middle of a date, a day of the year, and the limits that hold it with
// a chance.
type Window struct{ Lower, Median, Upper, Chance float64 }

// Times are the onset, peak and end of a flush, after 2.5 % of it, at its height and
// after 97.5 %.
type Times struct {
	Onset, Peak, End Window
	None             *stats.Warning // why there are none; nil where there are
}

// Times forecasts the dates at a place, with windows of a chance in (0, 1).
func (f *Forecast) Times(p Place, chance float64) Times {
	if !(chance > 0 && chance < 1) {
		panic("forecast: a chance outside of (0, 1)")
	}
	nan := math.NaN()
	none := Window{nan, nan, nan, chance}
	switch {
	case f.None != nil:
		return Times{none, none, none, f.None}
	case p.Roadside && !f.hasLead:
		w := NoLead.With("no past season tells how much earlier the flush comes beside roads")
		return Times{none, none, none, &w}
	}
	of := func(part float64) Window {
		days := make([]float64, len(f.draws))
		for i, d := range f.draws {
			days[i] = f.day(d, f.at(d, p)+part*d.width)
		}
		slices.Sort(days)
		at := func(q float64) float64 { return days[int(math.Round(q*float64(len(days)-1)))] }
		return Window{at((1 - chance) / 2), at(0.5), at((1 + chance) / 2), chance}
	}
	return Times{Onset: of(f.shape.onset), Peak: of(0), End: of(f.shape.end)}
}
