package pipeline

import (
	"sync"

	"ashtally/pipeline/survey"
)

// Watch is told how a run goes. Any of its functions may be nil.
type Watch struct {
	Stage    func(name string)
	Progress func(done, total int64)
	Fault    func(survey.Fault)
	Notice   func(survey.Fault)
	Question func(survey.Question) // a doubt about the sheets
}

func (w Watch) stage(name string) {
	if w.Stage != nil {
		w.Stage(name)
	}
}

func (w Watch) fault(f survey.Fault) {
	if w.Fault != nil {
		w.Fault(f)
	}
}

func (w Watch) question(q survey.Question) {
	if w.Question != nil {
		w.Question(q)
	}
}

func (w Watch) notice(f survey.Fault) {
	if w.Notice != nil {
		w.Notice(f)
	}
}

// parts tell of the progress of the parts of a stage that take about as long, done one
// by one or at once; each nil where nobody watches. They may be called by several
// goroutines, and what is told never goes back.
func (w Watch) parts(n int) []func(done, total int64) {
	tell := make([]func(done, total int64), n)
	if w.Progress == nil {
		return tell
	}
	const steps = 1000 // of a part
	var mu sync.Mutex
	reached, sum := make([]int64, n), int64(0)
	for i := range tell {
		tell[i] = func(done, total int64) {
			mu.Lock()
			defer mu.Unlock()
			if now := steps * done / max(total, 1); now > reached[i] {
				sum += now - reached[i]
				reached[i] = now
				w.Progress(sum, int64(n)*steps)
			}
		}
	}
	return tell
}

// counter tells of things that are done one by one, at once or not.
func (w Watch) counter(total int) func() {
	if w.Progress == nil {
		return func() {}
	}
	var mu sync.Mutex
	done := 0
	return func() {
		mu.Lock()
		defer mu.Unlock()
		done++
		w.Progress(int64(done), int64(total))
	}
}
