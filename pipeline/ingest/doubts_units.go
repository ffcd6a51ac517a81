package ingest

import (
	"fmt"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/slab"
	"ashtally/pipeline/survey"
)

// sizeKey is a column of sizes, of units of one kind.
type sizeKey struct{ kind, name string }

// sized are the sizes of units in a column.
type sized struct {
	key   sizeKey
	cells slab.List[sizedCell]
}

type sizedCell struct {
	keptCell
	slope slopeCell // of the row of a plot, where it has one
}

type slopeCell struct {
	value float64
	text  textNumber
}

// values are the sizes alone.
func (s *sized) values() []float64 {
	values := make([]float64, s.cells.Len())
	for i := range values {
		values[i] = s.cells.At(i).value
	}
	return values
}

// doubtPlot holds a plot's size and place to those of the others.
func doubtPlot(l *line, row *survey.Plot, u *unit) {
	if l.asker == nil {
		return
	}
	check := l.folder.Settings.Check
	l.within(spreadKey{survey.UnitSize, "radius_m", ""}, row.RadiusM, 1, check.PlotRadiusM)
	for _, c := range []struct {
		name string
		v    column.Float
	}{{"radius_m", row.RadiusM}, {"length_m", row.LengthM}, {"width_m", row.WidthM}, {"area_m2", row.AreaM2}} {
		l.size(plotKind, c.name, c.v, row.SlopePercent)
	}
	switch {
	case row.RadiusM.Known:
		u.reachM = 2 * row.RadiusM.Value
	case row.LengthM.Known && row.WidthM.Known:
		u.reachM = math.Hypot(row.LengthM.Value, row.WidthM.Value)
	}
	doubtGround(l, row.SlopePercent, row.Ground)
}

// doubtTransect does so for a transect.
func doubtTransect(l *line, row *survey.Transect) {
	if l.asker == nil {
		return
	}
	l.size(row.Kind, "length_m", row.LengthM, column.Float{})
	l.size(row.Kind, "half_width_m", row.HalfWidthM, column.Float{})
	doubtGround(l, row.SlopePercent, row.Ground)
}

// size notes a size of a unit, and its slope.
func (l *line) size(kind, name string, v, slope column.Float) {
	if !v.Known {
		return
	}
	key := sizeKey{kind, name}
	s := l.doubts.sizes[key]
	if s == nil {
		s = &sized{key: key}
		l.doubts.sizes[key] = s
		l.doubts.sizeOrder = append(l.doubts.sizeOrder, s)
	}
	c := sizedCell{keptCell: l.keep(name, v)}
	if slope.Known {
		c.slope = slopeCell{slope.Value, l.doubts.cells.texts.add(l.text("slope_percent"))}
	}
	s.cells.Add(c)
}

// sizeFactors are the slips that a size can have, by column.
func sizeFactors(c figureCell, name string) []plausible.Factor {
	var list []plausible.Factor
	own, _ := measureOf(c.from)
	for _, ending := range mistaken[c.from] {
		other, _ := measureOf(ending)
		// A cell of 18.5 that was in feet is 5.64 in metres.
		list = append(list, plausible.Factor{Ratio: 1 / between(other, own).apply(1), Means: "in " + inWordsOf[ending]})
	}
	for _, ten := range []float64{10, 100} {
		list = append(list, plausible.Factor{Ratio: ten, Means: "with its decimal sign out of place"},
			plausible.Factor{Ratio: 1 / ten, Means: "with its decimal sign out of place"})
	}
	switch name {
	case "half_width_m":
		list = append(list, plausible.Factor{Ratio: 2, Means: "as the whole width", Many: true})
	case "radius_m":
		list = append(list, plausible.Factor{Ratio: 2, Means: "as the diameter", Many: true})
	}
	return list
}

// sizedAt is a size as it stands in its file.
func (d *doubts) sizedAt(s *sized, i int) figureCell { return d.cells.figure(s.cells.At(i).keptCell) }

// ofUnits puts the questions that need all units and nothing else, and keeps no longer
// what they are put from: sizes, positions and elevations are a tenth of all that is kept
// of a large survey.
func (d *doubts) ofUnits() {
	d.oddSizes()
	d.farPlaces()
	d.oddElevations()
	d.sizes, d.sizeOrder, d.places, d.elevations = map[sizeKey]*sized{}, nil, slab.List[placed]{}, slab.List[keptCell]{}
}

