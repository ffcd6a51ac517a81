package report

import (
	"slices"

	"ashtally/stats"
)

// answer is what the results say to one question.
type answer struct {
	Question string
	Says     []claim
}

// claim is a sentence or two: what is claimed, and what it rests on.
type claim struct{ Lead, Rest string }

func (c claim) String() string { return c.Lead + c.Rest }

// Headlines returns the first of the answers to each question. more counts the rest.
func Headlines(p Page) (says []string, more int) {
	for _, a := range newWriter(p).answers() {
		for j, c := range a.Says {
			if j == 0 {
				says = append(says, c.String())
			} else {
				more++
			}
		}
	}
	return says, more
}

func (w writer) answers() []answer {
	var list []answer
	add := func(question string, says []claim) {
		if len(says) > 0 {
			list = append(list, answer{question, says})
		}
	}
	add("How much was missed?", w.missedAnswers())
	return list
}

// reason is why a figure or its interval is missing, as a sentence of its own.
func reason(warnings []stats.Warning) string {
	if len(warnings) == 0 {
		return "The results do not say why."
	}
	first := warnings[0]
	if i := slices.IndexFunc(warnings, func(w stats.Warning) bool { return kindOf(w.Code).rank == figureRank }); i >= 0 {
		first = warnings[i]
	}
	return sentence(words(first.Text))
}
