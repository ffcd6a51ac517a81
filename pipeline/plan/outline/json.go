package outline

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// value is a JSON value and the line it begins on.
type value struct {
	line    int64
	kind    kind
	text    string            // of a string or a number
	items   []*value          // of an array, unless all are numbers
	numbers []float64         // of an array of numbers alone
	members map[string]*value // of an object
}

type kind int

const (
	null kind = iota
	boolean
	number
	text
	array
	object
)

func (k kind) String() string {
	return [...]string{"null", "true or false", "a number", "a text", "an array", "an object"}[k]
}

// get returns a member of an object, or nil.
func (v *value) get(name string) *value {
	if v == nil || v.kind != object {
		return nil
	}
	return v.members[name]
}

// count is the number of elements of an array.
func (v *value) count() int { return len(v.items) + len(v.numbers) }

// deepest is how deep values may be nested. GeoJSON needs ten levels.
const deepest = 64

// decoder reads a document with the lines of its values.
type decoder struct {
	*json.Decoder
	document []byte
	seen     int64 // the line below is that of this byte
	line     int64
}

// parse reads a document of one value. Its error is a [syntaxError].
func parse(document []byte) (*value, error) {
	document = bytes.TrimPrefix(document, []byte("\xef\xbb\xbf"))
	d := &decoder{Decoder: json.NewDecoder(bytes.NewReader(document)), document: document, line: 1}
	d.UseNumber()
	v, err := d.next(0)
	if err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		d.move(d.InputOffset())
		return nil, d.wrong("more text follows the end of the document")
	}
	return v, nil
}

// syntaxError is where and why a document is not JSON.
type syntaxError struct {
	line   int64
	reason string
}

func (e syntaxError) Error() string { return e.reason }

func (d *decoder) wrong(reason string) error { return syntaxError{d.line, reason} }

// token returns the next token and sets the line to that on which it ends,
// which is that on which it begins.
func (d *decoder) token() (json.Token, error) {
	t, err := d.Token()
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		// The offset is where the last token ended, or behind the first byte that
		// is wrong.
		blank := d.document[min(max(syntax.Offset, d.seen), int64(len(d.document))):]
		d.move(int64(len(d.document) - len(bytes.TrimLeft(blank, " \t\r\n"))))
	case err != nil:
		d.move(int64(len(d.document)))
		err = errors.New("the document ends too early")
	default:
		d.move(d.InputOffset())
	}
	if err != nil {
		return nil, d.wrong(err.Error())
	}
	return t, nil
}

// move sets the line to that of a byte.
func (d *decoder) move(to int64) {
	d.line += int64(bytes.Count(d.document[d.seen:to], []byte{'\n'}))
	d.seen = to
}

func (d *decoder) next(depth int) (*value, error) {
	t, err := d.token()
	if err != nil {
		return nil, err
	}
	return d.value(t, depth)
}

// value reads the value that begins with a token.
func (d *decoder) value(t json.Token, depth int) (*value, error) {
	if depth > deepest {
		return nil, d.wrong(fmt.Sprintf("values are nested more than %d deep", deepest))
	}
	v := &value{line: d.line}
	switch t := t.(type) {
	case json.Delim:
		if t == '{' {
			return v, d.object(v, depth)
		}
		return v, d.array(v, depth)
	case json.Number:
		v.kind, v.text = number, t.String()
	case string:
		v.kind, v.text = text, t
	case bool:
		v.kind = boolean
	}
	return v, nil
}

func (d *decoder) object(v *value, depth int) error {
	v.kind, v.members = object, map[string]*value{}
	for d.More() {
		name, err := d.token()
		if err != nil {
			return err
		}
		if _, twice := v.members[name.(string)]; twice {
			return d.wrong(quote(name.(string)) + " is given twice")
		}
		if v.members[name.(string)], err = d.next(depth + 1); err != nil {
			return err
		}
	}
	_, err := d.token()
	return err
}

// array keeps numbers apart from other values, as most arrays are positions.
func (d *decoder) array(v *value, depth int) error {
	v.kind = array
	for d.More() {
		t, err := d.token()
		if err != nil {
			return err
		}
		if n, ok := t.(json.Number); ok && v.items == nil {
			f, err := strconv.ParseFloat(n.String(), 64)
			if err != nil {
				return d.wrong(n.String() + " is too large a number")
			}
			v.numbers = append(v.numbers, f)
			continue
		}
		item, err := d.value(t, depth+1)
		if err != nil {
			return err
		}
		v.items = append(v.items, item)
	}
	_, err := d.token()
	return err
}

// maxQuoted is how much of a text a message shows, in runes.
const maxQuoted = 60

func quote(s string) string {
	if r := []rune(s); len(r) > maxQuoted {
		s = string(r[:maxQuoted]) + "..."
	}
	return `"` + s + `"`
}