// oddSizes asks about units whose size differs from that of others by what a slip
// would explain, and about sizes filled down as a series.
func (d *doubts) oddSizes() {
	for _, s := range d.sizeOrder {
		values := s.values()
		for _, odd := range plausible.OddSizes(values, sizeFactors(d.sizedAt(s, 0), s.key.name)) {
			c, usual := d.sizedAt(s, odd.Index), d.sizedAt(s, odd.Usual)
			if d.asked[c.fault.Place] == c.fault.Column {
				continue
			}
			f := c.fault
			f.Problem = fmt.Sprintf("%s is %s times the %s of %d others (%s)", c.shown(), phrase.Decimal(toDigits(c.value/usual.value, 3)),
				c.inHeader(usual.value), odd.Others, at(usual.fault.Place))
			f.Remedy = "is it " + c.inHeader(usual.value) + ", written " + odd.Factor.Means + "? " + rightAsItIs
			d.ask(survey.UnitSize, c.text, f)
		}
		d.unlike(s, values)
		d.series(s, values)
	}
}

// unlike asks about the one unit of a size of its own among many of one size, and
// whether its slope stands in the size's place.
func (d *doubts) unlike(s *sized, values []float64) {
	if s.key.kind != plotKind {
		return // transects end where the ground does
	}
	for _, odd := range plausible.Unlike(values) {
		c, usual, slope := d.sizedAt(s, odd.Index), d.sizedAt(s, odd.Usual), s.cells.At(odd.Index).slope
		if d.asked[c.fault.Place] == c.fault.Column {
			continue
		}
		f := c.fault
		f.Problem = fmt.Sprintf("%s is unlike the %s of %d others (%s)", c.shown(), c.inHeader(usual.value), odd.Others, at(usual.fault.Place))
		f.Remedy = "is it " + c.inHeader(usual.value) + "? " + rightAsItIs
		if near := slope.value / usual.value; math.Abs(near-1) < 0.02 {
			f.Remedy = fmt.Sprintf("slope_percent of the row is %s: were the two exchanged? ", phrase.Quote(d.cells.texts.get(slope.text))) + rightAsItIs
		}
		d.ask(survey.UnitSize, c.text, f)
	}
}

// series asks about the sizes of a column that a spreadsheet counted up.
func (d *doubts) series(s *sized, values []float64) {
	inHeader := make([]float64, len(values))
	for i := range values {
		inHeader[i] = values[i]
		c := d.cells.columns[s.cells.At(i).of]
		if from, ok := measureOf(c.from); ok && c.to.ending != "" {
			inHeader[i] = between(c.to, from).apply(values[i])
		}
	}
	from, n, ok := plausible.Series(inHeader)
	if !ok {
		return
	}
	first, next, last := d.sizedAt(s, from), d.sizedAt(s, from+1), d.sizedAt(s, from+n-1)
	if first.fault.File != last.fault.File {
		return
	}
	f := next.fault
	f.Problem = fmt.Sprintf("%s begins a series after %s: %d rows go on by equal steps to %s (%s)",
		next.shown(), first.shown(), n, last.shown(), at(last.fault.Place))
	f.Remedy = "did a spreadsheet count up what should have been copied? Is it " + phrase.Quote(first.text) + " throughout? " + rightAsItIs
	d.ask(survey.Series, next.text, f)
}

// placed is where a unit lies.
type placed struct {
	lat, lon keptCell
}

// doubtGround holds slope, position and elevation of a unit to the others.
func doubtGround(l *line, slope column.Float, g survey.Ground) {
	l.within(spreadKey{survey.OfSlope, "slope_percent", ""}, slope, 1, l.folder.Settings.Check.SlopePercent)
	l.percentage("slope_percent", slope)
	d := l.doubts
	if g.Latitude.Known && g.Longitude.Known {
		d.places.Add(placed{l.keep("latitude", g.Latitude), l.keep("longitude", g.Longitude)})
	}
	if g.ElevationM.Known {
		d.elevations.Add(l.keep("elevation_m", g.ElevationM))
	}
}

