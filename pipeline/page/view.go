package page

import (
	"html/template"
	"strings"

	"ashtally/pipeline/result"
)

// reportView is what the template of the first file prints, in its order.
type reportView struct {
	Title    string
	Style    template.CSS
	Lead     []template.HTML
	SetAside string // "" where nothing was set aside
	Open     string // questions; "" for none
	Cards    []cardView
	Limits   []limitView // of the summary
	Chapters []chapterView
	Program  string
}

// cardView is a card of the summary.
type cardView struct {
	ID     string
	Title  template.HTML
	Big    template.HTML
	Label  string
	Text   []template.HTML
	Figure *figureView
}

// chapterView is a section of the report.
type chapterView struct {
	ID, Title string
	Finding   template.HTML
	Figure    *figureView
	Map       *figureView
	Table     *tableView
	Text      []template.HTML
	Limits    []limitView
	More      []link // into the appendix
}

type link struct{ Text, To string }

// limitView is a limitation with its place.
type limitView struct {
	Title string
	Text  template.HTML
	Link  string
}

const (
	mostLimits        = 4 // in the summary
	mostChapterLimits = 2
	mostWords         = 150 // of finding and sentences of a chapter
)

func (r Report) reportView() (reportView, error) {
	v := reportView{Title: r.title(), Style: stylesheet(), Program: r.program()}
	if r.SetAsideCount > 0 {
		v.SetAside = several(r.SetAsideCount, "row was", "rows were")
	}
	if r.QuestionCount > 0 {
		v.Open = several(int64(r.QuestionCount), "question is", "questions are")
	}
	var limits []Limitation
	for _, s := range r.Sections {
		if !s.Lead.Empty() {
			v.Lead = append(v.Lead, s.Lead.HTML(r.units()))
		}
		if s.Card != nil {
			limits = append(limits, s.Limitations...)
		}
	}
	v.Limits = limitViews(ranked(limits), mostLimits, summaryQuote)
	for c := range chapters {
		chapter, card, err := r.chapter(c)
		if err != nil {
			return v, err
		}
		if chapter != nil {
			v.Chapters = append(v.Chapters, *chapter)
		}
		if card != nil {
			v.Cards = append(v.Cards, *card)
		}
	}
	return v, nil
}

// chapter puts the sections of a chapter together, and its card in the summary;
// nil for those that there are none of.
func (r Report) chapter(c Chapter) (*chapterView, *cardView, error) {
	v := &chapterView{ID: c.ID(), Title: c.Title()}
	var card *cardView
	var limits []Limitation
	lead := r.leading(c)
	said, left := r.divide(c)
	if lead >= 0 {
		v.lead(r.Sections[lead], r.units())
		v.Text = paragraphs(said[lead], r.units())
	}
	for i, s := range r.Sections {
		if s.Chapter != c {
			continue
		}
		if i != lead {
			v.Text = append(v.Text, paragraphs(said[i], r.units())...)
		}
		if s.Map != nil {
			v.Map = s.Map.view(r.units())
		}
		if card == nil && s.Card != nil {
			card = s.Card.view(c, r.units())
		}
		limits = append(limits, s.Limitations...)
		if s.inAppendix() || len(left[i]) > 0 {
			v.More = append(v.More, link{s.Question, AppendixFile + "#" + s.id()})
		}
	}
	if lead < 0 {
		return nil, card, nil
	}
	v.Limits = limitViews(ranked(limits), mostChapterLimits, longestQuote)
	return v, card, nil
}

// leading is the place of the section that leads a chapter: the first with a finding,
// or that asks to lead; -1 for none.
func (r Report) leading(c Chapter) int {
	lead := -1
	for i, s := range r.Sections {
		if s.Chapter == c && !s.Finding.Empty() && (lead < 0 || s.Leads && !r.Sections[lead].Leads) {
			lead = i
		}
	}
	return lead
}

// divide divides the sentences of a chapter by section, beside the finding that leads
// it: those that there is room for, and those for the appendix.
func (r Report) divide(c Chapter) (said, left map[int][]Text) {
	said, left = map[int][]Text{}, map[int][]Text{}
	lead, room := r.leading(c), mostWords
	take := func(i int, texts ...Text) {
		for _, t := range texts {
			switch n := r.words(t); {
			case t.Empty():
			case lead >= 0 && n <= room:
				room -= n
				said[i] = append(said[i], t)
			default:
				left[i] = append(left[i], t)
			}
		}
	}
	if lead >= 0 {
		room -= r.words(r.Sections[lead].Finding)
		take(lead, r.Sections[lead].Text...)
	}
	for i, s := range r.Sections {
		if s.Chapter != c {
			continue
		}
		switch {
		case i == lead:
		case s.Finding.Empty():
			take(i, s.Text...)
		default:
			take(i, s.Finding)
			left[i] = append(left[i], s.Text...)
		}
		left[i] = append(left[i], s.Details...)
	}
	return said, left
}

