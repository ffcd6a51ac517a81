// Package ground is the question of which ground carries most: density by severity of
// the burn, aspect, slope, elevation and ground cover, as classes of the units that
// were drawn.
package ground

import (
	"context"
	"errors"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/domain"
)

// Answer is the density of each class of ground, and the ratios for steps of it.
type Answer struct {
	rows      []Row
	gradients []GradientRow
	places    []PlaceRow
}

// Tables are results/ground, results/ground_ratios and results/ground_ranked.
func (a Answer) Tables() []result.Table {
	return []result.Table{table.Of(a.rows), gradientTable.Of(a.gradients), placeTable.Of(a.places)}
}

// Warnings are the types that rows may carry beside those that other questions
// declare of densities and models of counts.
func Warnings() []stats.WarningTypes { return []stats.WarningTypes{domain.Warnings, warnings} }

var warnings stats.WarningTypes

var (
	notRecorded = warnings.New("ground-not-recorded", stats.Note, "Classes of ground that were not recorded of all units")
	oneStratum  = warnings.New("class-is-strata", stats.Note, "Classes of ground that are whole strata")
	knownShares = warnings.New("class-size-taken-as-known", stats.Coverage, "Classes of ground whose share of each stratum is assumed known")
)

// Ask estimates the density of each class of each attribute: of all finds and of the
// two modes in all years, and of all finds in each class of years since fire. The work
// is shared among the cores, each attribute in a place of its own.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	seasons := s.UnitSeasons()
	var tasks []task
	for _, method := range s.DrawnMethods() {
		domains := s.Domains(method, seasons)
		for _, attribute := range fieldwork.Attributes {
			for _, years := range append([]string{result.All}, fieldwork.YearClasses(domains)...) {
				members := slices.DeleteFunc(slices.Clone(domains), func(d fieldwork.Domain) bool { return d.Years != years })
				if t, ok := newTask(s, method, years, attribute, members); ok {
					tasks = append(tasks, t)
				}
			}
		}
	}
	rows := make([][]Row, len(tasks))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range tasks {
		g.Go(func() error {
			var err error
			if tasks[i].method == result.Line {
				rows[i], err = tasks[i].alongLines(ctx, s, known.Lines)
			} else {
				rows[i] = tasks[i].rows(s)
			}
			return errors.Join(err, ctx.Err())
		})
	}
	if err := g.Wait(); err != nil {
		return Answer{}, err
	}
	a := Answer{rows: slices.Concat(rows...)}
	for _, method := range s.DrawnMethods() {
		if method == result.Line {
			continue
		}
		c := newCounts(s, method, seasons)
		ratios, ranked, err := c.models()
		if err != nil {
			return Answer{}, err
		}
		a.gradients, a.places = append(a.gradients, ratios...), append(a.places, ranked...)
	}
	return a, nil
}

// task is an attribute of the units of a method in a class of years.
type task struct {
	fieldwork.Attribute
	method, years string
	members       []fieldwork.Domain
	classes       []string
	of            [][]int // class of each unit of each member; -1 for none
	unrecorded    int
}

// newTask classes the units; false where they are all of one class, or of none.
func newTask(s *fieldwork.Season, method, years string, a fieldwork.Attribute, members []fieldwork.Domain) (task, bool) {
	t := task{Attribute: a, method: method, years: years, members: members}
	places := map[string]float64{}
	for _, d := range members {
		for _, e := range d.Units {
			if class, place := a.Class(s, e); class != "" {
				if was, ok := places[class]; !ok || place < was {
					places[class] = place
				}
			}
		}
	}
	for class := range places {
		t.classes = append(t.classes, class)
	}
	slices.SortFunc(t.classes, func(a, b string) int { return compare(places[a], places[b], a, b) })
	for _, d := range members {
		of := make([]int, len(d.Units))
		for i, e := range d.Units {
			class, _ := a.Class(s, e)
			if of[i] = slices.Index(t.classes, class); of[i] < 0 {
				t.unrecorded++
			}
		}
		t.of = append(t.of, of)
	}
	return t, len(t.classes) > 1
}

