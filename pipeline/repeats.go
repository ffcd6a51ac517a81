package pipeline

import (
	"fmt"

	"ashtally/pipeline/survey"
)

// repeats makes one fault of many equal faults in a row: the first, and how many
// more there were. A quote that is never closed may make a fault of each of five
// million lines. A few equal faults are told each, with its own line.
type repeats struct {
	tell func(survey.Fault)
	runs []repeat
}

// repeat is a fault and those like it that followed.
type repeat struct {
	first survey.Fault
	lines [fewRepeats]int64 // of the first ones
	n     int
	last  int64 // line
}

// fewRepeats is how many equal faults are told each.
const fewRepeats = 3

// openRuns is how many different faults may recur beside each other: each row
// may have a few.
const openRuns = 8

// fault takes the next fault. What it takes is told in the order of first lines,
// once it no longer recurs.
func (r *repeats) fault(f survey.Fault) {
	for i := range r.runs {
		run := &r.runs[i]
		if sameBut(f, run.first) {
			run.add(f.Line)
			return
		}
	}
	if len(r.runs) == openRuns {
		r.end(1)
	}
	run := repeat{first: f}
	run.add(f.Line)
	r.runs = append(r.runs, run)
}

func (r *repeat) add(line int64) {
	if r.n < fewRepeats {
		r.lines[r.n] = line
	}
	r.n++
	r.last = line
}

// tell tells a few faults each, and of many the first.
func (r *repeat) tell(tell func(survey.Fault)) {
	f := r.first
	if r.n > fewRepeats {
		f.Problem += fmt.Sprintf("; %d more are like this one, the last on line %d", r.n-1, r.last)
		tell(f)
		return
	}
	for _, f.Line = range r.lines[:r.n] {
		tell(f)
	}
}

// sameBut reports whether a fault is the other but for its line.
func sameBut(f, other survey.Fault) bool {
	f.Line = other.Line
	return f == other
}

// flush tells what was held back.
func (r *repeats) flush() { r.end(len(r.runs)) }

func (r *repeats) end(n int) {
	for i := range r.runs[:n] {
		r.runs[i].tell(r.tell)
	}
	r.runs = append(r.runs[:0], r.runs[n:]...)
}
