package ingest

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// maxColumns is far above the contract's columns and a crew's own; a header
// with more is a file turned on its side or no table.
const maxColumns = 1000

// meaning is what a header stands for.
type meaning struct {
	field      int // of the table's fields
	conversion conversion
	// wrong names the kind of the header's unit where it is not the column's.
	wrong string
}

// headers knows what the headers of one table mean: the contract's names, in
// every unit, and the crew's own by survey.toml.
type headers struct {
	table  string
	fields []column.Field
	mapped map[string]crewHeader // by folded header
}

// crewHeader is a line of [columns.TABLE].
type crewHeader struct {
	header, target string
	line           int64
	meaning        meaning
	used           bool
}

// known returns what a contract header means, in any unit.
func (h *headers) known(header string) (meaning, bool) {
	stem, unit, hasUnit := splitUnit(header)
	for i, f := range h.fields {
		if f.Name == header {
			return meaning{field: i}, true
		}
	}
	if !hasUnit {
		return meaning{}, false
	}
	for i, f := range h.fields {
		ownStem, own, ok := splitUnit(f.Name)
		switch {
		case !ok || ownStem != stem:
		case own.kind != unit.kind:
			return meaning{field: i, wrong: unit.kind}, true
		default:
			return meaning{field: i, conversion: between(unit, own)}, true
		}
	}
	return meaning{}, false
}

// means returns what a header of a file stands for; the crew's mapping comes
// before the contract.
func (h *headers) means(header string) (meaning, bool) {
	key := foldHeader(header)
	if crew, ok := h.mapped[key]; ok {
		crew.used = true
		h.mapped[key] = crew
		return crew.meaning, true
	}
	return h.known(key)
}

// count is the number of cells that a header line knows: a delimiter that
// gives more of them is the better one.
func (h *headers) count(cells []string) int {
	n := 0
	for _, c := range cells {
		key := foldHeader(c)
		if _, ok := h.known(key); ok {
			n++
		} else if _, ok := h.mapped[key]; ok {
			n++
		}
	}
	return n
}

func (h *headers) names() []string {
	names := make([]string, len(h.fields))
	for i, f := range h.fields {
		names[i] = f.Name
	}
	return names
}

// foldHeader is how headers are compared: without case and outer space.
func foldHeader(s string) string { return strings.ToLower(trim(s)) }

// newHeaders prepares a table's headers and reports the mappings of
// survey.toml that cannot be followed.
func newHeaders(d survey.Description, s *settings) *headers {
	h := &headers{table: d.Name, fields: d.Fields, mapped: map[string]crewHeader{}}
	m := mapper{headers: h, settings: s, keys: map[string]bool{}, takenBy: map[int]string{}}
	for header, target := range s.Columns[d.Name] {
		m.keys[foldHeader(header)] = true
		m.list = append(m.list, crewHeader{header: header, target: target, line: s.lines.line("columns", d.Name, header)})
	}
	slices.SortFunc(m.list, func(a, b crewHeader) int {
		return cmp.Or(cmp.Compare(a.line, b.line), strings.Compare(a.header, b.header))
	})
	for _, c := range m.list {
		m.add(c)
	}
	return h
}

// mapper checks the lines of one [columns.TABLE] against each other.
type mapper struct {
	headers  *headers
	settings *settings
	list     []crewHeader
	keys     map[string]bool // folded headers that are mapped
	takenBy  map[int]string  // field to the header that gives it
}

func (m *mapper) add(c crewHeader) {
	h, key, target := m.headers, foldHeader(c.header), foldHeader(c.target)
	means, ok := h.known(target)
	own, isOwn := h.known(key)
	switch first, taken := m.takenBy[means.field]; {
	case key == "":
		m.fault(c, "maps a header without a name", "name the header as the file has it")
	case !ok && m.keys[target]:
		m.fault(c, "maps "+phrase.Quote(c.header)+" to "+phrase.Quote(c.target)+", which is itself a header that is mapped", "name our column on the right")
	case !ok:
		m.fault(c, "maps "+phrase.Quote(c.header)+" to "+phrase.Quote(c.target)+", which is not a column of "+h.table,
			cmp.Or(meant(c.target, h.names()), "the columns are "+phrase.Either(h.names())))
	case means.wrong != "":
		m.fault(c, "maps "+phrase.Quote(c.header)+" to "+phrase.Quote(c.target)+", a unit of another kind",
			"name it in a unit like that of "+h.fields[means.field].Name)
	case isOwn && own.field != means.field:
		m.fault(c, "maps "+phrase.Quote(c.header)+", a column of its own, to "+phrase.Quote(c.target),
			"rename the header in the file if it holds "+h.fields[means.field].Name)
	case isOwn && own.conversion != means.conversion:
		m.fault(c, "maps "+phrase.Quote(c.header)+" to "+phrase.Quote(c.target)+", the same column in another unit",
			"let the header in the file end in the unit that its figures have")
	case taken:
		m.fault(c, "maps "+phrase.Quote(c.header)+" to "+phrase.Quote(c.target)+", which "+phrase.Quote(first)+" is mapped to already", "keep one of the two")
	case h.mapped[key].header != "":
		m.fault(c, "maps "+phrase.Quote(c.header)+" again, as "+phrase.Quote(h.mapped[key].header), "keep one of the two; case and outer spaces make no difference")
	default:
		c.meaning = means
		m.takenBy[means.field] = c.header
		h.mapped[key] = c
	}
}

func (m *mapper) fault(c crewHeader, problem, remedy string) {
	m.settings.fault("columns."+m.headers.table, c.line, problem, remedy)
}

// unused reports the mapped headers that no file of the table has.
func (h *headers) unused(s *settings, found []string) {
	for _, c := range h.mapped {
		if c.used {
			continue
		}
		s.fault("columns."+h.table, c.line, "maps "+phrase.Quote(c.header)+", a header that no file of "+h.table+" has",
			join(meant(c.header, found), "write it as the file has it, or remove the line"))
	}
}
