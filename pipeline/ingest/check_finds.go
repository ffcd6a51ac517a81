package ingest

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// find checks a row of finds.
func (r *reading) find(l *line, row *survey.Find) {
	u := l.unitOf(row.Unit)
	if u == nil {
		return
	}
	row.Unit = u.name
	v := l.visitOf(u, row)
	if v != nil && u.kind == plotKind && u.stratum != nil && u.stratum.adaptive {
		defer r.countTarget(l, row, v)
	}
	if !l.sure() {
		return
	}
	if v != nil && row.SeenBy != "" && !r.known.observers.is(v.observers, row.SeenBy) {
		seenBy(l, row.SeenBy, v)
	}
	findDistance(l, row, u)
	findMass(l, row)
	if v != nil {
		findRoom(l, row, u, v)
	}
	if row.Mode == survey.HostAssociated {
		r.findHost(l, row)
	}
	switch {
	case !l.clean():
	case r.folder.reduced:
		r.alike += row.Rows.Or(1)
	default:
		doubtFind(l, row, u)
	}
}

// seenBy holds the observers of a find to those of its visit.
func seenBy(l *line, names string, v *visit) {
	observers := l.known.observers.get(v.observers)
	for name := range strings.SplitSeq(names, ";") {
		switch {
		case observers == "":
			l.fault("seen_by", "names "+phrase.Quote(name)+", and the visit ("+l.where(v.spot)+") names no observers", "fill in the visit's observers")
			return
		case !isListed(observers, name):
			l.fault("seen_by", phrase.Quote(name)+" is not among the observers of the visit ("+l.where(v.spot)+"), "+phrase.Quote(observers),
				"write the name as there, or add it there")
		}
	}
}

// isListed reports whether a text divided by ";" holds a name.
func isListed(list, name string) bool {
	for other := range strings.SplitSeq(list, ";") {
		if other == name {
			return true
		}
	}
	return false
}

// findDistance holds the distance from a line to what was searched.
func findDistance(l *line, row *survey.Find, u *unit) {
	d := row.DistanceM
	switch {
	case u.kind == survey.Line && !d.Known:
		l.fault("distance_m", "is empty, and the transect "+phrase.Quote(u.name)+" is a line", "fill in the distance at right angles to the line")
	case d.Known && u.half.Known && d.Value > u.half.Value && u.kind != plotKind:
		l.fault("distance_m", fmt.Sprintf("%s m lies beyond the half-width of the transect, %s m", phrase.Decimal(d.Value),
			phrase.Decimal(u.half.Value)), "check the distance, and half_width_m in "+l.where(u.spot))
	}
}

// findMass holds the mass of a row to its fruit bodies.
func findMass(l *line, row *survey.Find) {
	n := float64(row.Bodies())
	if each := row.MassG.Value / n; each > survey.MostMassG {
		l.fault("mass_g", fmt.Sprintf("%s g for a row of %.0f is more than a fruit body weighs, %s g at most",
			phrase.Decimal(row.MassG.Value), n, phrase.Decimal(survey.MostMassG)), "check the mass, its unit and the count")
	}
}

// findRoom holds the fruit bodies of a visit to the area that was searched.
func findRoom(l *line, row *survey.Find, u *unit, v *visit) {
	found := v.found + row.Bodies()
	if u.areaM2 > 0 && float64(found) > survey.MostPerM2*u.areaM2 {
		l.fault("count", fmt.Sprintf("makes %d fruit bodies of one visit on the %s m2 of %s, more than have room, %s on a square metre", found,
			phrase.Decimal(toDigits(u.areaM2, 4)), phrase.Quote(u.name), phrase.Decimal(survey.MostPerM2)),
			"check the count, and the size of the unit in "+l.where(u.spot))
		return
	}
	v.found = found
}

// findHost holds a host-associated find to the trees that can be hosts.
func (r *reading) findHost(l *line, row *survey.Find) {
	hosts := r.folder.Settings.Hosts
	switch {
	case row.Tree == "":
		l.fault("tree", "is empty, and the find is host-associated", "name the tree, or write the mode as undetermined")
	case len(hosts.Trees) > 0 && !slices.Contains(hosts.Trees, row.Tree):
		l.fault("tree", phrase.Quote(row.Tree)+" is not among the hosts of "+settingsName,
			join(l.nearKnown(row.Tree, func() []string { return hosts.Trees }), "add it to hosts.trees, or mend the tree or the mode"))
	case row.TreeDistanceM.Known && row.TreeDistanceM.Value > hosts.DistanceM:
		l.farHost(row.Rows.Or(1), fmt.Sprintf("%s m is more than hosts.distance_m, %s m, and the find is host-associated",
			phrase.Decimal(row.TreeDistanceM.Value), phrase.Decimal(hosts.DistanceM)))
	}
}

// farHost counts the host-associated finds beyond the distance rule, and keeps
// the first. A season can have thousands, and one word on them is enough.
func (l *line) farHost(finds int64, problem string) {
	if l.muted {
		return
	}
	r := l.reading
	if r.farHosts += finds; r.farHosts == finds {
		r.firstFarHost = l.about("tree_distance_m", problem, "the crew's call stands; the distance rule would say otherwise")
	}
}

// tree checks a row of trees.
func (r *reading) tree(l *line, row *survey.Tree) {
	u := l.unitOf(row.Unit)
	if u == nil {
		return
	}
	row.Unit = u.name
	if row.Tree == "" || !l.sure() {
		return
	}
	if first, twice := r.known.addTree(u, r.known.treeNumber(row.Tree), row.Alive, l.spot()); twice {
		l.fault("", "the unit "+phrase.Quote(u.name)+" lists "+phrase.Quote(row.Tree)+" already, in "+l.where(first),
			"give each unit one row for the live and one for the dead of a species")
		return
	}
	doubtStems(l, row)
}

// referencePoint checks a row of reference_points.
func (r *reading) referencePoint(l *line, row *survey.ReferencePoint) {
	if u := l.unitOf(row.Unit); u != nil {
		row.Unit = u.name
	}
	if l.sure() && l.asker != nil {
		doubtTree(l, row.TreeDistanceM)
	}
}
