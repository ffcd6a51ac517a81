package report

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/stats"
)

// hostUses says which methods about hosts stand behind the figures of a run.
type hostUses struct {
	Selection, Near, Agreement, Sensitivity bool
	Offered                                 string
}

func (w writer) hostUses() hostUses {
	r := w.page.Results
	return hostUses{
		Selection:   slices.ContainsFunc(r.Selection, func(s analyze.SelectionRow) bool { return s.Ratio.Value.Known }),
		Near:        slices.ContainsFunc(r.Association, func(a analyze.AssociationRow) bool { return a.Figure.Value.Known }),
		Agreement:   slices.ContainsFunc(r.Agreement, func(a analyze.AgreementRow) bool { return a.Observed.Known }),
		Sensitivity: slices.ContainsFunc(r.Sensitivity, func(s analyze.SensitivityRow) bool { return s.Hosts.Value > 0 }),
		Offered:     offered(w.page.Settings),
	}
}

// cite names the sources of the methods in use.
func (u hostUses) cite(cite func(used bool, keys ...string)) {
	cite(u.Selection, "clopper", "manly", "neu", "raoscott")
	cite(u.Near, "davison", "kaplan", "myllymaki")
	cite(u.Agreement, "cohen", "fleiss")
}

// eachHostWarned goes through the rows of the tables about hosts in their order.
func (w writer) eachHostWarned(take func(table string, where func() string, warnings []stats.Warning)) {
	r := w.page.Results
	for _, row := range r.Selection {
		take(analyze.SelectionTable.Name, func() string { return where(row.Method, row.Stratum, row.Years, "", row.Tree, "") }, row.Warnings)
	}
	for _, row := range r.Association {
		take(analyze.AssociationTable.Name, func() string { return where(row.Method, row.Stratum, row.Years, row.Mode, "", "") }, row.Warnings)
	}
	for _, row := range r.Agreement {
		take(analyze.AgreementTable.Name, func() string { return where(row.Method, row.Stratum, row.Years, "", "", "") }, row.Warnings)
	}
	for _, row := range r.Sensitivity {
		take(analyze.SensitivityTable.Name, func() string { return where(row.Method, "", "", row.Rule, "", "") }, row.Warnings)
	}
}
