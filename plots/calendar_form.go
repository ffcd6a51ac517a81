package plots

import (
	"math"
	"slices"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// Calendar shows spells of days, a row each: from onset over peak to end, the
// peak with its interval, dates printed beside them.
//
//	plots.Calendar{
//		About: plots.About{Name: "bloom", Alt: "Bloom peaks on 13 May."},
//		Year:  2031,
//		Rows: []plots.Spell{
//			{Label: "below 1,200 m", Onset: 120, Peak: 129, PeakLower: 127, PeakUpper: 131, End: 150},
//			{Label: "above 1,200 m", Onset: 128, Peak: 140, End: 160, Forecast: true, PeakLower: math.NaN(), PeakUpper: math.NaN()},
//		},
//	}.Figure()
//
// Days are of the year, 1 being 1 January.
type Calendar struct {
	About
	Year  int
	Rows  []Spell
	Rules []Line // days across all rows
	Spans []Span // spells across all rows
	// Head stands over the printed peaks, "peak" if empty.
	Head string
	// ForecastLabel is the word for dashed spells in the key, "forecast" if
	// empty.
	ForecastLabel string
}

// A Spell is a row of a calendar.
type Spell struct {
	Label, Detail string
	Heading       bool // only a heading over the rows below
	Strong        bool
	Role          Role // Accent if zero
	// Onset, Peak and End are days; NaN for what is not known.
	Onset, Peak, End float64
	// PeakLower and PeakUpper are the limits of the peak, both NaN for none.
	PeakLower, PeakUpper float64
	Forecast             bool   // drawn dashed
	Text                 string // printed in place of the date of the peak
	Note                 string // printed where nothing is drawn
}

// Figure draws the calendar. It returns an error where there is no row, or
// days are out of order or out of reach.
func (c Calendar) Figure() (Figure, error) {
	if len(c.Rows) == 0 {
		return Figure{}, ErrEmpty
	}
	for _, row := range c.Rows {
		if err := row.check(); err != nil {
			return Figure{}, c.fault("%s: %w", row.Label, err)
		}
	}
	r := c.rows()
	if err := r.check(); err != nil {
		return Figure{}, err
	}
	return c.About.figure(func(s *sheet) { r.draw(s) })
}

func (p Spell) check() error {
	if p.Heading {
		return nil
	}
	if p.Onset > p.End || p.Peak < p.Onset || p.Peak > p.End {
		return errSpell
	}
	if forgotten(p.Peak, p.PeakLower, p.PeakUpper) {
		return errForgotten
	}
	for _, day := range []float64{p.Onset, p.Peak, p.End, p.PeakLower, p.PeakUpper} {
		if !math.IsNaN(day) && !axis.DaysDrawable(day) {
			return errNumber
		}
	}
	return nil
}

// rows are the spells as rows along an axis of days.
func (c Calendar) rows() Rows {
	r := Rows{About: c.About, Axis: Axis{Year: c.Year}, Heads: Heads{Value: or(c.Head, "peak"), Range: "onset to end"}, Rules: c.Rules, Spans: c.Spans}
	r.forecast = or(c.ForecastLabel, "forecast")
	for _, p := range c.Rows {
		row := Row{Label: p.Label, Detail: p.Detail, Strong: p.Strong, Heading: p.Heading}
		if p.Heading {
			r.Rows = append(r.Rows, row)
			continue
		}
		row.Marks = []Mark{{Value: p.Peak, Lower: p.PeakLower, Upper: p.PeakUpper, Text: c.peakText(p), Range: c.spellText(p), spell: &p}}
		if math.IsNaN(p.Onset) || math.IsNaN(p.End) {
			row.Note = p.Note
		}
		r.Rows = append(r.Rows, row)
	}
	return r
}

func (c Calendar) date(day float64) string { return axis.Date(c.Year, int(math.Round(day))) }

func (c Calendar) peakText(p Spell) string {
	if p.Text != "" || math.IsNaN(p.Peak) {
		return p.Text
	}
	return c.date(p.Peak)
}

func (c Calendar) spellText(p Spell) string {
	onset, end := !math.IsNaN(p.Onset), !math.IsNaN(p.End)
	switch {
	case onset && end:
		return c.date(p.Onset) + " to " + c.date(p.End)
	case onset:
		return "from " + c.date(p.Onset)
	case end:
		return "to " + c.date(p.End)
	}
	return ""
}

// days are what the axis has to show of the spell.
func (p Spell) days() []float64 {
	return slices.DeleteFunc([]float64{p.Onset, p.Peak, p.End}, math.IsNaN)
}

const spellHalf = 7.0

// drawSpell draws the band of a row under its peak.
func (s *sheet) drawSpell(a axis.Scale, y float64, p Spell) {
	from, to := p.Onset, p.End
	role := Series{Role: p.Role}.role()
	if !math.IsNaN(from) && !math.IsNaN(to) {
		s.spell(a.At(from), a.At(to), y, role, p.Forecast)
	}
	if math.IsNaN(p.Peak) {
		return
	}
	x := a.At(p.Peak)
	if ends(p.PeakLower) && ends(p.PeakUpper) {
		s.Segment(a.At(p.PeakLower), y, a.At(p.PeakUpper), y, canvas.Style{Line: role, Width: intervalPx})
	}
	s.sign(x, y, markRadiusPx, Series{Role: role}, p.Forecast)
}

// spell draws a band with round ends, dashed and empty for a forecast.
func (s *sheet) spell(from, to, y float64, role Role, forecast bool) {
	style := canvas.Style{Area: role, Soft: true}
	if forecast {
		style = canvas.Style{Line: role, Width: 1.4, Dash: [2]float64{4, 3}}
	}
	s.Rect(from, y-spellHalf, max(to, from+1), y+spellHalf, spellHalf, style)
}

// spellItem explains a dashed band.
func spellItem(label string) legendItem {
	const width = 26.0
	return legendItem{label: label, width: width, sign: func(s *sheet, x, y float64) {
		s.Rect(x+1, y-6, x+width-1, y+6, 6, canvas.Style{Line: Muted, Width: 1.4, Dash: [2]float64{4, 3}})
	}}
}
