package season

import (
	"math"

	"ashtally/stats"
)

// leastDates is the dates without which there is no curve: three heights make
// any parabola, and nothing is left over to say how well it fits.
const leastDates = 4

// leastFull is the dates with finds without which a flush may be as narrow as
// it likes: on two, it could lie between them.
const leastFull = 3

// What is called few: from these on the intervals of SIMULATION.md hold the
// truth as often as they claim.
const (
	fewClusters = 15
	fewFinds    = 30
)

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

// NoElevations and NoRoadsides are why a curve tells nothing of how the flush moves.
var (
	NoElevations = Warnings.New("no-elevations", stats.Unavailable, "Units that give no information on elevation")
	NoRoadsides  = Warnings.New("no-roadsides", stats.Unavailable, "Units that give no information on roadsides")
)

var (
	unvisited           = Warnings.New("no-visits", stats.Unavailable, "Nothing was visited")
	fewDates            = Warnings.New("few-dates", stats.Unavailable, "Too few dates of visits for a curve")
	fewDatesWithFinds   = Warnings.New("few-dates-with-finds", stats.Unavailable, "Too few dates with finds for a curve")
	fewClustersForCurve = Warnings.New("few-clusters-for-curve", stats.Unavailable, "Too few units or sites for a curve")
	unclearFlush        = Warnings.New("no-rise-and-fall", stats.Unavailable, "Finds that do not clearly rise and fall")
	noBestCurve         = Warnings.New("no-best-curve", stats.Unavailable, "No curve of best fit")
	noCurveFits         = Warnings.New("no-curve-fits", stats.Unavailable, "No curve that fits")
	steepFlush          = Warnings.New("too-skewed", stats.Unavailable, "A peak between two visits")
	peakBeforeVisits    = Warnings.New("peak-before-visits", stats.Unavailable, "A peak before the first visit")
	peakAfterVisits     = Warnings.New("peak-after-visits", stats.Unavailable, "A peak after the last visit")
	flushNotSeen        = Warnings.New("flush-not-seen", stats.Unavailable, "Visits that could see hardly any of the flush")
	openShift           = Warnings.New("open-limits", stats.Unavailable, "A shift of the peak without limits")
	secondPeak          = Warnings.New("one-peak", stats.Note, "A flush with one peak")
	bimodalFlush        = Warnings.New("bimodal-flush", stats.Note, "A bimodal flush")
	skewedFlush         = Warnings.New("skewed-flush", stats.Note, "A skewed flush")
	misfitting          = Warnings.New("misfit", stats.Coverage, "Finds that depart from the curve")
	mostlyExtrapolated  = Warnings.New("mostly-extrapolated", stats.Scope, "A season total that is mostly extrapolated")
)

var (
	noVisits      = unvisited.With("nothing was visited here, so there is no curve")
	noFinds       = stats.NoFinds.With("nothing was found, so nothing shows when the flush was, and there is no curve")
	oneCluster    = stats.OneCluster.With("all finds lie in one unit or site: its sampling variance and the season cannot be separated, and there is no curve")
	noRiseAndFall = unclearFlush.With("the finds do not clearly rise and fall from the first visit to the last, so there is no curve; visits " +
		"before and after the flush would show it")
	notFound  = noBestCurve.With("no curve fits these visits best: the finds lie on too few days to tell, so there is no curve")
	atTheEdge = noBestCurve.With("the curve that fits best is out of all reason: the finds lie on too few days, or the units at too few " +
		"elevations, to tell, so there is no curve")
	tooSkewed = steepFlush.With("the finds rise or fall more steeply than the visits can show, so the peak lies somewhere between two of " +
		"them and there is no curve; visits closer together would show it")
	noSpread     = noBestCurve.With("these visits leave part of the curve undetermined, so there is no curve")
	noElevations = NoElevations.With("the units do not tell how the flush moves with elevation: it takes an elevation for each of them, at " +
		"three heights over 50 m or more")
	onePeak     = secondPeak.With("the flush has one peak")
	noRoadsides = NoRoadsides.With("the units do not tell how the flush differs along roads: it takes finds on two dates along roads and off them")
)

