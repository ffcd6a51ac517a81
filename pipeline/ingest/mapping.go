package ingest

import (
	"fmt"
	"slices"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// mapping says which cells of a file fill which columns of its table.
type mapping struct {
	comma   rune
	header  []string // as the file has it
	line    int64    // of the header
	width   int      // cells that a row must have
	flawed  bool     // whether the header has a fault
	columns []cellOf // for each field of the table
	extra   []int    // cell of each unknown header of the table; -1 or beyond the end where the file lacks it
}

// cellOf is where a column's text stands in a row, and in which unit.
type cellOf struct {
	index      int // from 0; -1 = the file has no such column
	conversion conversion
}

// extras are the unknown headers of a table, over all of its files.
type extras struct {
	headers []string
	index   map[string]int // by folded header
}

// headerMapper maps one header.
type headerMapper struct {
	*headers
	mapping *mapping
	file    string
	others  *extras
	fault   func(survey.Fault)
	notice  func(survey.Fault)
}

// run maps the cells of a header. The mapping is usable whatever the faults:
// a column that is not clear is missing in it.
func (m *headerMapper) run() {
	m.mapping.columns = make([]cellOf, len(m.fields))
	for i := range m.mapping.columns {
		m.mapping.columns[i].index = -1
	}
	m.mapping.width = widthOf(m.mapping.header)
	for i, text := range m.mapping.header[:m.mapping.width] {
		m.cell(i, text)
	}
	for i, f := range m.fields {
		if f.Required && m.mapping.columns[i].index < 0 {
			m.missing(f.Name)
		}
	}
}

// widthOf is the number of cells up to the last with a name: spreadsheets leave
// empty ones after it.
func widthOf(header []string) int {
	n := len(header)
	for n > 0 && trim(header[n-1]) == "" {
		n--
	}
	return n
}

func (m *headerMapper) cell(i int, text string) {
	name := trim(text)
	if problem := unreadable(name); problem != "" {
		m.cellFault(i, "", "the header "+problem, "save the file as CSV in UTF-8")
		return
	}
	if name == "" {
		m.cellFault(i, "", "the column has no header", "name it, or remove the column")
		return
	}
	means, ok := m.means(name)
	if !ok {
		m.unknown(i, name)
		return
	}
	field := m.fields[means.field]
	to := &m.mapping.columns[means.field]
	switch {
	case means.wrong != "":
		m.cellFault(i, field.Name, phrase.Quote(name)+" ends in a unit of another kind, "+means.wrong, "rename it to "+field.Name+", or to another unit of its kind")
	case to.index >= 0:
		m.cellFault(i, field.Name, phrase.Quote(name)+" is the same column as "+phrase.Quote(m.mapping.header[to.index])+fmt.Sprintf(" (cell %d)", to.index+1),
			"keep one of the two")
	default:
		*to = cellOf{index: i, conversion: means.conversion}
	}
}

// unknown carries a column that the contract does not know.
func (m *headerMapper) unknown(i int, name string) {
	at, listed := m.others.index[foldHeader(name)]
	if !listed {
		at = len(m.others.headers)
		m.others.headers = append(m.others.headers, name)
		m.others.index[foldHeader(name)] = at
		m.notice(m.note(i, "", "the column "+phrase.Quote(name)+" is not known and is carried along as text", meant(name, m.names())))
	}
	for len(m.mapping.extra) <= at {
		m.mapping.extra = append(m.mapping.extra, -1)
	}
	if first := m.mapping.extra[at]; first >= 0 {
		m.cellFault(i, "", fmt.Sprintf("the header %s stands in cell %d already", phrase.Quote(name), first+1), "rename one of the two")
		return
	}
	m.mapping.extra[at] = i
}

func (m *headerMapper) missing(name string) {
	var found []string
	for i, h := range m.mapping.header {
		taken := slices.ContainsFunc(m.mapping.columns, func(c cellOf) bool { return c.index == i })
		if !taken && trim(h) != "" {
			found = append(found, trim(h))
		}
	}
	remedy := "add it, or map the header that holds it under [columns." + m.table + "] in " + settingsName
	if near := closest(name, found, (len(name)+1)/2); near != "" {
		remedy = "if " + phrase.Quote(near) + " is it, rename it or map it under [columns." + m.table + "] in " + settingsName
	}
	m.cellFault(-1, name, "there is no such column, and it is needed", remedy)
}

func (m *headerMapper) cellFault(i int, name, problem, remedy string) {
	m.mapping.flawed = true
	m.fault(m.note(i, name, problem, remedy))
}

// note words something about the cell i of the header; -1 for all of it.
func (m *headerMapper) note(i int, name, problem, remedy string) survey.Fault {
	return survey.Fault{
		Place:  survey.Place{File: m.file, Line: m.mapping.line},
		Column: i + 1, Name: name, Problem: problem, Remedy: remedy,
	}
}
