package demo

import "ashtally/pipeline/survey"

// pens are the open files of a survey; those of a kind that it lacks are nil.
type pens struct {
	strata        *pen[survey.Stratum]
	plots         *pen[survey.Plot]
	transects     *pen[survey.Transect]
	visits        *pen[survey.Visit]
	finds         *pen[survey.Find] // in plots
	transectFinds *pen[survey.Find]
	trees         *pen[survey.Tree]
	points        *pen[survey.ReferencePoint]
}

// writeStrata writes strata.csv.
func (p *pens) writeStrata(strata []stratum) {
	for _, s := range strata {
		p.strata.write(survey.Stratum{Stratum: s.name, AreaHa: taped(s.areaHa), FireDate: s.fire, Severity: s.severity})
	}
}

// writeUnit draws what is left to draw of a unit and writes all its rows.
func (p *pens) writeUnit(w world, u *unit) {
	forest := u.newForest()
	finds := u.findRows(w, forest)
	p.visits.write(u.visitRows()...)
	if u.size.kind == "" {
		p.plots.write(u.plotRow())
		p.finds.write(finds...)
	} else {
		p.transects.write(u.transectRow())
		p.transectFinds.write(finds...)
	}
	if !u.isLine() { // from a line, no area to count stems in
		p.trees.write(u.treeRows(forest)...)
		p.points.write(u.pointRows(forest)...)
	}
}

// writeSquare writes all rows of an adaptive cluster plot.
func (p *pens) writeSquare(s searched) {
	p.visits.write(s.visitRows()...)
	p.plots.write(s.gridRow())
	p.finds.write(s.finds...)
	p.trees.write(s.treeRows(s.forest)...)
	p.points.write(s.pointRows(s.forest)...)
}

func (p *pens) flush() error {
	for _, f := range []interface{ flush() error }{p.strata, p.plots, p.transects, p.visits, p.finds, p.transectFinds, p.trees, p.points} {
		if err := f.flush(); err != nil {
			return err
		}
	}
	return nil
}
