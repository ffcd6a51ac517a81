package page

import (
	"html/template"
	"io"

	"ashtally/pipeline/survey"
)

// Document is a page of its own: sections one after another, each on a printed page,
// without an appendix.
type Document struct {
	Settings survey.Settings
	Title    string
	Lead     []Text
	Parts    []DocumentPart
	Footer   Text
}

// DocumentPart is a section of a document.
type DocumentPart struct {
	ID, Title   string
	Finding     Text // one sentence, the number first
	Figures     []*Figure
	Tables      []*Table
	Text        []Text
	Limitations []Limitation
}

// documentView is what the template of a document prints.
type documentView struct {
	Title  string
	Style  template.CSS
	Lead   []template.HTML
	Parts  []documentPartView
	Footer template.HTML
}

// documentPartView is a section of a document.
type documentPartView struct {
	ID, Title string
	Finding   template.HTML
	Figures   []*figureView
	Tables    []*tableView
	Text      []template.HTML
	Limits    []limitView
}

// Write writes the document. The same document gives the same bytes.
func (d Document) Write(w io.Writer) error {
	u := UnitsOf(d.Settings)
	v := documentView{Title: isolate(survey.Printable(d.Title)), Style: stylesheet(), Lead: paragraphs(d.Lead, u), Footer: d.Footer.HTML(u)}
	for _, p := range d.Parts {
		v.Parts = append(v.Parts, p.view(u))
	}
	return execute(w, "document.html", v)
}

func (p DocumentPart) view(u Units) documentPartView {
	v := documentPartView{ID: p.ID, Title: p.Title, Finding: p.Finding.HTML(u), Text: paragraphs(p.Text, u)}
	for _, f := range p.Figures {
		v.Figures = append(v.Figures, f.view(u))
	}
	for _, t := range p.Tables {
		if len(t.Rows) == 0 {
			continue
		}
		table := t.view(u)
		for i := range table.Rows {
			table.Rows[i].Link = ""
		}
		v.Tables = append(v.Tables, table)
	}
	for _, l := range p.Limitations {
		limit := l.whole()
		limit.Link = ""
		v.Limits = append(v.Limits, limit)
	}
	return v
}
