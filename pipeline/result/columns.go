package result

import (
	"cmp"

	"ashtally/pipeline/column"
)

// Columns are one or more columns that are declared together: a column of its
// own, or those of an estimate.
type Columns[R any] struct {
	list []column.Column[R]
	// The columns of an estimate's value and limits; "" where there is none.
	value, lower, upper string
	estimate            func(*R) *Estimate
}

// Text declares a column of texts.
func Text[R any](name, about string, at func(*R) *string) Columns[R] {
	return one(column.Field{Name: name, Form: column.Text, About: about}, func(r *R) any { return at(r) })
}

// Number declares a column of numbers in a unit; "" for none.
func Number[R any](name, unit, about string, at func(*R) *column.Float) Columns[R] {
	return one(column.Field{Name: name, Unit: unit, Form: column.Number, About: about}, func(r *R) any { return at(r) })
}

// Whole declares a column of whole numbers.
func Whole[R any](name, unit, about string, at func(*R) *column.Int) Columns[R] {
	return one(column.Field{Name: name, Unit: unit, Form: column.Whole, About: about}, func(r *R) any { return at(r) })
}

// Day declares a column of calendar days.
func Day[R any](name, about string, at func(*R) *column.Date) Columns[R] {
	return one(column.Field{Name: name, Form: column.Day, About: about}, func(r *R) any { return at(r) })
}

// Truth declares a column of yes or no.
func Truth[R any](name, about string, at func(*R) *column.Bool) Columns[R] {
	return one(column.Field{Name: name, Form: column.Truth, About: about}, func(r *R) any { return at(r) })
}

func one[R any](f column.Field, at func(*R) any) Columns[R] {
	return Columns[R]{list: []column.Column[R]{{Field: f, At: at}}}
}

// EstimateOf declares the columns of an estimate, its [Value] first. Limits and
// standard error are in the unit of the value, the latter unless it says otherwise.
func EstimateOf[R any](at func(*R) *Estimate, parts ...Part) Columns[R] {
	c := Columns[R]{estimate: at}
	for i, p := range parts {
		if (p.of == valuePart) != (i == 0) {
			panic("result: the columns of an estimate begin with its one value")
		}
		f := p.field
		switch p.of {
		case valuePart:
			c.value = f.Name
		case lowerPart:
			c.lower, f.Unit = f.Name, parts[0].field.Unit
		case upperPart:
			c.upper, f.Unit = f.Name, parts[0].field.Unit
		case sePart:
			f.Unit = cmp.Or(f.Unit, parts[0].field.Unit)
		}
		c.list = append(c.list, column.Column[R]{Field: f, At: func(r *R) any { return p.at(at(r)) }})
	}
	return c
}

// Part is one column of an estimate.
type Part struct {
	field column.Field
	of    partKind
	at    func(*Estimate) any
}

type partKind int

const (
	valuePart partKind = iota
	sePart
	lowerPart
	upperPart
	otherPart
)

// Value is the column of the estimate itself.
func Value(name, unit, about string) Part {
	return Part{column.Field{Name: name, Unit: unit, Form: column.Number, About: about}, valuePart, func(e *Estimate) any { return &e.Value }}
}

// SE is the column of the standard error.
func SE(name string) Part {
	return number(name, "standard error", sePart, func(e *Estimate) *column.Float { return &e.SE })
}

// CV is the column of the coefficient of variation, cv.
func CV() Part {
	return number("cv", "standard error over the estimate", otherPart, func(e *Estimate) *column.Float { return &e.CV })
}

// Lower is the column of the lower limit.
func Lower(name string) Part {
	return number(name, "lower confidence limit", lowerPart, func(e *Estimate) *column.Float { return &e.Lower })
}

// Upper is the column of the upper limit.
func Upper(name string) Part {
	return number(name, "upper confidence limit", upperPart, func(e *Estimate) *column.Float { return &e.Upper })
}

// Confidence is the column of the nominal level, confidence.
func Confidence() Part {
	return number("confidence", "nominal level of the interval", otherPart, func(e *Estimate) *column.Float { return &e.Confidence })
}

// Interval is the column of the method of the limits, interval.
func Interval() Part {
	return Part{column.Field{Name: "interval", Form: column.Text, About: "how the limits were found"}, otherPart, func(e *Estimate) any { return &e.Interval }}
}

// DF is the column of the degrees of freedom, df.
func DF() Part {
	return number("df", "degrees of freedom behind the interval", otherPart, func(e *Estimate) *column.Float { return &e.DF })
}

func number(name, about string, of partKind, at func(*Estimate) *column.Float) Part {
	return Part{column.Field{Name: name, Form: column.Number, About: about}, of, func(e *Estimate) any { return at(e) }}
}

// In returns the part with a unit of its own, such as days for the standard error
// of a day.
func (p Part) In(unit string) Part {
	p.field.Unit = unit
	return p
}

// Says returns the part with a description of its own.
func (p Part) Says(about string) Part {
	p.field.About = about
	return p
}