// farPlaces asks about units far from the others.
func (d *doubts) farPlaces() {
	all := make([]plausible.Position, d.places.Len())
	for i := range all {
		p := d.places.At(i)
		all[i] = plausible.Position{Lat: p.lat.value, Lon: p.lon.value}
	}
	for _, s := range plausible.Strays(all, d.folder.Settings.Check.ApartKm) {
		p := d.places.At(s.Index)
		lat, lon := d.cells.figure(p.lat), d.cells.figure(p.lon)
		f, text := lat.fault, lat.text
		if s.How != "" && s.Meant.Lat == lat.value {
			f, text = lon.fault, lon.text
		}
		f.Problem = fmt.Sprintf("%s, %s lies %s km from the middle of the units", lat.text, lon.text, phrase.Decimal(toDigits(s.Km, 3)))
		f.Remedy = rightAsItIs
		if s.How != "" {
			f.Remedy = fmt.Sprintf("is it %s, %s (%s)? %s", phrase.Decimal(toDigits(s.Meant.Lat, 9)), phrase.Decimal(toDigits(s.Meant.Lon, 9)), s.How, rightAsItIs)
		}
		d.ask(survey.OfPosition, text, f)
	}
}

// fewestElevations is how many elevations say what the others are.
const fewestElevations = 8

// How far an elevation that no slip explains lies from the others before it is asked
// about: in metres, and in interquartile ranges (common practice, no source).
const (
	farM     = 500
	farTimes = 10
)

// oddElevations asks about elevations in another unit than the rest, or far from it.
func (d *doubts) oddElevations() {
	if d.elevations.Len() < fewestElevations {
		return
	}
	var s plausible.Spread[struct{}]
	for i := range d.elevations.Len() {
		s.Add(d.elevations.At(i).value)
	}
	low, high := s.Quantile(0.25), s.Quantile(0.75)
	for i := range d.elevations.Len() {
		v := d.elevations.At(i).value
		far := max(low-v, v-high)
		away := far >= farM && far >= farTimes*(high-low)
		if v <= 0 || !away && (s.Within(v/1.15) || s.Within(v*1.15) || s.Within(v)) {
			continue
		}
		c := d.cells.figure(*d.elevations.At(i))
		guess := c.guess(s.Within)
		if guess == "" && !away {
			continue // units lie at any height
		}
		f := c.fault
		f.Problem = fmt.Sprintf("%s is far from the others: 9 of 10 lie from %s to %s", c.shown(), c.inHeader(s.Quantile(0.05)), c.inHeader(s.Quantile(0.95)))
		if away {
			f.Problem = fmt.Sprintf("%s is far from the others: half of them lie from %s to %s", c.shown(), c.inHeader(low), c.inHeader(high))
		}
		f.Remedy = join(guess, rightAsItIs)
		d.ask(survey.OfElevation, c.text, f)
	}
}

// oldFires asks about fires long before the first visit.
func (d *doubts) oldFires() {
	most := d.folder.Settings.Check.YearsSinceFire
	for _, s := range d.known.stratumOrder {
		if s.fireYear == 0 || s.firstVisit == 0 || float64(s.firstVisit-s.fireYear) <= most {
			continue
		}
		f := s.fireCell
		f.Problem = fmt.Sprintf("the fire of %d is %d years before the first visit, in %d", s.fireYear, s.firstVisit-s.fireYear, s.firstVisit)
		f.Remedy = "check the year; " + rightAsItIs
		d.ask(survey.OfFire, s.fireText, f)
	}
}

// notVisited asks about units without a visit: searched without a find, or not
// searched at all?
func (d *doubts) notVisited() {
	_, lost := d.known.lost[survey.Visits.Name]
	for _, u := range d.known.unitOrder {
		if u.visited() || u.lost != nil || lost || u.aside || u.unsearched != nil {
			continue
		}
		d.ask(survey.NotVisited, u.name, survey.Fault{Place: d.placeOf(u.spot), Problem: "the unit " + phrase.Quote(u.name) + " was never visited, and counts in no estimate",
			Remedy: "was it searched without a find? add its visits: a visit without finds is how a zero is recorded. Was it not searched? write it into " + unsearchedName + " with the reason"})
	}
}
