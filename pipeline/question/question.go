// Package question says what a question of the report is: something that is
// asked of the field data and answered with tables and sections.
//
// A package below this one is one question. It exports its Answer and a function
// Ask that finds it, and imports no other question: what it needs of another comes
// through [Known]. Package pipeline has the list of all, each after those whose
// answers it needs. Writing tables, drawing, the report, the page of columns and
// the list of warnings are loops over it.
package question

import (
	"context"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Answer is what a question found. Its zero value is that of a survey that says
// nothing on the question: tables without rows, and no section with a finding.
type Answer interface {
	// Tables are the result tables, in the order they are listed.
	Tables() []result.Table
	// Sections are the question's parts of the report, with their figures, in
	// the units given.
	Sections(page.Units) []page.Section
}

// Question is something that is asked of the field data.
type Question struct {
	// None is the answer of a survey that says nothing.
	None Answer
	// Ask finds the answer. It puts what other questions need into what is known.
	Ask func(context.Context, *fieldwork.Season, *Known) (Answer, error)
	// Needs are the look-ups that Ask uses, Gives those that it sets.
	Needs, Gives LookUps
	// Warnings are the types that rows of its tables may carry, beside those of
	// packages stats and fieldwork.
	Warnings []*stats.WarningType
}

// New makes a question of the function that finds its answer, and of the types of
// warnings that its rows may carry.
func New[A Answer](ask func(context.Context, *fieldwork.Season, *Known) (A, error), warnings ...stats.WarningTypes) Question {
	var none A
	q := Question{
		None: none,
		Ask: func(ctx context.Context, s *fieldwork.Season, known *Known) (Answer, error) {
			return ask(ctx, s, known)
		},
	}
	for _, list := range warnings {
		q.Warnings = append(q.Warnings, list...)
	}
	return q
}

// Needing returns the question as one that uses some look-ups.
func (q Question) Needing(some LookUps) Question {
	q.Needs = some
	return q
}

// Giving returns the question as one that sets some look-ups.
func (q Question) Giving(some LookUps) Question {
	q.Gives = some
	return q
}
