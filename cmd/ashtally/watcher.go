package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"ashtally/pipeline"
	"ashtally/pipeline/survey"
)

// watcher tells a person on stderr how the work goes. On a terminal it shows a
// bar once the work has lasted over a second; elsewhere it names only what
// must be known.
type watcher struct {
	out    io.Writer
	faults io.Writer // where faults are listed
	// questions is where all questions are listed; nil = the first few, with the
	// progress.
	questions io.Writer
	asked     int
	bar       *progressbar.ProgressBar
	stage     string
	began     time.Time
	once      sync.Once
}

func newWatcher(stderr io.Writer) *watcher {
	w := &watcher{out: stderr, faults: stderr, began: time.Now()}
	if f, ok := stderr.(*os.File); ok && term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb" {
		w.bar = progressbar.NewOptions64(1,
			progressbar.OptionSetWriter(stderr),
			progressbar.OptionSetWidth(30),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionClearOnFinish(),
			progressbar.OptionSetPredictTime(false),
		)
	}
	return w
}

func (w *watcher) watch() pipeline.Watch {
	return pipeline.Watch{
		Fault:  func(f survey.Fault) { w.line(w.faults, f.String()) },
		Notice: func(f survey.Fault) { w.line(w.out, "note: "+f.String()) },
		Question: func(q survey.Question) {
			w.asked++
			switch {
			case w.questions != nil:
				w.line(w.questions, "question: "+q.String())
			case w.asked <= shownQuestions:
				w.line(w.out, "question: "+q.String())
			}
		},
		Stage: func(name string) {
			w.stage = name
			w.progress(0, 1)
		},
		Progress: w.progress,
	}
}

// shownQuestions is how many questions a run shows; a check shows all.
const shownQuestions = 3

// moreQuestions says how many questions were not shown.
func (w *watcher) moreQuestions(dir string) {
	if more := w.asked - shownQuestions; more > 0 && w.questions == nil {
		w.line(w.out, fmt.Sprintf("question: %d more; ashtally check %s lists them", more, survey.Printable(dir)))
	}
}

// progress moves the bar; work that ends within a second never shows one.
func (w *watcher) progress(done, total int64) {
	if w.bar == nil || time.Since(w.began) < time.Second {
		return
	}
	w.bar.Describe(w.stage)
	w.bar.ChangeMax64(max(total, 1))
	w.bar.Set64(min(done, total))
}

func (w *watcher) line(to io.Writer, text string) {
	if w.bar != nil {
		w.bar.Clear()
	}
	fmt.Fprintln(to, wrapped(text, hanging, widthOf(to)))
}

// stop takes the bar off the screen.
func (w *watcher) stop() {
	w.once.Do(func() {
		if w.bar != nil {
			w.bar.Clear()
		}
	})
}
