package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/survey"
)

// asker takes the questions of a survey, leaves out those that were answered, and
// joins many that are alike.
type asker struct {
	quiet    map[string]bool
	accepted *accepted
	groups   map[askedKey]*asked
	order    []*asked
	answered int
}

// askedKey is what questions that are alike share.
type askedKey struct{ kind, file, name, text string }

// asked are questions that are alike: the first few, and how many.
type asked struct {
	first [fewAlike]survey.Question
	later [fewAlike]func() string // their remedies, where these need all rows
	rows  int
	last  int64 // line
}

// fewAlike is how many questions that are alike are told each. Of more, the first
// stands for all.
const fewAlike = 3

func newAsker(s survey.Check, a *accepted) *asker {
	q := &asker{quiet: map[string]bool{}, accepted: a, groups: map[askedKey]*asked{}}
	for _, kind := range s.Quiet {
		q.quiet[kind] = true
	}
	return q
}

// ask puts a question, unless it was answered.
func (c *checks) ask(kind, text string, f survey.Fault) { c.askLater(kind, text, f, nil) }

// askLater does so; its remedy is made once all rows are read.
func (c *checks) askLater(kind, text string, f survey.Fault, later func() string) {
	q := c.asker
	if q == nil || q.quiet[kind] {
		return
	}
	if q.accepted.has(f, text) {
		q.answered++
		return
	}
	key := askedKey{kind: kind, file: f.File, name: f.Name}
	if kind == survey.NearName {
		key.text = text // each name is a question of its own
	}
	g := q.groups[key]
	if g == nil {
		g = &asked{}
		q.groups[key] = g
		q.order = append(q.order, g)
	}
	if g.rows < fewAlike {
		g.first[g.rows], g.later[g.rows] = survey.Question{Fault: f, Kind: kind, Text: strings.Clone(text), Rows: 1}, later
	}
	g.rows++
	g.last = max(g.last, f.Line)
}

// ask puts a question about a cell of the row.
func (l *line) ask(kind, name, problem, remedy string) {
	l.askLater(kind, name, problem, func() string { return remedy })
}

// askLater does so; its remedy is made once all rows are read.
func (l *line) askLater(kind, name, problem string, remedy func() string) {
	if !l.muted {
		if kind == survey.UnitSize || kind == survey.OfHours { // compared once more, and as many as units and visits
			l.doubts.asked[l.place] = l.about(name, "", "").Column
		}
		l.reading.askLater(kind, l.text(name), l.about(name, problem, ""), remedy)
	}
}

// text is the cell of a column as the file has it; "" where there is none.
func (l *line) text(name string) string {
	for i, field := range l.fields {
		if field.Name == name {
			if at := l.mapping.columns[i].index; at >= 0 && at < len(l.cells) {
				return trim(l.cells[at])
			}
		}
	}
	return ""
}

// answerable are the questions that are left, in the order of files and lines.
func (q *asker) answerable(files []File) []survey.Question {
	place := map[string]int{settingsName: -1}
	for i, f := range files {
		place[f.Name] = i
	}
	var list []survey.Question
	for _, g := range q.order {
		for i, remedy := range g.later {
			if remedy != nil {
				g.first[i].Remedy = remedy()
			}
		}
		if g.rows > fewAlike {
			first := g.first[0]
			first.Rows = g.rows
			first.Problem += fmt.Sprintf("; %d more are like this one, the last on line %d", g.rows-1, g.last)
			list = append(list, first)
			continue
		}
		list = append(list, g.first[:g.rows]...)
	}
	slices.SortStableFunc(list, func(a, b survey.Question) int {
		return cmp.Or(cmp.Compare(place[a.File], place[b.File]), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return list
}

// tellQuestions hands on the questions that are left, as faults where that is
// asked for: no row can be set aside for them.
func (d *doubts) tellQuestions() {
	if d.asker == nil {
		return
	}
	d.unmatched()
	for _, q := range d.asker.answerable(d.folder.Files()) {
		d.summary.Questions++
		switch {
		case d.options.Strict || d.folder.Settings.Check.Questions == survey.AsFaults:
			d.block(q.Fault)
		case d.err == nil && d.sink.Question != nil:
			d.err = d.sink.Question(q)
		}
	}
	d.summary.Answered = d.asker.answered
}
