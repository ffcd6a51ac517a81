package darwincore

import (
	"slices"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// measurement is a measurement or fact of an event or, where occurrence is given, of
// an occurrence in it.
type measurement struct {
	event, occurrence, id      string
	kind, value, unit, remarks string
}

// measurements are those of units, of visits, and of finds.
func (a *archive) measurements() part {
	terms := []term[measurement]{
		{dwc + "eventID", func(m *measurement) string { return m.event }},
		{dwc + "occurrenceID", func(m *measurement) string { return m.occurrence }},
		{dwc + "measurementID", func(m *measurement) string { return m.id + ":" + m.kind }},
		{dwc + "measurementType", func(m *measurement) string { return m.kind }},
		{dwc + "measurementValue", func(m *measurement) string { return m.value }},
		{dwc + "measurementUnit", func(m *measurement) string { return m.unit }},
		{dwc + "measurementRemarks", func(m *measurement) string { return m.remarks }},
	}
	return partOf(a, "measurement.csv", obis+"ExtendedMeasurementOrFact", terms, func(put func(*measurement) error) error {
		counted := func(m measurement) error {
			if m.value == "" {
				return nil
			}
			a.count("measurements")
			return put(&m)
		}
		for _, each := range []func(func(measurement) error) error{a.ofUnits, a.ofTrees, a.ofPoints, a.ofVisits, a.ofFinds} {
			if err := each(counted); err != nil {
				return err
			}
		}
		return nil
	})
}

// all hands on measurements that share what m holds.
func (m measurement) all(put func(measurement) error, values ...measurement) error {
	for _, v := range values {
		v.event, v.occurrence, v.id = m.event, m.occurrence, m.id
		if v.remarks == "" {
			v.remarks = m.remarks
		}
		if err := put(v); err != nil {
			return err
		}
	}
	return nil
}

func (a *archive) ofUnits(put func(measurement) error) error {
	for _, u := range a.survey.Visited() {
		at := measurement{event: unitID(u), id: unitID(u)}
		err := at.all(put,
			measurement{kind: "slope", value: known(u.SlopePercent), unit: "%"},
			measurement{kind: "aspect", value: known(u.AspectDeg), unit: "degree"},
			measurement{kind: "transect bearing", value: known(u.BearingDeg), unit: "degree"},
			measurement{kind: "laid along a road", value: yesOrNo(u.Roadside)})
		if err != nil {
			return err
		}
	}
	return nil
}

// ofTrees are what a unit offers of each tree species.
func (a *archive) ofTrees(put func(measurement) error) error {
	return eachOf(a, survey.Trees, func(place string, r *survey.Tree) error {
		remarks := "tree: " + a.survey.TreeName(r.Tree)
		if r.Alive.Known {
			remarks += ", alive: " + yesOrNo(r.Alive)
		}
		at := measurement{event: "unit:" + r.Unit, id: "tree:" + place, remarks: remarks}
		return a.visited(r.Unit, func() error {
			return at.all(put,
				measurement{kind: "number of stems", value: wholeNumber(r.Stems)},
				measurement{kind: "basal area", value: known(r.BasalAreaM2), unit: "m²"},
				measurement{kind: "crown cover", value: known(r.CoverPercent), unit: "%"})
		})
	})
}

// ofPoints are the distances from random points to the nearest tree.
func (a *archive) ofPoints(put func(measurement) error) error {
	return eachOf(a, survey.ReferencePoints, func(place string, r *survey.ReferencePoint) error {
		remarks := ""
		if r.Tree != "" {
			remarks = "tree: " + a.survey.TreeName(r.Tree)
		}
		if r.TreeAlive.Known {
			remarks += ", alive: " + yesOrNo(r.TreeAlive)
		}
		at := measurement{event: "unit:" + r.Unit, id: "point:" + place, remarks: remarks}
		return a.visited(r.Unit, func() error {
			return at.all(put, measurement{kind: "distance from a random point to the nearest tree", value: known(r.TreeDistanceM), unit: "m"})
		})
	})
}

// visited runs do for a unit that is an event.
func (a *archive) visited(unit string, do func() error) error {
	if !a.survey.IsVisited(unit) {
		return nil
	}
	return do()
}

// ofVisits are the cover of the ground, and the number of fruit bodies of each
// target taxon, zeros too.
func (a *archive) ofVisits(put func(measurement) error) error {
	for _, u := range a.survey.Visited() {
		for _, v := range u.Visits {
			id := visitID(v)
			if err := put(measurement{event: id, id: id, kind: "ground cover", value: known(v.GroundCoverPercent), unit: "%"}); err != nil {
				return err
			}
			for _, taxon := range a.survey.Taxa {
				err := put(measurement{event: id, id: "count:" + strconv.Itoa(len(taxon)) + ":" + taxon + ":" + id, kind: "fruit bodies recorded",
					value: strconv.FormatInt(v.Bodies[taxon], 10), unit: "fruit bodies", remarks: "taxon: " + a.survey.TaxonName(taxon) + ". " + a.rule()})
				if err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (a *archive) ofFinds(put func(measurement) error) error {
	return a.eachFind(func(v *export.Visit, f *survey.Find) error {
		at := measurement{event: visitID(v), occurrence: findID(f), id: findID(f)}
		tree := ""
		if f.Tree != "" {
			tree = "tree: " + a.survey.TreeName(f.Tree)
		}
		return at.all(put,
			measurement{kind: "trophic mode", value: f.Mode, remarks: "the crew's call from where the find stood, not proof of a root partnership"},
			measurement{kind: "distance to the nearest tree", value: known(f.TreeDistanceM), unit: "m", remarks: tree},
			measurement{kind: "nearest tree alive", value: yesOrNo(f.TreeAlive), remarks: tree},
			measurement{kind: "perpendicular distance from the line", value: known(f.DistanceM), unit: "m"},
			measurement{kind: "fresh mass", value: known(f.MassG), unit: "g", remarks: "of all fruit bodies of the record"},
			measurement{kind: "hollow from tip to base in a lengthwise cut", value: f.Hollow},
			measurement{kind: "harvested", value: yesOrNo(f.Harvested)},
			measurement{kind: "position across the unit", value: known(f.XM), unit: "m"},
			measurement{kind: "position along the unit", value: known(f.YM), unit: "m"},
			measurement{kind: "ground cover at the find", value: known(f.GroundCoverPercent), unit: "%"})
	})
}

// eachOf hands on the rows of an archived table, with where each was read, if the
// survey has the table.
func eachOf[R any](a *archive, t column.Table[R], take func(place string, r *R) error) error {
	name := export.Archive + "/" + t.Name
	if !slices.Contains(a.results.Tables(), name) {
		return nil
	}
	return a.results.Each(a.ctx, name, func(b table.Batch) error {
		files, lines := b.Texts(table.SourceFile), b.Ints(table.SourceLine)
		return table.Scan(t, b, func(i int, r *R) error {
			return take(files.At(i)+":"+strconv.FormatInt(lines.At(i).Value, 10), r)
		})
	})
}

func yesOrNo(b column.Bool) string {
	switch {
	case !b.Known:
		return ""
	case b.Value:
		return "yes"
	}
	return "no"
}

func wholeNumber(n column.Int) string {
	if !n.Known {
		return ""
	}
	return strconv.FormatInt(n.Value, 10)
}
