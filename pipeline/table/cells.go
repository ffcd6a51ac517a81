package table

import (
	"fmt"
	"math"

	"ashtally/pipeline/column"

	"github.com/apache/arrow/go/v15/arrow"
)

// cells takes the values of one column out of rows.
type cells[R any] interface {
	// append adds a row's value and returns the bytes of text in it.
	append(row *R) int
	// appendAll does so for some rows.
	appendAll(rows []R) int
	// array returns the values so far and starts anew, in the same memory where that
	// may be used again.
	array(again bool) arrow.Array
}

func newCells[R any](table string, c column.Column[R]) cells[R] {
	s := slot[R]{at: c.At, nullable: !c.Required && c.Default == "", name: table + ": " + c.Name}
	switch kindOf(c.Form) {
	case floats:
		must[*column.Float](s, c.Form)
		return &floatCells[R]{slot: s}
	case ints:
		must[*column.Int](s, c.Form)
		return &intCells[R]{slot: s}
	case dates:
		must[*column.Date](s, c.Form)
		return &dateCells[R]{slot: s}
	case bools:
		must[*column.Bool](s, c.Form)
		return &boolCells[R]{slot: s}
	case blobs:
		must[*[]byte](s, c.Form)
		return &blobCells[R]{slot: s}
	default:
		must[*string](s, c.Form)
		return &textCells[R]{slot: s}
	}
}

// must panics unless the slot's place in a row is of type P.
func must[P, R any](s slot[R], form column.Form) {
	if place := s.at(new(R)); !is[P](place) {
		panic(fmt.Sprintf("table: %s: At gives a %T, but the form is a %s", s.name, place, kindOf(form)))
	}
}

func is[P any](v any) bool {
	_, ok := v.(P)
	return ok
}

// slot is where a column's value sits in a row.
type slot[R any] struct {
	at       func(*R) any
	nullable bool
	name     string // table and column, for the message of a panic
}

// check panics where the column holds no nulls and the value is not known: a
// made-up value in its place would be worse.
func (s *slot[R]) check(known bool) {
	if !known && !s.nullable {
		panic("table: " + s.name + ": a row has no value, and the column holds no nulls")
	}
}

type textCells[R any] struct {
	slot[R]
	textBuffer
}

func (c *textCells[R]) append(row *R) int {
	return c.textBuffer.append(*c.at(row).(*string), c.nullable)
}

func (c *textCells[R]) appendAll(rows []R) (bytes int) {
	for i := range rows {
		bytes += c.textBuffer.append(*c.at(&rows[i]).(*string), c.nullable)
	}
	return bytes
}

type blobCells[R any] struct {
	slot[R]
	textBuffer
}

func (c *blobCells[R]) append(row *R) int {
	return c.textBuffer.append(string(*c.at(row).(*[]byte)), c.nullable)
}

func (c *blobCells[R]) appendAll(rows []R) (bytes int) {
	for i := range rows {
		bytes += c.append(&rows[i])
	}
	return bytes
}

func (c *blobCells[R]) array(again bool) arrow.Array { return c.arrayOf(blobs, again) }

type floatCells[R any] struct {
	slot[R]
	values values[float64]
}

// append treats a number that is not finite as not known: a figure that
// cannot be had is empty in every table.
func (c *floatCells[R]) append(row *R) int {
	f := *c.at(row).(*column.Float)
	if !f.Known || math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
		f = column.Float{}
	}
	c.check(f.Known)
	c.values.append(f.Value, f.Known)
	return 0
}

func (c *floatCells[R]) appendAll(rows []R) int {
	for i := range rows {
		c.append(&rows[i])
	}
	return 0
}

func (c *floatCells[R]) array(again bool) arrow.Array {
	v := c.values.take(again)
	return arrayOf(floats, v.known, arrow.Float64Traits.CastToBytes(v.all))
}

type intCells[R any] struct {
	slot[R]
	values values[int64]
}

func (c *intCells[R]) append(row *R) int {
	i := *c.at(row).(*column.Int)
	c.check(i.Known)
	c.values.append(i.Value, i.Known)
	return 0
}

func (c *intCells[R]) appendAll(rows []R) int {
	for i := range rows {
		c.append(&rows[i])
	}
	return 0
}

func (c *intCells[R]) array(again bool) arrow.Array {
	v := c.values.take(again)
	return arrayOf(ints, v.known, arrow.Int64Traits.CastToBytes(v.all))
}

type dateCells[R any] struct {
	slot[R]
	values values[int32]
}

func (c *dateCells[R]) append(row *R) int {
	d := *c.at(row).(*column.Date)
	c.check(d.Known())
	c.values.append(d.Days(), d.Known())
	return 0
}

func (c *dateCells[R]) appendAll(rows []R) int {
	for i := range rows {
		c.append(&rows[i])
	}
	return 0
}

func (c *dateCells[R]) array(again bool) arrow.Array {
	v := c.values.take(again)
	return arrayOf(dates, v.known, arrow.Int32Traits.CastToBytes(v.all))
}

type boolCells[R any] struct {
	slot[R]
	known, values bits
}

func (c *boolCells[R]) append(row *R) int {
	b := *c.at(row).(*column.Bool)
	c.check(b.Known)
	c.known.append(b.Known)
	c.values.append(b.Value)
	return 0
}

func (c *boolCells[R]) appendAll(rows []R) int {
	for i := range rows {
		c.append(&rows[i])
	}
	return 0
}

func (c *boolCells[R]) array(again bool) arrow.Array {
	known, values := c.known.take(again), c.values.take(again)
	return arrayOf(bools, known, values.bytes)
}