// tooLittle says what a curve would need that the visits do not have.
func (d *data) tooLittle(s Sample) *stats.Warning {
	var w stats.Warning
	dates := map[float64]bool{}
	for _, day := range s.To {
		dates[day] = true
	}
	own := newLayout(Gaussian.family().parameters(), d.cells, d.elevations, d.roadsides).shared
	switch {
	case len(s.Count) == 0:
		w = noVisits
	case d.finds == 0:
		w = noFinds
	case d.clusters < 2:
		w = oneCluster
	case len(dates) < leastDates || d.dates < leastDates:
		w = fewDates.With("visits fell on %d dates; a curve takes %d, so there is none", min(len(dates), d.dates), leastDates)
	case d.full < leastFull:
		w = fewDatesWithFinds.With("finds fell on %d dates; a curve takes %d, or the flush may be as short as one likes, so there is none", d.full, leastFull)
	case d.clusters <= own:
		w = fewClustersForCurve.With("finds lie in %d units or sites and a curve has %d figures of its own, so there is none", d.clusters, own)
	default:
		return nil
	}
	return &w
}

// doubtful says why a curve that was fitted is none: it does not clearly rise to
// its peaks and fall from them, or they lie where nobody looked.
func (f *Flush) doubtful() *stats.Warning {
	if f.Shape == Gaussian && (math.IsNaN(f.Peak.Upper) || math.IsNaN(f.Width.Upper)) {
		return &noRiseAndFall
	}
	first, last := f.fit.visited()
	peaks := f.fit.peaks()
	var w stats.Warning
	switch {
	case f.fit.time(peaks[0].z) < first:
		w = peakBeforeVisits.With("the finds fall from the first visits on, so the peak came before them, and there is no curve; earlier visits would show it")
	case f.fit.time(peaks[len(peaks)-1].z) > last:
		w = peakAfterVisits.With("the finds rise up to the last visits, so the peak comes after them, and there is no curve; later visits would show it")
	case math.IsNaN(f.Onset.Lower) || math.IsNaN(f.End.Upper) || math.IsNaN(f.Width.Upper):
		w = notFound
	case f.Shape != Gaussian && !(f.fit.clear(first, 0) && f.fit.clear(last, len(peaks)-1)):
		w = noRiseAndFall
	default:
		return nil
	}
	return &w
}

// clear reports whether the rate at a peak is over that at a time, at the level
// of the intervals.
func (c *fit) clear(time float64, peak int) bool {
	z := (time - c.centre) / c.size
	left, s := c.byForm(func(r rate) float64 {
		top := r.peaks()[min(peak, len(r.peaks())-1)]
		return math.Exp(logRate(r, z) - logRate(r, top.z))
	})
	return left+c.t*c.se(s) < 1
}

// logRate is the logarithm of the rate at a scaled time.
func logRate(r rate, z float64) float64 {
	var at logIntegral
	r.integrate([]node{{z, 1}}, axis{1, 0}, &at)
	return at.value
}

// visited is the first and last time of a visit, moved to the reference.
func (c *fit) visited() (first, last float64) {
	first, last = math.Inf(1), math.Inf(-1)
	for i := range c.places {
		at := c.atReference(&c.places[i])
		first, last = min(first, at), max(last, at)
	}
	return first, last
}

// atReference moves the middle of the windows of a place to where it lies on the curve of
// the reference.
func (c *fit) atReference(p *place) float64 {
	return p.middle - c.curve.delay*p.elevation + c.curve.lead*p.roadside
}

// doubts are what the size of the sample gives reason for.
func (c *fit) doubts(visits int) []stats.Warning {
	var w []stats.Warning
	if c.clusters < fewClusters {
		w = append(w, stats.FewClusters.With("the curve rests on %d independent units or sites; under %d its intervals may not have their nominal coverage",
			c.clusters, fewClusters))
	}
	if c.finds < fewFinds {
		w = append(w, stats.FewFinds.With("the curve rests on %.0f finds; under %d its intervals may not have their nominal coverage", c.finds, fewFinds))
	}
	if left := visits - len(c.visits); left > 0 {
		w = append(w, stats.EmptyGround.With("%d visits were to ground where nothing was ever found; they say nothing of when the flush was", left))
	}
	return w
}
