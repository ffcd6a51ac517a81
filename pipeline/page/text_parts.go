package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/result"
)

// plain is words of the program.
type plain string

func (p plain) write(w *textWriter) { w.words(string(p)) }

// name is words of the data.
type name string

func (n name) write(w *textWriter) {
	if !w.html {
		w.words(printable(string(n)))
		return
	}
	w.out.WriteString(`<span class="name">`)
	w.words(printable(string(n)))
	w.out.WriteString(`</span>`)
}

// number is a cell, named with its unit or not.
type number struct {
	cell  result.Cell
	named bool
}

func (n number) write(w *textWriter) { n.writeIn(w, w.units.of(n.cell.Unit, n.cell.Number.Value)) }

// writeIn writes the number in a unit.
func (n number) writeIn(w *textWriter, u unit) {
	c := n.cell
	switch {
	case c.Date.Known():
		w.sourced(c, day(c.Date))
	case !c.Number.Known && c.Text != "":
		w.sourced(c, printable(c.Text))
	case !c.Number.Known:
		w.words(missing)
	default:
		text := to(c.Number.Value/u.size, placeOf(c, u))
		if c.Lower == nil && c.Upper == nil {
			text = trimmed(text)
		}
		if n.named && u.name != "" {
			text += " " + u.name
		}
		w.sourced(c, text)
	}
}

// dated is a day with its year.
type dated struct{ cell result.Cell }

func (d dated) write(w *textWriter) {
	if !d.cell.Date.Known() {
		w.words(missing)
		return
	}
	w.sourced(d.cell, fmt.Sprintf("%s %d", day(d.cell.Date), d.cell.Date.Year()))
}

// year is a calendar year.
type year struct{ cell result.Cell }

func (y year) write(w *textWriter) { w.sourced(y.cell, y.cell.String()) }

// interval is the limits of an estimate.
type interval struct {
	cell  result.Cell
	level bool
}

func (i interval) write(w *textWriter) { i.writeIn(w, w.units.of(i.cell.Unit, i.cell.Number.Value)) }

// writeIn writes the limits in a unit.
func (i interval) writeIn(w *textWriter, u unit) {
	c := i.cell
	if !c.Bounded() {
		w.words("no interval")
		return
	}
	if i.level && c.Confidence.Known {
		w.from("setting:confidence", level(c.Confidence.Value))
		w.words(" CI ")
	}
	p := placeOf(c, u)
	limit := func(l *result.Cell) {
		v := l.Number.Value / u.size
		w.sourced(*l, to(v, limitPlace(v, p)))
	}
	switch lower, upper := known(c.Lower), known(c.Upper); {
	case lower && upper:
		limit(c.Lower)
		if between := " to "; w.compact && c.Lower.Number.Value >= 0 {
			w.words("-")
		} else {
			w.words(between)
		}
		limit(c.Upper)
	case upper:
		w.words("upper limit ")
		limit(c.Upper)
	default:
		w.words("lower limit ")
		limit(c.Lower)
	}
}

// dayInterval is the limits of a day.
type dayInterval struct {
	estimate, lower, upper result.Cell
	level                  bool
}

func (d dayInterval) write(w *textWriter) {
	if !d.lower.Date.Known() || !d.upper.Date.Known() {
		w.words("no interval")
		return
	}
	if d.level && d.estimate.Confidence.Known {
		w.from("setting:confidence", level(d.estimate.Confidence.Value))
		w.words(" CI ")
	}
	if w.compact {
		from := day(d.lower.Date)
		if l, u := d.lower.Date.Time(), d.upper.Date.Time(); l.Month() == u.Month() {
			from = strconv.Itoa(l.Day())
		}
		w.words(from + "-" + day(d.upper.Date))
		return
	}
	w.sourced(d.lower, day(d.lower.Date))
	w.words(" to ")
	w.sourced(d.upper, day(d.upper.Date))
}

// probability is a cell between 0 and 1.
type probability struct{ cell result.Cell }

func (p probability) write(w *textWriter) {
	const least = 0.005
	switch v := p.cell.Number; {
	case !v.Known:
		w.words(missing)
	case v.Value < least:
		w.sourced(p.cell, "below 0.01")
	case v.Value > 1-least:
		w.sourced(p.cell, "above 0.99")
	default:
		w.sourced(p.cell, strconv.FormatFloat(v.Value, 'f', 2, 64))
	}
}

func known(c *result.Cell) bool { return c != nil && c.Number.Known }

// setting is a value of the settings.
type setting struct {
	key   string
	value float64
	unit  string // stored
}

func (s setting) write(w *textWriter) {
	u := w.units.of(s.unit, s.value)
	text := trimmed(to(s.value, smallest))
	if u.size != 1 {
		text = to(s.value/u.size, place(s.value/u.size, math.NaN()))
	}
	w.from("setting:"+s.key, strings.TrimSpace(text+" "+u.name))
}

// bounds are numbers in words, in a stored unit.
type bounds struct{ class, stored string }

func (b bounds) write(w *textWriter) {
	u := w.units.of(b.stored, 0)
	words := strings.Fields(b.class)
	for i, word := range words {
		v, err := strconv.ParseFloat(word, 64)
		switch {
		case err != nil:
		case u.size == 1:
			words[i] = grouped(word)
		default:
			words[i] = to(v/u.size, place(v/u.size, math.NaN()))
		}
	}
	name(strings.TrimSpace(strings.Join(words, " ") + " " + u.name)).write(w)
}
