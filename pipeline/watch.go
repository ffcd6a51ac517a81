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

// part tells of the progress of one of several parts of a stage that take about as
// long; nil where nobody watches. It begins with telling that those before are done.
func (w Watch) part(i, parts int) func(done, total int64) {
	if w.Progress == nil {
		return nil
	}
	const steps = 1000 // of a part
	tell := func(done, total int64) {
		w.Progress(int64(i)*steps+steps*done/max(total, 1), int64(parts)*steps)
	}
	tell(0, 1)
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
