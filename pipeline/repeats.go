package pipeline

import (
	"fmt"

	"ashtally/pipeline/survey"
)

// repeats makes one fault of equal faults in a row: the first, and how many more
// there were. A quote that is never closed may make a fault of each of five
// million lines.
type repeats struct {
	tell func(survey.Fault)
	runs []repeat
}

// repeat is a fault and those like it that followed.
type repeat struct {
	first survey.Fault
	more  int
	last  int64 // line
}

// openRuns is how many different faults may recur beside each other: each row
// may have a few.
const openRuns = 8

// fault takes the next fault. What it takes is told in the order of first lines,
// once it no longer recurs.
func (r *repeats) fault(f survey.Fault) {
	for i := range r.runs {
		run := &r.runs[i]
		if sameBut(f, run.first) {
			run.more++
			run.last = f.Line
			return
		}
	}
	if len(r.runs) == openRuns {
		r.end(1)
	}
	r.runs = append(r.runs, repeat{first: f})
}

// sameBut reports whether a fault is the other but for its line.
func sameBut(f, other survey.Fault) bool {
	f.Line = other.Line
	return f == other
}

// flush tells what was held back.
func (r *repeats) flush() { r.end(len(r.runs)) }

func (r *repeats) end(n int) {
	for _, run := range r.runs[:n] {
		if run.more > 0 {
			run.first.Problem += fmt.Sprintf("; %d more are like this one, the last on line %d", run.more, run.last)
		}
		r.tell(run.first)
	}
	r.runs = append(r.runs[:0], r.runs[n:]...)
}
