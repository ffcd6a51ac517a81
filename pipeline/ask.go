package pipeline

import (
	"context"
	"runtime"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
)

// ask asks every question of a survey, as many at once as there are cores, each when the
// look-ups are there that it needs, and has each answer taken as it comes, by the place
// of its question.
func ask(ctx context.Context, s *fieldwork.Season, watch Watch, take func(i int, a question.Answer)) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	var (
		known    question.Known
		lacking  question.LookUps // that no question has set yet
		waiting  []int
		running  int
		replies  = make(chan reply)
		progress = watch.parts(len(questions))
		failure  error // the first
	)
	for i, q := range questions {
		waiting, lacking = append(waiting, i), lacking|q.Gives
	}
	for len(waiting) > 0 || running > 0 {
		next := slices.IndexFunc(waiting, func(i int) bool { return questions[i].Needs&lacking == 0 })
		if next >= 0 && running < runtime.GOMAXPROCS(0) {
			r := reply{question: waiting[next]}
			waiting = slices.Delete(waiting, next, next+1)
			r.known.Copy(&known, questions[r.question].Needs)
			part := *s
			part.Progress = progress[r.question]
			go func() { replies <- r.ask(ctx, &part) }()
			running++
			continue
		}
		r := <-replies
		running--
		if r.err == nil {
			take(r.question, r.answer)
		} else if failure == nil {
			failure, waiting = r.err, nil
			stop()
		}
		known.Copy(&r.known, questions[r.question].Gives)
		lacking &^= questions[r.question].Gives
	}
	return failure
}

// reply is the answer to a question, with the look-ups that it needs and gives.
type reply struct {
	question int
	known    question.Known
	answer   question.Answer
	err      error
}

func (r reply) ask(ctx context.Context, s *fieldwork.Season) reply {
	r.answer, r.err = questions[r.question].Ask(ctx, s, &r.known)
	if tell := s.Progress; tell != nil {
		tell(1, 1)
	}
	return r
}
