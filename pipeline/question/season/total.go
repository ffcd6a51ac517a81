package season

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/season"
)

// totals makes up for what the visits could not see, by the curve of all units:
// for each method the land as a whole, then each stratum.
func (y *yearly) totals(byMethod map[string][]frame, whole flush, others []otherStanding) []TotalRow {
	var rows []TotalRow
	for _, method := range y.season.Methods() {
		if method == result.Added {
			continue // plots beside rich ones stand for no part of the land
		}
		frames := byMethod[method]
		domains := domainsOf(frames)
		land := y.totalRow(method, y.season.PooledStratum(domains), frames, whole, others)
		land.Warnings = append(land.Warnings, y.season.NotReached(method, domains, result.All)...)
		rows = append(rows, land)
		for at, h := range y.season.Strata {
			i := slices.IndexFunc(frames, func(f frame) bool { return f.Stratum == at })
			if i < 0 {
				rows = append(rows, y.totalRow(method, h.Name, nil, whole, nil))
				continue
			}
			rows = append(rows, y.totalRow(method, h.Name, frames[i:i+1], whole, others))
		}
	}
	return rows
}

func (y *yearly) totalRow(method, stratum string, frames []frame, whole flush, others []otherStanding) TotalRow {
	row := TotalRow{Method: method, Stratum: stratum, Year: y.year, Figure: seasonFigure}
	if y.season.Settings.Counting.Rule == survey.Standing {
		row.Figure = peakFigure
	}
	var units int
	var area, finds, found, land float64
	for _, f := range frames {
		var here float64
		for _, e := range f.Units {
			here += float64(e.Finds())
		}
		ha := y.season.Strata[f.Stratum].AreaHa
		units += len(f.Units)
		finds += here
		area += fieldwork.Sum(f.AreaHa)
		found += ha * here / fieldwork.Sum(f.AreaHa)
		land += ha
	}
	row.Units, row.Finds = column.Count(units), column.Count(int(finds))
	if method == result.Line {
		return row.without(y.season, linesNotTotalled.With("what is found along a line thins out with distance; the density of lines is corrected "+
			"for that, and no season is worked out from it"))
	}
	row.SearchedHa = column.Finite(area)
	if units == 0 {
		return row.without(y.season, stats.NoUnits.With("no %s was searched here in %d", method, y.year))
	}
	row.FoundPerHa = column.Finite(found / land)
	parts := y.parts(frames)
	total, rests := y.acrossStandings(whole.view.Total(parts), parts, stratum == result.All || stratum == result.Reached, others)
	row = row.with(total, frames)
	row.Warnings = append(rests, row.Warnings...)
	return row
}

// parts are the visits and finds of some frames as stats/season takes them.
func (y *yearly) parts(frames []frame) []season.Part {
	parts := make([]season.Part, len(frames))
	for k, f := range frames {
		parts[k] = season.Part{
			Stratum: y.season.CollapsedWith(f.Domain), LandHa: y.season.Strata[f.Stratum].AreaHa, Units: f.at, Count: make([]float64, len(f.at)),
		}
		for at, i := range f.at {
			parts[k].Count[at] = y.yield(i)
		}
	}
	return parts
}

func (r TotalRow) without(s *fieldwork.Season, reason stats.Warning) TotalRow {
	r.Total, r.Warnings = result.Of(stats.Missing(s.Settings.Confidence, 0, reason)), []stats.Warning{reason}
	return r
}

func (r TotalRow) with(t season.Total, frames []frame) TotalRow {
	r.Total, r.Seen, r.Warnings = result.Of(t.Estimate), column.Finite(t.Seen), t.Warnings
	switch {
	case !r.Total.Value.Known:
	case t.Observed:
		r.Basis = observed
	default:
		r.Basis = extrapolated
	}
	codes := map[string]bool{"unequal-visits": true, "one-visit": true} // the curve makes up for these
	for _, f := range frames {
		for _, w := range f.Warnings {
			if !codes[w.Code] {
				codes[w.Code] = true
				r.Warnings = append(r.Warnings, w)
			}
		}
	}
	return r
}

// yield is all that the visits to an element recorded.
func (y *yearly) yield(i int) float64 {
	var n float64
	for _, at := range y.of[i] {
		n += y.visits[at].count
	}
	return n
}

// unitRows says of each unit what its visits could see.
func (y *yearly) unitRows(whole flush) []UnitRow {
	seen := whole.view.Seen(fieldwork.Indices(len(y.elements)))
	var rows []UnitRow
	for _, method := range y.season.Methods() {
		for i, e := range y.elements {
			if e.Unit.Method != method {
				continue
			}
			days := y.of[i]
			row := UnitRow{
				Method: method, Stratum: y.season.Strata[e.Unit.Stratum].Name, Unit: e.Unit.ID, Year: y.year,
				Roadside: column.Bool{Value: e.Unit.Roadside, Known: true}, Visits: column.Count(len(days)), Finds: column.Count(int(y.yield(i))),
				First: column.DateInYear(y.year, int(y.visits[days[0]].to)), Last: column.DateInYear(y.year, int(y.visits[days[len(days)-1]].to)),
				Seen: column.Finite(seen.Each[i]),
			}
			row.Peak, row.Warnings = y.peakOn(whole.Flush, y.plans[i])
			rows = append(rows, row)
		}
	}
	return rows
}

// peakOn is the day of the peak on a unit, and why there is none.
func (y *yearly) peakOn(whole *season.Flush, p season.Plan) (column.Date, []stats.Warning) {
	if whole.None != nil {
		return column.Date{}, []stats.Warning{*whole.None}
	}
	day := whole.Peak.Value + (whole.Peak.Value - whole.AtReference(p, whole.Peak.Value))
	if math.Abs(day) > farthestDay {
		return column.Date{}, nil
	}
	return column.DateInYear(y.year, int(math.Round(day))), nil
}