// words counts those of a text.
func (r Report) words(t Text) int { return len(strings.Fields(t.Sentence(r.units()))) }

// lead takes over what the first section of a chapter shows.
func (v *chapterView) lead(s Section, u Units) {
	v.Finding = s.Finding.HTML(u)
	v.Figure = s.Figure.view(u)
	if s.Table != nil && len(s.Table.Rows) > 0 {
		v.Table = s.Table.view(u)
	}
}

// inAppendix reports whether the appendix has anything of the section.
func (s Section) inAppendix() bool {
	if len(s.Appendix) > 0 {
		return true
	}
	for _, t := range s.Tables {
		if t.Rows() > 0 {
			return true
		}
	}
	return false
}

func (c *Card) view(of Chapter, u Units) *cardView {
	v := &cardView{ID: of.ID(), Title: c.Title.HTML(u), Figure: c.Figure.view(u)}
	if c.Number != nil {
		v.Big, v.Label = Bare(*c.Number).HTML(u), c.label(u)
	}
	v.Text = paragraphs(c.Text, u)
	return v
}

// paragraphs writes those of the texts that say something.
func paragraphs(texts []Text, u Units) []template.HTML {
	var list []template.HTML
	for _, t := range texts {
		if !t.Empty() {
			list = append(list, t.HTML(u))
		}
	}
	return list
}

// label names what the large number is of, with its unit.
func (c *Card) label(u Units) string {
	unit := u.of(c.Number.Unit, c.Number.Number.Value).name
	switch {
	case c.Label == "":
		return unit
	case unit == "" || unit == c.Label:
		return c.Label
	}
	return c.Label + " " + unit
}

// limitViews writes the first of a ranked list.
func limitViews(list []Limitation, most, words int) []limitView {
	var views []limitView
	for _, l := range list[:min(len(list), most)] {
		views = append(views, l.view(words))
	}
	return views
}

// longestQuote is how many words of a warning the report quotes; the row that it links
// to has all of them.
const longestQuote = 20

// summaryQuote is the same in the summary, which has less room.
const summaryQuote = 14

// longestSentence is how many words a sentence of the report may have.
const longestSentence = 30

// view quotes the warning from its table, in whole sentences of so many words.
func (l Limitation) view(words int) limitView {
	return l.quoted(beginning(sentence(l.Warning.Text), words))
}

// whole is the view with all that the warning says, for a page without an appendix.
func (l Limitation) whole() limitView { return l.quoted(sentence(l.Warning.Text)) }

func (l Limitation) quoted(text string) limitView {
	v := limitView{Title: titleOf(l.Warning), Link: appendixRow(l.Table, l.Row)}
	c := result.Cell{Table: l.Table, Row: l.Row, Column: "warnings", Text: text}
	if c.Text != "" {
		v.Text = Text{[]part{quote{c}}}.HTML(Units{})
	}
	return v
}

// Quoted is the first warning of a row, in whole sentences, or its title where the first
// sentence is long; empty where there is none.
func Quoted(t result.Table, row int) Text {
	warnings := t.Warnings(row)
	if len(warnings) == 0 {
		return Text{}
	}
	text := beginning(sentence(warnings[0].Text), longestSentence)
	if text == "" {
		return Say("%v.", titleOf(warnings[0]))
	}
	return Text{[]part{quote{result.Cell{Table: t.Name(), Row: row, Column: "warnings", Text: text}}}}
}

// beginning is as many sentences of a text as have up to so many words; "" where the
// first has more.
func beginning(text string, words int) string {
	taken := ""
	for _, s := range strings.SplitAfter(text, ". ") {
		if len(strings.Fields(taken+s)) > words {
			break
		}
		taken += s
	}
	return strings.TrimSpace(taken)
}

// quote is a sentence of the column warnings.
type quote struct{ cell result.Cell }

func (q quote) write(w *textWriter) { w.marked("quote", sourceOf(q.cell), q.cell.Text) }
