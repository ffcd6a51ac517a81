package crop

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats/crop"
)

// massRows are the mean masses of a fruit body: of all kinds, of each taxon, and
// of each mode of it.
func (e *estimator) massRows() []MassRow {
	if len(e.Kinds) == 0 {
		return nil
	}
	strata := e.Part(nil).Strata
	rows := []MassRow{e.massRow(result.All, result.All, strata)}
	last := ""
	for _, k := range e.Kinds {
		if k.Taxon != last {
			last = k.Taxon
			rows = append(rows, e.massRow(k.Taxon, result.All, strata))
		}
		rows = append(rows, e.massRow(k.Taxon, k.Mode, strata))
	}
	return rows
}

func (e *estimator) massRow(taxon, mode string, strata []crop.Stratum) MassRow {
	var kinds []int
	for g, k := range e.Kinds {
		if (taxon == result.All || k.Taxon == taxon) && (mode == result.All || k.Mode == mode) {
			kinds = append(kinds, g)
		}
	}
	var finds, weighed, massG float64
	for _, s := range strata {
		for _, u := range s.Units {
			for _, g := range kinds {
				finds, weighed, massG = finds+u.Count[g], weighed+u.Weighed[g], massG+u.MassG[g]
			}
		}
	}
	m := crop.Mass(strata, kinds, e.Settings.Confidence)
	row := MassRow{Taxon: taxon, Mode: mode, Finds: column.Count(int(finds)), Weighed: column.Count(int(weighed)), Sites: column.Count(m.N),
		Grams: result.Of(m), Warnings: m.Warnings}
	if weighed > 0 {
		row.MassG = column.Finite(massG)
	}
	return row
}
