package export

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/position"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Survey is an archived survey as its exports tell it: units, their visits, and
// what was counted on each.
type Survey struct {
	Settings survey.Settings
	Strata   map[string]survey.Stratum
	Units    []*Unit // in the order of the archive, plots first
	Taxa     []string
	Protection

	unit  map[string]*Unit
	visit map[VisitKey]*Visit
}

// Unit is a plot or a transect.
type Unit struct {
	ID, Stratum, Site string
	Kind              string       // Plot, survey.Strip or survey.Line
	SearchedM2        float64      // horizontal area of one search; 0 for a line
	LengthM           float64      // horizontal length; 0 for a plot
	SlopePercent      column.Float // of the ground
	BearingDeg        column.Float // of a transect
	survey.Ground                  // as far as it is exported
	Visits            []*Visit     // by date and pass
}

// Plot is the kind of a unit that is a plot.
const Plot = "plot"

// Visit is one search of a unit on one day.
type Visit struct {
	VisitKey
	Of        *Unit
	Observers []string
	Hours     column.Float

	GroundCoverPercent column.Float
	Bodies             map[string]int64 // fruit bodies by taxon, of the crew's names
}

// VisitKey tells visits apart.
type VisitKey struct {
	Unit string
	Day  int32 // since 1 January 1970
	Pass int64
}

// Date is the day of the visit.
func (k VisitKey) Date() column.Date { return column.DateFromDays(k.Day) }

// ReadSurvey reads the archived survey.
func ReadSurvey(ctx context.Context, r Results) (*Survey, error) {
	protection, err := NewProtection(ctx, r)
	if err != nil {
		return nil, err
	}
	s := &Survey{
		Settings: r.Settings(), Protection: *protection,
		Strata: map[string]survey.Stratum{}, unit: map[string]*Unit{}, visit: map[VisitKey]*Visit{},
	}
	for _, name := range survey.TableNames() { // each refers to those before it
		if !slices.Contains(r.Tables(), Archive+"/"+name) {
			continue
		}
		if err := r.Each(ctx, Archive+"/"+name, func(b table.Batch) error { return s.take(name, b) }); err != nil {
			return nil, err
		}
	}
	s.finish()
	return s, nil
}

func (s *Survey) take(name string, b table.Batch) error {
	switch name {
	case survey.Strata.Name:
		return table.Scan(survey.Strata, b, func(_ int, r *survey.Stratum) error {
			row := *r
			row.Stratum, row.FireDate, row.Severity = strings.Clone(r.Stratum), strings.Clone(r.FireDate), strings.Clone(r.Severity)
			s.Strata[row.Stratum] = row
			return nil
		})
	case survey.Plots.Name:
		return table.Scan(survey.Plots, b, func(_ int, r *survey.Plot) error { s.add(plotUnit(r)); return nil })
	case survey.Transects.Name:
		return table.Scan(survey.Transects, b, func(_ int, r *survey.Transect) error { s.add(transectUnit(r)); return nil })
	case survey.Visits.Name:
		return table.Scan(survey.Visits, b, func(_ int, r *survey.Visit) error { s.addVisit(r); return nil })
	case survey.Finds.Name:
		return s.count(b)
	}
	return nil
}

func plotUnit(r *survey.Plot) *Unit {
	return &Unit{
		ID: strings.Clone(r.Plot), Stratum: strings.Clone(r.Stratum), Site: strings.Clone(r.Site), Kind: Plot,
		SearchedM2: r.HorizontalM2(), SlopePercent: r.SlopePercent, Ground: r.Ground,
	}
}

func transectUnit(r *survey.Transect) *Unit {
	return &Unit{
		ID: strings.Clone(r.Transect), Stratum: strings.Clone(r.Stratum), Site: strings.Clone(r.Site), Kind: strings.Clone(r.Kind),
		SearchedM2: r.HorizontalM2(), LengthM: r.HorizontalM(), SlopePercent: r.SlopePercent, BearingDeg: r.BearingDeg, Ground: r.Ground,
	}
}

func (s *Survey) add(u *Unit) {
	u.Ground = s.Protection.Ground(u.ID, u.Ground)
	if s.Of(u.ID) != position.Exact {
		u.BearingDeg = column.Float{}
	}
	s.Units = append(s.Units, u)
	s.unit[u.ID] = u
}