// rows estimates each class.
func (t task) rows(s *fieldwork.Season) []Row {
	modes := []string{result.All}
	if t.years == result.All {
		modes = append(modes, survey.Saprotrophic, survey.HostAssociated)
	}
	domains := domain.New(t.samples(s), t.of, len(t.classes))
	var rows []Row
	for _, mode := range modes {
		for class, e := range domains.Estimates(t.counts(s, mode), estimate.Options(s)) {
			rows = append(rows, t.row(s, mode, class, e))
		}
	}
	return rows
}

// alongLines estimates each class from line transects: all finds, by the detection
// function of all lines. Samples of lengths in place of areas give the shares.
func (t task) alongLines(ctx context.Context, s *fieldwork.Season, lines *transect.Lines) ([]Row, error) {
	counted := t
	counted.members = make([]fieldwork.Domain, len(t.members))
	for h, d := range t.members {
		counted.members[h] = lines.Counted(d)
	}
	var rows []Row
	for class, e := range domain.New(counted.samples(s), t.of, len(t.classes)).Estimates(counted.counts(s, result.All), estimate.Options(s)) {
		var members []fieldwork.Domain
		for h, d := range t.members {
			if d = d.Where(func(i int) bool { return t.of[h][i] == class }); len(d.Units) > 0 {
				members = append(members, d)
			}
		}
		var err error
		if e.Density, err = lines.Over(ctx, members); err != nil {
			return nil, err
		}
		if len(t.members) > 1 {
			e.Density.Warnings = append(slices.Clip(e.Density.Warnings), knownShares.With("limits leave out that the share of each stratum in the class is estimated"))
		}
		rows = append(rows, t.row(s, result.All, class, e))
	}
	return rows, nil
}

// samples are the units without finds.
func (t task) samples(s *fieldwork.Season) []density.NamedSample {
	samples := make([]density.NamedSample, len(t.members))
	for h, d := range t.members {
		c := s.CollapsedWith(d)
		samples[h] = density.NamedSample{Name: c.Name, Sample: estimate.Sample(s, d, nil), Mean: c.Mean, With: c.With, Warnings: d.Warnings}
	}
	return samples
}

// counts are the finds of a mode in the units of each member.
func (t task) counts(s *fieldwork.Season, mode string) [][]float64 {
	counts := make([][]float64, len(t.members))
	for h, d := range t.members {
		counts[h] = countsOf(s, d.Units, mode)
	}
	return counts
}

// countsOf are the finds of a mode, or of all, in each unit.
func countsOf(s *fieldwork.Season, units []fieldwork.UnitSeason, mode string) []float64 {
	counts := make([]float64, len(units))
	for i, e := range units {
		for _, c := range e.Counts {
			if mode == result.All || s.Groups[c.Group].Mode == mode {
				counts[i] += float64(c.N)
			}
		}
	}
	return counts
}

func (t task) row(s *fieldwork.Season, mode string, class int, e domain.Estimate) Row {
	row := Row{
		Method: t.method, Attribute: t.Name, Class: t.classes[class], Unit: t.Unit, Years: t.years, Mode: mode,
		Units: column.Count(e.Units), Sites: column.Count(e.Sites), Finds: column.Count(int(e.Finds)),
		Share: result.Of(e.Share).Over(0.01), Density: result.Of(e.Density), Warnings: e.Density.Warnings,
	}
	if t.unrecorded > 0 {
		row.Warnings = append(slices.Clip(row.Warnings), notRecorded.With("%s was not recorded of %d units, which are in no class", t.Name, t.unrecorded))
	}
	if t.wholeStrata() {
		row.Warnings = append(slices.Clip(row.Warnings), oneStratum.With("each stratum lies in one class, so that classes differ by all that strata differ by"))
	}
	row.Warnings = append(slices.Clip(row.Warnings), s.NotReached(t.method, t.members, t.years)...)
	return row
}

// wholeStrata reports whether no stratum has units of two classes.
func (t task) wholeStrata() bool {
	for _, of := range t.of {
		if len(of) > 0 && slices.ContainsFunc(of, func(c int) bool { return c != of[0] }) {
			return false
		}
	}
	return true
}
