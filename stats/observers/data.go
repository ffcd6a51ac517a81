package observers

import (
	"errors"
	"fmt"
	"math"
)

// The reasons for which there is no fit.
var (
	// ErrNoPair means that no find was made where two searched and it is known who saw it.
	ErrNoPair = errors.New("observers: no find was made where two or more searched")
	// ErrNoneTwice means that no find was seen by two.
	ErrNoneTwice = errors.New("observers: no find was seen by two observers")
	// ErrNotConverged means that the likelihood has no maximum that could be reached.
	ErrNotConverged = errors.New("observers: the likelihood found no maximum")
	// ErrModel means that a model asks for what the data do not have.
	ErrModel = errors.New("observers: model does not suit the data")
)

// Data are finds with who searched for them and who saw them. All slices have
// an entry for each find, unless they are nil.
type Data struct {
	Observers int      // how many there are, numbered from 0
	Names     []string // theirs; nil: "observer 1" and so on

	// Searched lists who searched independently when the find was made, each
	// once. Where one searched alone the find tells nothing of his eyes, but it
	// is made up for.
	Searched [][]int
	// Saw says of each of Searched whether he saw the find. Where none did
	// nobody wrote it down: the find is made up for, and tells nothing.
	Saw [][]bool
	// Over lists who ever searched its ground on that day, a second search of
	// the same observer a second time: what it takes to be missed. Nil: Searched.
	Over [][]int
	// Times is how many finds the entry stands for. Nil: 1.
	Times []float64
	// Size is the fruit bodies in each find. Nil: 1.
	Size []float64

	Covariates []Covariate
}

// Covariate is something that the chance to see a find may depend on.
type Covariate struct {
	Name string
	// Values is a number for each find; with Levels, the place of its level.
	Values []float64
	Levels []string // of a covariate that takes one of a few words; nil for a number
	// Always has every model hold it, as a distance from the line must be held.
	Always bool
	// Apart lets models give each observer a slope of his own.
	Apart bool
}

func (d Data) name(j int) string {
	if d.Names == nil {
		return fmt.Sprintf("observer %d", j+1)
	}
	return d.Names[j]
}

func (d Data) len() int { return len(d.Searched) }

func (d Data) times(i int) float64 {
	if d.Times == nil {
		return 1
	}
	return d.Times[i]
}

func (d Data) size(i int) float64 {
	if d.Size == nil {
		return 1
	}
	return d.Size[i]
}

func (d Data) over(i int) []int {
	if d.Over == nil {
		return d.Searched[i]
	}
	return d.Over[i]
}

// tells reports whether a find tells of the observers' eyes.
func (d Data) tells(i int) bool { return len(d.Searched[i]) > 1 && d.seenBy(i) > 0 }

func (d Data) seenBy(i int) int {
	n := 0
	for _, saw := range d.Saw[i] {
		if saw {
			n++
		}
	}
	return n
}

// check panics on what only a programmer can have got wrong.
func (d Data) check() {
	n := d.len()
	if d.Names != nil && len(d.Names) != d.Observers {
		panic("observers: slice length mismatch")
	}
	if len(d.Saw) != n || d.Over != nil && len(d.Over) != n || d.Times != nil && len(d.Times) != n || d.Size != nil && len(d.Size) != n {
		panic("observers: slice length mismatch")
	}
	for i := range n {
		if len(d.Saw[i]) != len(d.Searched[i]) || len(d.Searched[i]) == 0 || len(d.over(i)) == 0 {
			panic("observers: a find without an observer, or slice length mismatch")
		}
		for _, list := range [][]int{d.Searched[i], d.over(i)} {
			for _, j := range list {
				if j < 0 || j >= d.Observers {
					panic("observers: there is no such observer")
				}
			}
		}
		if !(d.times(i) > 0) || !(d.size(i) > 0) || math.IsInf(d.times(i)*d.size(i), 1) {
			panic("observers: times or size is not positive")
		}
	}
	for _, c := range d.Covariates {
		c.check(n)
	}
}

func (c Covariate) check(n int) {
	if len(c.Values) != n {
		panic("observers: slice length mismatch")
	}
	for _, v := range c.Values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			panic(fmt.Sprintf("observers: %s is not a number", c.Name))
		}
		if c.Levels != nil && (v < 0 || v >= float64(len(c.Levels)) || v != math.Trunc(v)) {
			panic(fmt.Sprintf("observers: %s has no such level", c.Name))
		}
	}
}

// paired tells which observers were ever held against another by a find.
func (d Data) paired() []bool {
	paired := make([]bool, d.Observers)
	for i := range d.Searched {
		if d.tells(i) {
			for _, j := range d.Searched[i] {
				paired[j] = true
			}
		}
	}
	return paired
}

// counts are what an observer saw where others searched too.
type counts struct {
	seen, alone, others, shared float64 // by him; by him alone; by others; by both him and another
}

func (d Data) counts(j int) counts {
	var c counts
	for i := range d.Searched {
		if !d.tells(i) {
			continue
		}
		him := false
		at := -1
		for k, o := range d.Searched[i] {
			if o == j {
				at, him = k, d.Saw[i][k]
			}
		}
		if at < 0 {
			continue
		}
		n, w := d.seenBy(i), d.times(i)
		if him {
			c.seen += w
			n--
		}
		switch {
		case n == 0:
			c.alone += w
		case him:
			c.shared += w
			c.others += w
		default:
			c.others += w
		}
	}
	return c
}
