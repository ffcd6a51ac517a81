package ingest

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// keyLines says on which line of a TOML document each key and table stands.
// Decoding loses that, and a fault must name it.
type keyLines map[string]int64

// path joins the parts of a key. Parts may hold dots, so that no printable
// character can divide them.
func path(parts ...string) string { return strings.Join(parts, "\x00") }

// line returns the line of the key, or that of the nearest table around it,
// or 0.
func (k keyLines) line(parts ...string) int64 {
	for n := len(parts); n > 0; n-- {
		if line, ok := k[path(parts[:n]...)]; ok {
			return line
		}
	}
	return 0
}

// findKeys walks a document that decodes without error.
func findKeys(document []byte) keyLines {
	w := keyWalk{document: document, line: 1, lines: keyLines{}, elements: map[string]int{}}
	w.parser.Reset(document)
	var table []string
	for w.parser.NextExpression() {
		e := w.parser.Expression()
		switch e.Kind {
		case unstable.Table:
			table = w.note(nil, e.Key())
		case unstable.ArrayTable:
			table = w.element(w.note(nil, e.Key()))
		case unstable.KeyValue:
			w.keyValue(table, e)
		}
	}
	return w.lines
}

// deepKey looks for a key or a value deeper than maxDepth, and returns its line.
// Where the document cannot be read to its end it looks as far as that.
func deepKey(document []byte) (line int64, deep bool) {
	var parser unstable.Parser
	parser.Reset(document)
	table := 0
	for parser.NextExpression() {
		e := parser.Expression()
		depth := depthOf(e)
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = depth
		case unstable.KeyValue:
			depth += table
		}
		if depth > maxDepth {
			return lineOf(document, e), true
		}
	}
	return 0, false
}

// depthOf is the number of a node's key parts and, in its value, of the keys and
// lists that lie within each other.
func depthOf(n *unstable.Node) int {
	switch n.Kind {
	case unstable.Table, unstable.ArrayTable:
		return partsOf(n)
	case unstable.KeyValue:
		depth := partsOf(n)
		if depth <= maxDepth {
			depth += depthOf(n.Value())
		}
		return depth
	case unstable.Array:
		return 1 + deepest(n)
	case unstable.InlineTable:
		return deepest(n) // its keys count
	}
	return 0
}

// deepest is the depth of a list's or table's deepest child.
func deepest(n *unstable.Node) int {
	depth := 0
	for children := n.Children(); children.Next() && depth <= maxDepth; {
		depth = max(depth, depthOf(children.Node()))
	}
	return depth
}

func partsOf(n *unstable.Node) int {
	parts := 0
	for key := n.Key(); key.Next() && parts <= maxDepth; {
		parts++
	}
	return parts
}

// lineOf is the line of a node's key.
func lineOf(document []byte, n *unstable.Node) int64 {
	key := n.Key()
	if !key.Next() {
		return 0
	}
	return int64(bytes.Count(document[:key.Node().Raw.Offset], []byte{'\n'})) + 1
}

type keyWalk struct {
	parser   unstable.Parser
	document []byte
	offset   int // the line below is that of this byte
	line     int64
	lines    keyLines
	elements map[string]int // of each list of tables, so far
}

// element notes the next element of a list of tables, on whose header the walk
// stands, and returns the path that its keys stand below.
func (w *keyWalk) element(table []string) []string {
	whole := append(table, element(w.elements[path(table...)]))
	w.elements[path(table...)]++
	w.lines[path(whole...)] = w.line
	return whole
}

// element is the part of a path that stands for an element of a list of tables.
func element(i int) string { return "[" + strconv.Itoa(i) + "]" }

func (w *keyWalk) keyValue(table []string, e *unstable.Node) {
	key := w.note(table, e.Key())
	if v := e.Value(); v.Kind == unstable.InlineTable {
		for children := v.Children(); children.Next(); {
			w.keyValue(key, children.Node())
		}
	}
}

// note records the line of a key below a table, and of every table that a
// dotted key implies, and returns the key whole. Keys come in the order of the
// document, so that the newlines between them are counted once.
func (w *keyWalk) note(table []string, key unstable.Iterator) []string {
	whole := append([]string{}, table...)
	for key.Next() {
		n := key.Node()
		if start := int(n.Raw.Offset); start > w.offset {
			w.line += int64(bytes.Count(w.document[w.offset:start], []byte{'\n'}))
			w.offset = start
		}
		whole = append(whole, string(n.Data))
		if _, twice := w.lines[path(whole...)]; !twice {
			w.lines[path(whole...)] = w.line
		}
	}
	return whole
}

// kindOf names the kind of a decoded TOML value for a message.
func kindOf(v any) string {
	switch v.(type) {
	case string:
		return "a text"
	case int64:
		return "a whole number"
	case float64:
		return "a number"
	case bool:
		return "true or false"
	case toml.LocalDate:
		return "a date"
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a time"
}