func (s *Survey) addVisit(r *survey.Visit) {
	u := s.unit[r.Unit]
	if u == nil {
		return // a visit of no unit is a fault, and no archive has it
	}
	v := &Visit{
		VisitKey: VisitKey{u.ID, r.Date.Days(), r.Pass.Value}, Of: u,
		Hours: r.Hours, GroundCoverPercent: r.GroundCoverPercent, Bodies: map[string]int64{},
	}
	for name := range strings.SplitSeq(r.Observers, ";") {
		if name = strings.TrimSpace(name); name != "" {
			v.Observers = append(v.Observers, strings.Clone(name))
		}
	}
	u.Visits = append(u.Visits, v)
	s.visit[v.VisitKey] = v
}

// count adds finds to the visits they were made on.
func (s *Survey) count(b table.Batch) error {
	return table.Scan(FindsOf(b), b, func(_ int, r *survey.Find) error {
		if v := s.VisitOf(r); v != nil {
			if _, known := v.Bodies[r.Taxon]; !known {
				v.Bodies[strings.Clone(r.Taxon)] = 0
			}
			v.Bodies[r.Taxon] += r.Bodies()
		}
		return nil
	})
}

// FindsOf is the table of finds as a batch has it.
func FindsOf(b table.Batch) column.Table[survey.Find] {
	return survey.FindsTable(b.Schema().Has(survey.ReducedRows))
}

// VisitOf returns the visit that a find was made on; nil where there is none.
func (s *Survey) VisitOf(r *survey.Find) *Visit {
	return s.visit[VisitKey{r.Unit, r.Date.Days(), r.Pass.Value}]
}

// finish sorts visits, and lists the taxa that were searched for.
func (s *Survey) finish() {
	taxa := map[string]bool{}
	for _, u := range s.Units {
		slices.SortFunc(u.Visits, func(a, b *Visit) int {
			return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Pass, b.Pass))
		})
		for _, v := range u.Visits {
			for taxon := range v.Bodies {
				taxa[taxon] = true
			}
		}
	}
	if s.Taxa = s.Settings.Taxa.Target; len(s.Taxa) == 0 {
		s.Taxa = slices.Sorted(maps.Keys(taxa))
	}
}

// Target reports whether a taxon is one of those that are estimated.
func (s *Survey) Target(taxon string) bool { return slices.Contains(s.Taxa, taxon) }

// Visited returns the units that were searched.
func (s *Survey) Visited() []*Unit {
	return slices.DeleteFunc(slices.Clone(s.Units), func(u *Unit) bool { return len(u.Visits) == 0 })
}

// IsVisited reports whether a unit was searched.
func (s *Survey) IsVisited(unit string) bool {
	u := s.unit[unit]
	return u != nil && len(u.Visits) > 0
}

// Absent reports whether a visit shows a taxon to be absent: it has no find of it,
// or of another with the same scientific name, and no earlier search has one whose fruit bodies may still have stood and were
// not to be recorded again. Such a search is an earlier pass of the same day and,
// where each visit records only what is new, any earlier one of the same year.
func (s *Survey) Absent(v *Visit, taxon string) bool {
	if s.found(v, taxon) {
		return false
	}
	for _, earlier := range v.Of.Visits {
		sameDay := earlier.Day == v.Day && earlier.Pass < v.Pass
		sameYear := s.Settings.Counting.Rule == survey.New && earlier.Day < v.Day && earlier.Date().Year() == v.Date().Year()
		if (sameDay || sameYear) && s.found(earlier, taxon) {
			return false
		}
	}
	return true
}

// found reports whether a visit found a taxon by its scientific name.
func (s *Survey) found(v *Visit, taxon string) bool {
	name := s.TaxonName(taxon)
	for other, n := range v.Bodies {
		if n > 0 && (other == taxon || s.TaxonName(other) == name) {
			return true
		}
	}
	return false
}

// Scientific returns the scientific name of a taxon of the crew's; ok is false
// where the settings give none.
func (s *Survey) Scientific(taxon string) (name survey.ScientificName, ok bool) {
	name, ok = s.Settings.Dataset.Taxa[taxon]
	return name, ok
}

// TaxonName is the scientific name of a taxon, or else the crew's name.
func (s *Survey) TaxonName(taxon string) string { return named(s.Settings.Dataset.Taxa, taxon) }

// TreeName is the scientific name of a tree, or else the crew's name.
func (s *Survey) TreeName(tree string) string { return named(s.Settings.Dataset.Trees, tree) }

func named(names map[string]survey.ScientificName, crews string) string {
	if name, ok := names[crews]; ok {
		return name.Name
	}
	return crews
}

// Title is the title of the data set.
func (s *Survey) Title() string { return TitleOf(s.Settings) }

// TitleOf is the title of the data set: its own, or that of the survey.
func TitleOf(settings survey.Settings) string {
	return cmp.Or(settings.Dataset.Title, settings.Title)
}

// metres writes a length: 10000 m.
func metres(v float64) string { return phrase.Decimal(v) + " m" }
