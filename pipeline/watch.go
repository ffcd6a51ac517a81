package pipeline

import "ashtally/pipeline/survey"

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
