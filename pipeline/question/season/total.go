package season

import (
	"cmp"
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
func (y *yearly) totals(whole *season.Flush, others []otherStanding) []TotalRow {
	var rows []TotalRow
	for _, method := range y.season.Methods() {
		if method == result.Added {
			continue // plots beside rich ones stand for no part of the land
		}
		var frames []fieldwork.Domain
		for _, f := range y.season.Domains(method, y.elements) {
			if f.Years == result.All {
				frames = append(frames, f)
			}
		}
		land := y.totalRow(method, y.season.PooledStratum(frames), frames, whole, others)
		land.Warnings = append(land.Warnings, y.season.NotReached(method, frames, result.All)...)
		rows = append(rows, land)
		for at, h := range y.season.Strata {
			i := slices.IndexFunc(frames, func(f fieldwork.Domain) bool { return f.Stratum == at })
			if i < 0 {
				rows = append(rows, y.totalRow(method, h.Name, nil, whole, nil))
				continue
			}
			rows = append(rows, y.totalRow(method, h.Name, frames[i:i+1], whole, others))
		}
	}
	return rows
}

func (y *yearly) totalRow(method, stratum string, frames []fieldwork.Domain, whole *season.Flush, others []otherStanding) TotalRow {
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
	total, rests := y.acrossStandings(whole.Total(y.parts(frames)), frames, stratum == result.All || stratum == result.Reached, others)
	row = row.with(total, frames)
	row.Warnings = append(rests, row.Warnings...)
	return row
}

// parts are the visits and finds of some frames as stats/season takes them.
func (y *yearly) parts(frames []fieldwork.Domain) []season.Part {
	parts := make([]season.Part, len(frames))
	for k, f := range frames {
		parts[k].Stratum, parts[k].LandHa = y.season.CollapsedWith(f), y.season.Strata[f.Stratum].AreaHa
		for _, e := range f.Units {
			i := y.at(e)
			parts[k].Plans, parts[k].Count = append(parts[k].Plans, y.plan(i)), append(parts[k].Count, y.yield(i))
		}
	}
	return parts
}

func (r TotalRow) without(s *fieldwork.Season, reason stats.Warning) TotalRow {
	r.Total, r.Warnings = result.Of(stats.Missing(s.Settings.Confidence, 0, reason)), []stats.Warning{reason}
	return r
}

func (r TotalRow) with(t season.Total, frames []fieldwork.Domain) TotalRow {
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

// at is the place of an element of this year.
func (y *yearly) at(e fieldwork.UnitSeason) int {
	i, _ := slices.BinarySearchFunc(y.elements, e, func(a, b fieldwork.UnitSeason) int {
		return cmp.Or(cmp.Compare(a.Unit.Stratum, b.Unit.Stratum), cmp.Compare(a.Unit.ID, b.Unit.ID))
	})
	return i
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
func (y *yearly) unitRows(whole *season.Flush) []UnitRow {
	plans := make([]season.Plan, len(y.elements))
	for i := range plans {
		plans[i] = y.plan(i)
	}
	seen := whole.Seen(plans)
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
			row.Peak, row.Warnings = y.peakOn(whole, plans[i])
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
