package pipeline

import (
	"fmt"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/report"
	"ashtally/pipeline/survey"
	"ashtally/plots"
	"ashtally/stats/season"
)

// mostFlushes is how many panels one page holds; strata beyond are in the
// table alone.
const mostFlushes = 8

// flush draws the season of all units and of each stratum that has a curve.
func (d *drawer) flush() {
	in := plots.Flush{Confidence: d.settings.Confidence, Standing: d.settings.Counting.Rule == survey.Standing}
	var shown []analyze.FlushRow
	for _, c := range d.results.Curves {
		whole := analyze.WholeSeason(c.Year)
		stratum := whole
		stratum.Stratum = c.Stratum
		if c.FlushKey != stratum || c.Stratum != analyze.All && d.oneStratum(c.Year) || len(in.Panels) == mostFlushes {
			continue
		}
		in.Panels = append(in.Panels, flushPanel(c))
		shown = append(shown, d.flushRow(c.FlushKey))
	}
	d.add("When the fruit bodies come", in, report.Figure{Flush: shown})
}

// oneStratum reports whether a season has a single stratum, whose curve is that
// of all units.
func (d *drawer) oneStratum(year int) bool {
	n := 0
	for _, r := range d.results.Flush {
		if r.Year == year && r.Stratum != analyze.All && r.Units.Value > 0 {
			n++
		}
	}
	return n < 2
}

func (d *drawer) flushRow(key analyze.FlushKey) analyze.FlushRow {
	for _, r := range d.results.Flush {
		if r.FlushKey == key {
			return r
		}
	}
	return analyze.FlushRow{FlushKey: key}
}

func flushPanel(c analyze.FlushCurve) plots.FlushPanel {
	p := plots.FlushPanel{Name: c.Stratum, Year: c.Year, Finds: c.Finds, Onset: flushDay(c.Onset), Peak: flushDay(c.Peak), End: flushDay(c.End)}
	if c.Stratum == analyze.All {
		p.Name = "All units"
	}
	for _, at := range c.Points {
		p.Curve = append(p.Curve, plots.CurvePoint{Distance: at.Day, Value: 100 * at.Share, Lower: 100 * at.Lower, Upper: 100 * at.Upper})
	}
	for _, o := range c.Observed {
		p.Observed = append(p.Observed, plots.FlushFinds{Day: o.Day, Percent: 100 * o.Share, Finds: o.Finds})
	}
	for _, v := range c.VisitDays {
		p.Visits = append(p.Visits, plots.FlushVisits{Day: v.Day, Units: v.Units})
	}
	return p
}

func flushDay(m analyze.Moment) plots.FlushDay {
	return plots.FlushDay{Day: value(m.Value), Lower: value(m.Lower), Upper: value(m.Upper)}
}

// peaks draws the peak by elevation, a figure for each season that tells.
func (d *drawer) peaks() {
	unit, metres := report.PerLength(d.settings)
	for _, c := range d.results.Curves {
		if len(c.Line) == 0 {
			continue
		}
		in := plots.PeakByElevation{
			Confidence: d.settings.Confidence, Year: c.Year, Unit: unit, Slope: report.DaysByElevation(d.settings, d.flushRow(c.FlushKey)),
			Rule: season.HopkinsDaysPer100M / 100 * metres, RuleName: "Hopkins’ rule, 4 days for 400 ft",
			Name: fmt.Sprintf("peak-by-elevation-%d", c.Year), Title: fmt.Sprintf("The peak of the flush by elevation, %d", c.Year),
		}
		for _, p := range c.Line {
			in.Line = append(in.Line, plots.CurvePoint{Distance: p.ElevationM / metres, Value: p.Day, Lower: p.Lower, Upper: p.Upper})
		}
		shown := []analyze.FlushRow{d.flushRow(c.FlushKey)}
		for _, r := range d.results.Flush {
			if r.Year != c.Year || r.Elevation == analyze.All {
				continue
			}
			shown = append(shown, r)
			if r.Peak.Value.Known && r.ReferenceM.Known {
				in.Bands = append(in.Bands, plots.BandPeak{
					Elevation: r.ReferenceM.Value / metres, Day: r.Peak.Value.Value, Lower: value(r.Peak.Lower), Upper: value(r.Peak.Upper),
					Units: int(r.Units.Value), Finds: int(r.Finds.Value),
				})
			}
		}
		d.add(in.Title, in, report.Figure{Flush: shown})
	}
}
