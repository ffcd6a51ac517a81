// Package hosts is the question of whether finds stand with host trees: which hosts
// they select, how near they stand to live hosts, and how far that depends on who or
// what calls a find host-associated.
package hosts

import (
	"context"
	"reflect"
	"slices"

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
	a, offered := Answer{sensitivity: sensitivities(s, seasons)}, offersOf(s)
	for _, method := range s.DrawnMethods() {
		var asked []partRows
		for _, p := range s.Parts(method, seasons) {
			r, known := again(asked, p)
			if !known {
				r = rowsOf(s, p, offered)
			}
			asked = append(asked, r)
			a.selection = append(a.selection, r.selection...)
			a.association = append(a.association, r.association...)
			a.agreement = append(a.agreement, r.agreement)
		}
	}
	fieldwork.InFileOrder(s, a.selection, func(r *SelectionRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s, a.association, func(r *AssociationRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s, a.agreement, func(r *AgreementRow) (string, string) { return r.Method, r.Stratum })
	return a, nil
}

// partRows are the rows of a part of the survey area.
type partRows struct {
	part        fieldwork.Part
	selection   []SelectionRow
	association []AssociationRow
	agreement   AgreementRow
}

func rowsOf(s *fieldwork.Season, p fieldwork.Part, offered offers) partRows {
	finds := s.HostDistances(p.Units)
	return partRows{p, selections(s, p, offered), associations(s, p, finds), agreement(s, p, finds)}
}

// again are the rows of a part whose units are those of one that was asked before, as a
// class of years is that only one stratum is in.
func again(asked []partRows, p fieldwork.Part) (partRows, bool) {
	i := slices.IndexFunc(asked, func(r partRows) bool {
		return slices.Equal(r.part.Units, p.Units) && reflect.DeepEqual(r.part.Design, p.Design) && reflect.DeepEqual(r.part.Warnings, p.Warnings)
	})
	if i < 0 || len(modes(p)) > 1 {
		return partRows{}, false
	}
	r := asked[i]
	r.part, r.selection = p, slices.Clone(r.selection)
	r.association = slices.DeleteFunc(slices.Clone(r.association), func(a AssociationRow) bool { return a.Mode != result.All })
	for k := range r.selection {
		r.selection[k].Stratum, r.selection[k].Years = p.Stratum, p.Years
	}
	for k := range r.association {
		r.association[k].Stratum, r.association[k].Years = p.Stratum, p.Years
	}
	r.agreement.Stratum, r.agreement.Years = p.Stratum, p.Years
	return r, true
}
