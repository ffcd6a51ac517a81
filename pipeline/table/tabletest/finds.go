// Package tabletest makes up rows to measure with.
package tabletest

import (
	"math/rand/v2"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Finds returns n made-up rows such as a crew records: few names, lengths to
// the centimetre, a third of the cells that may be empty empty. The same n
// gives the same rows.
func Finds(n int) []survey.Find {
	r := rand.New(rand.NewPCG(1, 1))
	pick := func(from ...string) string { return from[r.IntN(len(from))] }
	maybe := func(most int, scale float64) column.Float {
		return column.Float{Value: float64(r.IntN(most)) / scale, Known: r.IntN(3) > 0}
	}
	rows := make([]survey.Find, n)
	for i := range rows {
		rows[i] = survey.Find{
			Row:           survey.Row{Place: survey.Place{File: "finds.csv", Line: int64(i + 2)}},
			Unit:          "P" + strconv.Itoa(i/50),
			Date:          column.DateFromDays(int32(22000 + i/5000%60)),
			Pass:          column.Count(1),
			Taxon:         pick("black morel", "grey morel", "half-free morel"),
			Count:         column.Count(1 + r.IntN(5)),
			Mode:          pick(survey.Saprotrophic, survey.HostAssociated, survey.Undetermined),
			Tree:          pick("paper birch", "white spruce", "black spruce", "quaking aspen", ""),
			TreeDistanceM: maybe(900, 100),
			TreeAlive:     column.Bool{Value: r.IntN(4) == 0, Known: r.IntN(3) > 0},
			DistanceM:     maybe(500, 100),
			SeenBy:        pick("AK", "BM", "AK;BM"),
			MassG:         maybe(900, 10),
			Hollow:        pick("yes", "", "unchecked"),
			Harvested:     column.Bool{Value: true, Known: r.IntN(2) == 0},
			XM:            maybe(2000, 100),
			YM:            maybe(2000, 100),
		}
	}
	return rows
}

// FindsOptions are the options of a builder of these rows.
func FindsOptions() table.Options[survey.Find] {
	return table.Options[survey.Find]{
		Source: func(f *survey.Find) (string, int64) { return f.File, f.Line },
	}
}
