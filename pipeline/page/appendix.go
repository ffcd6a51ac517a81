package page

import (
	"html/template"
	"slices"
	"strings"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// appendixView is what the template of the second file prints, in its order.
type appendixView struct {
	Title      string
	Report     string // the first file
	Style      template.CSS
	Questions  []questionView
	Warnings   []*warningGroup
	SetAside   []string
	AsideCount string // "" where nothing was set aside
	AsideMore  string // how many are not listed, "" for none
	Doubts     []string
	Open       string // how many questions, "" for none
	Notices    []string
	References []string
	Provenance provenanceView
	Program    string
}

// questionView is what the appendix has of a question.
type questionView struct {
	ID, Title string
	Parts     []partView
	Tables    []fullTable
}

type partView struct {
	Title    string
	Text     []template.HTML
	Formulas []string
	Figures  []*figureView
	Tables   []*tableView
}

// id is the anchor of a question in the appendix.
func (s Section) id() string {
	return "of-" + strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r - 'A' + 'a'
		}
		return '-'
	}, s.Question)
}

func (r Report) appendixView() appendixView {
	v := appendixView{Title: r.title(), Report: ReportFile, Style: stylesheet(), Program: r.program(), Provenance: r.provenance()}
	v.Warnings = warningGroups(r.tables())
	linked := r.linked(v.Warnings)
	for i, s := range r.Sections {
		q := s.appendix(r.units(), linked)
		if short := r.short(i); len(short.Text)+len(short.Figures)+len(short.Tables) > 0 {
			q.Parts = slices.Insert(q.Parts, 0, short)
		}
		if len(q.Parts)+len(q.Tables) > 0 {
			v.Questions = append(v.Questions, q)
		}
		for _, p := range s.Appendix {
			v.References = append(v.References, p.References...)
		}
	}
	slices.Sort(v.References)
	v.References = slices.Compact(v.References)
	v.SetAside = faultLines(r.SetAside)
	if r.SetAsideCount > 0 {
		v.AsideCount = several(r.SetAsideCount, "row", "rows")
	}
	if left := r.SetAsideCount - int64(len(v.SetAside)); left > 0 {
		v.AsideMore = count(left)
	}
	for _, q := range r.Questions[:min(len(r.Questions), mostListed)] {
		v.Doubts = append(v.Doubts, sentence(q.String()))
	}
	if r.QuestionCount > 0 {
		v.Open = several(int64(r.QuestionCount), "question is", "questions are")
	}
	v.Notices = faultLines(r.Notices)
	return v
}

// mostListed bounds the lists of faults and of notices.
const mostListed = 100

func faultLines(list []survey.Fault) []string {
	var lines []string
	for _, f := range list[:min(len(list), mostListed)] {
		lines = append(lines, sentence(f.String()))
	}
	return lines
}

// linked are the rows of full tables that the report or the list of warnings
// links to.
func (r Report) linked(groups []*warningGroup) map[string]bool {
	linked := map[string]bool{}
	for _, s := range r.Sections {
		if s.Table != nil {
			for _, row := range s.Table.shown() {
				linked[rowID(s.Table.Of.Name(), row)] = true
			}
		}
		for _, l := range s.Limitations {
			linked[rowID(l.Table, l.Row)] = true
		}
	}
	for _, g := range groups {
		for _, e := range g.Examples {
			linked[e.Link] = true
		}
	}
	return linked
}

func (r Report) tables() []result.Table {
	var tables []result.Table
	for _, s := range r.Sections {
		tables = append(tables, s.Tables...)
	}
	return tables
}

// short is what a section would say in its chapter and does not: the figure and the
// table of one that does not lead, and sentences that there is no room for.
func (r Report) short(i int) partView {
	s, u := r.Sections[i], r.units()
	said, left := r.divide(s.Chapter)
	v := partView{Title: "In short", Text: paragraphs(left[i], u)}
	if i == r.leading(s.Chapter) {
		return v
	}
	if s.Figure != nil {
		v.Figures = []*figureView{s.Figure.view(u)}
	}
	if s.Table != nil && len(s.Table.Rows) > 0 {
		v.Tables = []*tableView{s.Table.view(u)}
	}
	if len(said[i]) > 0 && len(v.Figures)+len(v.Tables) > 0 {
		v.Text = append(paragraphs([]Text{s.Finding}, u), v.Text...)
	}
	return v
}

// appendix is what the appendix has of the section.
func (s Section) appendix(u Units, linked map[string]bool) questionView {
	q := questionView{ID: s.id(), Title: s.Question}
	for _, p := range s.Appendix {
		q.Parts = append(q.Parts, p.view(u))
	}
	for _, t := range s.Tables {
		if t.Rows() > 0 {
			q.Tables = append(q.Tables, full(t, linked))
		}
	}
	return q
}

func (p Part) view(u Units) partView {
	v := partView{Title: p.Title, Text: paragraphs(p.Text, u), Formulas: p.Formulas}
	for _, f := range p.Figures {
		v.Figures = append(v.Figures, f.view(u))
	}
	for i := range p.Tables {
		v.Tables = append(v.Tables, p.Tables[i].view(u))
	}
	return v
}
