package page

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
)

// Text is a sentence or a part of one. It is made of words and of numbers that
// know where they stand: cells of result tables and settings. Its numbers are
// rounded and converted when it is written.
type Text struct{ parts []part }

// part is a piece of a text.
type part interface{ write(w *textWriter) }

// Say makes a text of words in which each %v stands for the next of the values:
//
//	Say("Estimated crop: %v of fresh mass (%v).", kg, Interval(kg))
//
// A value is a [result.Cell], which is written as a number with its unit; a
// Text, such as those of [Interval], [Limits], [Bare], [Count], [Name] and
// [Setting]; or a string of plain words. %% is a percent sign. Say panics where
// the values do not match the words: a number without its source is an error of
// the caller.
func Say(words string, values ...any) Text {
	var t Text
	pieces := strings.Split(words, "%v")
	if len(pieces) != len(values)+1 {
		panic(fmt.Sprintf("page: %d values for %q", len(values), words))
	}
	for i, piece := range pieces {
		if piece != "" {
			t.parts = append(t.parts, plain(strings.ReplaceAll(piece, "%%", "%")))
		}
		if i == len(values) {
			break
		}
		switch v := values[i].(type) {
		case result.Cell:
			t.parts = append(t.parts, number{cell: v, named: true})
		case Text:
			t.parts = append(t.parts, v.parts...)
		case string:
			t.parts = append(t.parts, plain(v))
		default:
			panic(fmt.Sprintf("page: a %T in %q has no source", v, words))
		}
	}
	return t
}

// Empty reports whether the text has nothing to say.
func (t Text) Empty() bool { return len(t.parts) == 0 }

// Join puts texts together with words between them.
func Join(texts []Text, between string) Text {
	var all Text
	for i, t := range texts {
		if i > 0 {
			all.parts = append(all.parts, plain(between))
		}
		all.parts = append(all.parts, t.parts...)
	}
	return all
}

// And puts texts together as a sentence does: "a, b and c".
func And(texts []Text) Text {
	if len(texts) < 2 {
		return Join(texts, "")
	}
	last := len(texts) - 1
	return Join([]Text{Join(texts[:last], ", "), texts[last]}, " and ")
}

// Bare is a number without its unit.
func Bare(c result.Cell) Text { return Text{[]part{number{cell: c}}} }

// Interval is the confidence interval of an estimate with its level: "95 % CI
// 194 to 347".
func Interval(c result.Cell) Text { return Text{[]part{interval{cell: c, level: true}}} }

// Days is the confidence interval of a day, whose limits have columns of days: "95 %
// CI 11 May to 14 May". The estimate is that of the same day as a number, for the
// level.
func Days(estimate, lower, upper result.Cell) Text {
	return Text{[]part{dayInterval{estimate, lower, upper, true}}}
}

// DayLimits is the same without the level: "11 May to 14 May".
func DayLimits(lower, upper result.Cell) Text {
	return Text{[]part{dayInterval{lower: lower, upper: upper}}}
}

// Estimate is a number with its unit and its confidence interval: "242 per ha
// (95 % CI 194 to 347)".
func Estimate(c result.Cell) Text { return Say("%v (%v)", c, Interval(c)) }

// Limits is the confidence interval alone: "194 to 347".
func Limits(c result.Cell) Text { return Text{[]part{interval{cell: c}}} }

// Count is a whole number of things: "1 plot", "201 plots".
func Count(c result.Cell, one, many string) Text {
	if c.Number.Known && c.Number.Value == 1 {
		many = one
	}
	return Say("%v %v", Bare(c), many)
}

// Probability is a probability that a simulation gives, which knows no third
// decimal.
func Probability(c result.Cell) Text { return Text{[]part{probability{c}}} }

// Methods names the units of a method: "plots", "line transects".
func Methods(method string) Text {
	switch method {
	case result.All:
		return Say("all methods")
	case result.Plot:
		return Say("plots")
	case result.Adaptive:
		return Say("adaptive cluster plots")
	case result.Added:
		return Say("added plots")
	case result.Strip:
		return Say("strip transects")
	case result.Line:
		return Say("line transects")
	}
	return Say("%v units", method)
}

