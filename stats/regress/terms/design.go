package terms

import (
	"fmt"
	"strings"
)

// Design is the matrix of a model: a row for each row of the frame and a
// column for each coefficient.
type Design struct {
	Rows, Columns int
	X             []float64 // row after row
	Of            []Column

	model Model
	frame Frame // without values
}

// Column says what a coefficient is of.
type Column struct {
	Term  int // index in the model; -1 for the constant
	Parts []Part
}

// Part is a level of a factor, or a number, where Level is "".
type Part struct{ Variable, Level string }

// String names a column: "mode host-associated, tree birch"; "constant".
func (c Column) String() string {
	if c.Term < 0 {
		return "constant"
	}
	parts := make([]string, len(c.Parts))
	for i, p := range c.Parts {
		parts[i] = strings.TrimSpace(p.Variable + " " + p.Level)
	}
	return strings.Join(parts, ", ")
}

// Point is a place where a model is asked: a level of each factor and a value
// of each number in it.
type Point struct {
	Level map[string]int
	Value map[string]float64
}

// factor is a number or a factor within a column.
type factor struct {
	variable int // index to Factors, or to Numbers where level < 0
	level    int
}

// Design returns the matrix of the model. It panics if a term names a variable
// that the frame lacks, if a variable does not have a value for every row, or
// if a row has a level that its factor lacks.
func (f Frame) Design(m Model) *Design {
	f.check()
	products := [][]factor{nil}
	d := &Design{Rows: f.Rows, Of: []Column{{Term: -1}}, model: m}
	for i, t := range m {
		for _, p := range f.products(m, t) {
			products = append(products, p)
			d.Of = append(d.Of, f.column(i, p))
		}
	}
	d.Columns = len(products)
	d.frame = f.bare()
	d.X = make([]float64, d.Rows*d.Columns)
	for i := range f.Rows {
		f.fill(d.X[i*d.Columns:(i+1)*d.Columns], products, func(v int) int { return f.Factors[v].Of[i] }, func(v int) float64 { return f.Numbers[v].Of[i] })
	}
	return d
}

// Columns is the number of columns that [Frame.Design] would give the model.
func (f Frame) Columns(m Model) int {
	n := 1
	for _, t := range m {
		n += len(f.products(m, t))
	}
	return n
}

func (f Frame) check() {
	for _, v := range f.Numbers {
		if len(v.Of) != f.Rows {
			panic("terms: slice length mismatch: " + v.Name)
		}
	}
	for _, v := range f.Factors {
		if len(v.Of) != f.Rows {
			panic("terms: slice length mismatch: " + v.Name)
		}
		for _, level := range v.Of {
			if level < 0 || level >= len(v.Levels) {
				panic(fmt.Sprintf("terms: %s has no level %d", v.Name, level))
			}
		}
	}
}

// bare is the frame without the values of its rows.
func (f Frame) bare() Frame {
	b := Frame{}
	for _, v := range f.Factors {
		b.Factors = append(b.Factors, Factor{Name: v.Name, Levels: v.Levels})
	}
	for _, v := range f.Numbers {
		b.Numbers = append(b.Numbers, Number{Name: v.Name})
	}
	return b
}

// products are the columns of a term, the levels of its first variable
// changing fastest.
func (f Frame) products(m Model, t Term) [][]factor {
	all := [][]factor{nil}
	for _, name := range t {
		own := f.levels(name, m.Has(without(t, name)))
		var next [][]factor
		for _, o := range own {
			for _, p := range all {
				next = append(next, append(append([]factor{}, p...), o))
			}
		}
		all = next
	}
	return all
}

func without(t Term, name string) Term {
	var rest Term
	for _, own := range t {
		if own != name {
			rest = append(rest, own)
		}
	}
	return rest
}

// levels are those of a factor that have a column, or the number itself.
func (f Frame) levels(name string, based bool) []factor {
	for i, v := range f.Factors {
		if v.Name != name {
			continue
		}
		var list []factor
		for level := range v.Levels {
			if !based || level > 0 {
				list = append(list, factor{i, level})
			}
		}
		return list
	}
	for i, v := range f.Numbers {
		if v.Name == name {
			return []factor{{i, -1}}
		}
	}
	panic("terms: no variable is named " + name)
}

func (f Frame) column(term int, product []factor) Column {
	c := Column{Term: term}
	for _, p := range product {
		if p.level < 0 {
			c.Parts = append(c.Parts, Part{Variable: f.Numbers[p.variable].Name})
			continue
		}
		v := f.Factors[p.variable]
		c.Parts = append(c.Parts, Part{v.Name, v.Levels[p.level]})
	}
	return c
}

// fill writes the row that has the given levels and values.
func (f Frame) fill(dst []float64, products [][]factor, level func(int) int, value func(int) float64) {
	for j, product := range products {
		x := 1.0
		for _, p := range product {
			switch {
			case p.level < 0:
				x *= value(p.variable)
			case level(p.variable) != p.level:
				x = 0
			}
			if x == 0 {
				break
			}
		}
		dst[j] = x
	}
}

// Row returns the row of the matrix at a point. It panics if the point lacks a
// variable of the model.
func (d *Design) Row(at Point) []float64 {
	products := [][]factor{nil}
	for _, t := range d.model {
		products = append(products, d.frame.products(d.model, t)...)
	}
	row := make([]float64, d.Columns)
	d.frame.fill(row, products, func(v int) int {
		level, ok := at.Level[d.frame.Factors[v].Name]
		if !ok {
			panic("terms: the point has no level of " + d.frame.Factors[v].Name)
		}
		return level
	}, func(v int) float64 {
		value, ok := at.Value[d.frame.Numbers[v].Name]
		if !ok {
			panic("terms: the point has no value of " + d.frame.Numbers[v].Name)
		}
		return value
	})
	return row
}

// Term is term i of the model.
func (d *Design) Term(i int) Term { return d.model[i] }

// Model is the model of the matrix.
func (d *Design) Model() Model { return d.model }

// At is row i of the matrix.
func (d *Design) At(i int) []float64 { return d.X[i*d.Columns : (i+1)*d.Columns] }
