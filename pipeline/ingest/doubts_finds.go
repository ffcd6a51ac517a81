package ingest

import (
	"fmt"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// doubtFind holds a find to what finds are, and to the others.
func doubtFind(l *line, row *survey.Find, u *unit) {
	if l.asker == nil {
		return
	}
	check := l.folder.Settings.Check
	n := float64(row.Count.Or(1))
	l.within(spreadKey{survey.OfCount, "count", ""}, column.Float{Value: n, Known: row.Count.Known}, 1, check.RowCount)
	if mass := (spreadKey{survey.OfMass, "mass_g", row.Taxon}); l.within(mass, row.MassG, n, check.BodyMassG) {
		l.compare(mass, row.MassG, n, true)
	}
	doubtTree(l, row.TreeDistanceM)
	l.compare(spreadKey{survey.LineDistance, "distance_m", ""}, row.DistanceM, 1, false)
	l.percentage("ground_cover_percent", row.GroundCoverPercent)
	inUnit(l, row, u)
	sameRow(l, row)
}

// doubtTree holds the distance to the nearest tree to its range and to the others.
func doubtTree(l *line, d column.Float) {
	if key := (spreadKey{survey.TreeDistance, "tree_distance_m", ""}); l.within(key, d, 1, l.folder.Settings.Check.TreeDistanceM) {
		l.compare(key, d, 1, false)
	}
}

// inUnit holds a position within a plot to the plot's reach: from a corner or an
// edge, no point of it is farther than its longest way through.
func inUnit(l *line, row *survey.Find, u *unit) {
	if u.reachM == 0 {
		return
	}
	// A tenth is left for the tape and the width of a fruit body.
	for _, c := range []struct {
		name string
		at   column.Float
	}{{"x_m", row.XM}, {"y_m", row.YM}} {
		if c.at.Known && math.Abs(c.at.Value) > 1.1*u.reachM {
			cell := l.figure(c.name, c.at, 1)
			l.ask(survey.InUnit, c.name, fmt.Sprintf("%s lies outside of the plot %s, which is %s from end to end",
				cell.shown(), phrase.Quote(u.name), cell.inHeader(u.reachM)),
				join(cell.guess(func(meant float64) bool { return math.Abs(meant) <= u.reachM/2 }), rightAsItIs))
		}
	}
}

// sameRow asks about a find that was entered twice, as far as can be told.
func sameRow(l *line, row *survey.Find) {
	measured := 0
	for _, v := range []column.Float{row.TreeDistanceM, row.DistanceM, row.MassG, row.XM, row.YM} {
		if v.Known {
			measured++
		}
	}
	d := l.doubts
	of, n := d.repeats.Add(l.digest, measured)
	if len(d.rowSpots) < plausible.MostRows {
		d.rowSpots = append(d.rowSpots, l.spot())
	}
	switch {
	case n == 1:
		l.ask(survey.SameRow, "", "equals "+d.where(d.rowSpots[of])+", cell for cell", "was it entered twice? remove one of the two, or accept it in "+acceptedName)
	case n > 1:
		l.ask(survey.SameRow, "", fmt.Sprintf("is the last of %d rows that equal those from %s on, cell for cell", n,
			d.where(d.rowSpots[of])), "were they pasted twice? remove them, or accept it in "+acceptedName)
	}
}

// doubtStems holds the stems of a row to their basal area.
func doubtStems(l *line, row *survey.Tree) {
	if l.asker == nil {
		return
	}
	l.percentage("cover_percent", row.CoverPercent)
	if !row.BasalAreaM2.Known || !row.Stems.Known || row.Stems.Value == 0 || row.BasalAreaM2.Value == 0 {
		return
	}
	n := float64(row.Stems.Value)
	if key := (spreadKey{survey.OfStems, "basal_area_m2", ""}); l.within(key, row.BasalAreaM2, n, l.folder.Settings.Check.StemBasalAreaM2) {
		l.compare(key, row.BasalAreaM2, n, false)
	}
}
