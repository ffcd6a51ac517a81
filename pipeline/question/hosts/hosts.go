// Package hosts is the question of whether finds stand with host trees: which hosts
// they select, how near they stand to live hosts, and how far that depends on who or
// what calls a find host-associated.
package hosts

import (
	"context"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
)

// Answer is what each method says of finds and hosts.
type Answer struct {
	selection   []SelectionRow
	association []AssociationRow
	agreement   []AgreementRow
	sensitivity []SensitivityRow
}

// Tables are results/selection, association, agreement and sensitivity.
func (a Answer) Tables() []result.Table {
	return []result.Table{
		selectionTable.Of(a.selection), associationTable.Of(a.association),
		agreementTable.Of(a.agreement), sensitivityTable.Of(a.sensitivity),
	}
}

// Ask compares finds with the trees and reference points of their units.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	seasons := s.UnitSeasons()
	a := Answer{sensitivity: sensitivities(s, seasons)}
	for _, method := range s.DrawnMethods() {
		for _, p := range s.Parts(method, seasons) {
			finds := s.HostDistances(p.Units)
			a.selection = append(a.selection, selections(s, p)...)
			a.association = append(a.association, associations(s, p, finds)...)
			a.agreement = append(a.agreement, agreement(s, p, finds))
		}
	}
	fieldwork.InFileOrder(s, a.selection, func(r *SelectionRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s, a.association, func(r *AssociationRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s, a.agreement, func(r *AgreementRow) (string, string) { return r.Method, r.Stratum })
	return a, nil
}
