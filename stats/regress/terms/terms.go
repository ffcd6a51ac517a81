// Package terms is the language in which a count model is written: factors,
// numbers and their products, as plain Go values, and the matrix they stand
// for.
//
//	model := terms.Model{{"mode"}, {"tree"}, {"mode", "tree"}}
//
// has an effect of the mode, one of the tree, and what the two have together
// beyond that. Every model has a constant.
//
// # Coding
//
// The first level of a factor is its base. Within a term, a factor has a
// column for each level but the base if the model also holds the term without
// this factor, and for each level if it does not: so {"sex"}, {"sex", "age"}
// gives ages their own differences within each sex. This is the rule of
// Chambers & Hastie (1992), Statistical Models in S, section 2.4.1. The space
// that the columns span, and with it every density and every test of
// stats/regress, does not depend on which level is the base.
package terms

import "strings"

// Frame is the variables of a model, each with a value for every row.
type Frame struct {
	Rows    int
	Factors []Factor
	Numbers []Number
}

// Factor is a variable with few values, its levels; Levels[0] is the base.
type Factor struct {
	Name   string
	Levels []string
	Of     []int // level of each row, an index to Levels
}

// Number is a variable that counts or measures.
type Number struct {
	Name string
	Of   []float64
}

// Term is the product of the variables it names; one name is a main effect.
type Term []string

// String writes a term as "mode:tree".
func (t Term) String() string { return strings.Join(t, ":") }

// Has reports whether a variable is in the term.
func (t Term) Has(name string) bool {
	for _, own := range t {
		if own == name {
			return true
		}
	}
	return false
}

// Within reports whether every variable of t is in other too.
func (t Term) Within(other Term) bool {
	for _, name := range t {
		if !other.Has(name) {
			return false
		}
	}
	return true
}

// Same reports whether two terms hold the same variables, in any order.
func (t Term) Same(other Term) bool { return len(t) == len(other) && t.Within(other) }

// Model is the terms beside the constant, in the order of their columns. Where
// two terms cannot be told apart, the later one gives way.
type Model []Term

// Has reports whether a term, its variables in any order, is in the model. The
// empty term, the constant, always is.
func (m Model) Has(t Term) bool {
	if len(t) == 0 {
		return true
	}
	for _, own := range m {
		if own.Same(t) {
			return true
		}
	}
	return false
}

// Without returns the model less one term.
func (m Model) Without(t Term) Model {
	var rest Model
	for _, own := range m {
		if !own.Same(t) {
			rest = append(rest, own)
		}
	}
	return rest
}

// Under returns the model that a term is judged in: without the terms that
// hold all of its variables and more, for these would take its effect over.
func (m Model) Under(t Term) Model {
	var rest Model
	for _, own := range m {
		if own.Same(t) || !t.Within(own) {
			rest = append(rest, own)
		}
	}
	return rest
}

// Crossed returns the main effects of the variables and all their products of
// up to order of them, the shorter terms first.
func Crossed(order int, names ...string) Model {
	var m Model
	level := []Term{{}}
	for range min(order, len(names)) {
		var next []Term
		for _, t := range level {
			for _, name := range names[after(names, t):] {
				next = append(next, append(append(Term{}, t...), name))
			}
		}
		m = append(m, next...)
		level = next
	}
	return m
}

// after is the place behind the last variable of t among names.
func after(names []string, t Term) int {
	if len(t) == 0 {
		return 0
	}
	for i, name := range names {
		if name == t[len(t)-1] {
			return i + 1
		}
	}
	return len(names)
}