// YearsSinceFire says in words what a cell of the column years_since_fire holds:
// "1 year after fire", "unburned".
func YearsSinceFire(c result.Cell) Text {
	switch c.Text {
	case result.All:
		return Say("all years")
	case result.Unburned:
		return Say("unburned")
	case "1":
		return Say("%v year after fire", c)
	}
	return Say("%v years after fire", c)
}

// Ground is "1 year after fire, severe, south, 1200 to 1400 m": the years since fire in a
// cell, and what is known of severity, aspect and band of elevation.
func Ground(years result.Cell, severity, aspect, band string) Text {
	parts := []Text{YearsSinceFire(years)}
	for _, name := range []string{severity, aspect} {
		if name != "" && name != years.Text {
			parts = append(parts, Name(name))
		}
	}
	if band != "" {
		parts = append(parts, Bounds(band, "m"))
	}
	return Join(parts, ", ")
}

// Bounds are the bounds of a class in a stored unit, "1200 to 1400" in m, or a step
// of one: shown as "1,200 to 1,400 m" or "3,940 to 4,590 ft". Words stay as they are.
func Bounds(class, stored string) Text { return Text{[]part{bounds{class, stored}}} }

// Dated is a day with its year: "17 May 2031". Without it a day is "17 May".
func Dated(c result.Cell) Text { return Text{[]part{dated{c}}} }

// Year is a whole number that is a calendar year.
func Year(c result.Cell) Text { return Text{[]part{year{c}}} }

// Name is a name from the data, made fit to stand in a line.
func Name(s string) Text { return Text{[]part{name(s)}} }

// Setting is a value of survey.toml in a stored unit, under the key given.
func Setting(key string, value float64, unit string) Text {
	return Text{[]part{setting{key: key, value: value, unit: unit}}}
}

// trimmed is a number without zeros at the end of its decimals.
func trimmed(text string) string {
	if !strings.Contains(text, ".") {
		return text
	}
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// textWriter writes the parts of a text as plain text or as HTML.
type textWriter struct {
	units   Units
	html    bool
	compact bool // 41-72 for 41 to 72
	out     strings.Builder
}

// words writes plain words.
func (w *textWriter) words(s string) {
	if w.html {
		s = template.HTMLEscapeString(s)
	}
	w.out.WriteString(s)
}

// sourced writes a number with its source, "table:row:column".
func (w *textWriter) sourced(c result.Cell, text string) {
	w.from(sourceOf(c), text)
}

// sourceOf is the place of a cell as the markup has it: table, row from 1, column;
// of a sum the rows are joined by a plus sign.
func sourceOf(c result.Cell) string {
	rows := strconv.Itoa(c.Row + 1)
	for _, row := range c.Also {
		rows += "+" + strconv.Itoa(row+1)
	}
	return fmt.Sprintf("%s:%s:%s", c.Table, rows, c.Column)
}

func (w *textWriter) from(source, text string) { w.marked("n", source, text) }

// marked writes a text of a class with its source.
func (w *textWriter) marked(class, source, text string) {
	if !w.html {
		w.out.WriteString(text)
		return
	}
	fmt.Fprintf(&w.out, `<span class="%s" data-from="%s">%s</span>`, class, template.HTMLEscapeString(source), template.HTMLEscapeString(text))
}

// Plain returns the text without markup, compact as on a terminal.
func (t Text) Plain(u Units) string { return t.written(&textWriter{units: u, compact: true}) }

// Sentence returns the text without markup as prose has it, such as for a text
// alternative.
func (t Text) Sentence(u Units) string { return t.written(&textWriter{units: u}) }

// HTML returns the text with its numbers marked.
func (t Text) HTML(u Units) template.HTML {
	return template.HTML(t.written(&textWriter{units: u, html: true}))
}

func (t Text) written(w *textWriter) string {
	for _, p := range t.parts {
		p.write(w)
	}
	return w.out.String()
}

// Level is the nominal level of an estimate's interval: "95 %".
func Level(c result.Cell) string { return level(c.Confidence.Value) }

// level writes a nominal confidence without the noise of binary fractions.
func level(confidence float64) string {
	return strconv.FormatFloat(float64(int64(confidence*1e8+0.5))/1e6, 'f', -1, 64) + " %"
}

// day writes a date without its year: "17 May".
func day(d column.Date) string {
	at := d.Time()
	return fmt.Sprintf("%d %s", at.Day(), at.Month())
}
