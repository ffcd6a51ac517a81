package ingest

import (
	"fmt"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// stratum checks a row of strata.
func (r *reading) stratum(l *line, row *survey.Stratum) {
	if row.Stratum == "" {
		r.known.lose(survey.Strata.Name, l.place)
		return
	}
	if first, twice := r.known.strata[row.Stratum]; twice {
		l.fault("stratum", phrase.Quote(row.Stratum)+" stands in "+at(first.place)+" already", "give each stratum one row")
		return
	}
	s := &stratum{name: strings.Clone(row.Stratum), place: l.place, aside: !l.clean(), areaHa: row.AreaHa}
	if row.FireDate != "" {
		s.fireYear, _ = strconv.Atoi(row.FireDate[:4]) // the cell's form is checked
		s.fire, _ = column.ParseDate(row.FireDate)     // unknown where it is a year
		s.fireCell, s.fireText = l.about("fire_date", "", ""), strings.Clone(l.text("fire_date"))
	}
	r.known.strata[s.name] = s
	r.known.stratumOrder = append(r.known.stratumOrder, s)
}

// plot checks a row of plots.
func (r *reading) plot(l *line, row *survey.Plot) {
	u := &unit{name: row.Plot, kind: plotKind, stratum: l.stratumOf(row.Stratum)}
	area := row.HorizontalM2()
	if l.sure() {
		plotSize(l, row)
	}
	if l.sure() {
		alongSlope(l, row.Laid, row.SlopePercent)
		l.searchedArea("plot", area)
		gridPlotOf(l, row, u)
	}
	if l.sure() {
		trackedPlot(l, row)
		doubtPlot(l, row, u)
	}
	r.addUnit(l, survey.Plots.Name, "plot", u, area)
}

// plotSize holds a plot to one description of its size.
func plotSize(l *line, row *survey.Plot) {
	const remedy = "give radius_m, or length_m and width_m, or area_m2"
	round, square, other := row.RadiusM.Known, row.LengthM.Known || row.WidthM.Known, row.AreaM2.Known
	switch {
	case !round && !square && !other:
		l.fault("", "the plot has no size", remedy)
	case round && (square || other), square && other:
		l.fault("", "the plot's size is given in more than one way", remedy+", and leave the others empty")
	case square && !row.WidthM.Known:
		l.fault("width_m", "the plot has a length_m and no width_m", "give both")
	case square && !row.LengthM.Known:
		l.fault("length_m", "the plot has a width_m and no length_m", "give both")
	}
}

// alongSlope holds a unit that was taped along the ground to have a slope: its
// horizontal area is less than the taped one, and nothing else tells by how much.
func alongSlope(l *line, laid string, slope column.Float) {
	if laid == survey.AlongSlope && !slope.Known {
		l.fault("laid", "is slope, and slope_percent is empty, so that the horizontal size is not known",
			"fill in slope_percent, 0 on level ground; where the crew's slope has another header, map it under [columns] in "+settingsName)
	}
}

// searchedArea holds the area of a unit to what can be searched; each of its
// sides may be one that can be, and their product none.
func (l *line) searchedArea(what string, m2 float64) {
	if b := survey.SearchedM2; !b.Hold(m2) {
		l.fault("", fmt.Sprintf("the %s covers %s m2, which is not between %s and %s m2", what, phrase.Decimal(toDigits(m2, 4)),
			phrase.Decimal(b.Min), phrase.Decimal(b.Max)), "check its sides, its slope and their units")
	}
}

// transect checks a row of transects.
func (r *reading) transect(l *line, row *survey.Transect) {
	u := &unit{name: row.Transect, kind: row.Kind, half: row.HalfWidthM, stratum: l.stratumOf(row.Stratum)}
	if l.sure() && row.Kind == survey.Strip && !row.HalfWidthM.Known {
		l.fault("half_width_m", "is empty, and a strip needs it", "fill in the greatest distance searched on one side")
	}
	if l.clean() {
		trackedTransect(l, row)
	}
	if r.folder.tracks != nil && !row.LengthM.Known && l.text(trackedLength) == "" {
		l.fault(trackedLength, "is empty, and it is needed", "fill it in, or name a track of the .gpx files as the transect")
	}
	area := row.HorizontalM2()
	if l.sure() {
		alongSlope(l, row.Laid, row.SlopePercent)
	}
	if l.sure() && row.Kind == survey.Strip {
		l.searchedArea("strip", area)
	}
	if l.sure() {
		doubtTransect(l, row)
	}
	r.addUnit(l, survey.Transects.Name, "transect", u, area)
}

// addUnit makes a plot or transect known to the rows that refer to it.
func (r *reading) addUnit(l *line, table, column string, u *unit, areaM2 float64) {
	if u.name == "" {
		r.known.lose(table, l.place)
		return
	}
	if first, twice := r.known.units[u.name]; twice {
		l.fault(column, phrase.Quote(u.name)+" stands in "+l.where(first.spot)+" already", "give each plot and transect an id of its own")
		return
	}
	u.spot, u.aside = l.spot(), !l.clean()
	if u.stratum != nil {
		u.stratum.units++
	}
	if u.stratum != nil && !u.aside {
		u.stratum.searched += areaM2
	}
	u.areaM2, u.number = areaM2, uint32(r.known.unitList.Len())
	u.name, u.grid.network = strings.Clone(u.name), strings.Clone(u.grid.network) // else they hold their whole row
	u = r.known.unitList.Add(*u)
	r.known.units[u.name] = u
	r.known.unitOrder = append(r.known.unitOrder, u)
}
