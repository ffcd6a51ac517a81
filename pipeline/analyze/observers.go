package analyze

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/observers"
)

// doubled is what the visits of a method tell of its observers' eyes.
type doubled struct {
	method  string
	pooled  string // of its strata: All, or Reached
	data    observers.Data
	visit   []int // of each entry of data
	stratum []int // likewise
	units   []int // units, in seasons, of each stratum that two searched

	visits, pairs, alone int     // all, with two observers or more, with one
	unnamed              float64 // fruit bodies of days that name nobody
	unwritten            int64   // finds where two searched and nobody wrote down who saw them
	distance             int     // place of the covariate; -1 but along lines

	ranking []observers.Ranked
	fit     *observers.Fit // nil if there is none
	reason  stats.Warning  // why
	instead *stats.Warning // of the model that the settings ask for, where another took its place
}

// twoObservers gathers the sights of a method's units that count, and fits the
// models of them; nil where no two ever searched together. Finds beyond a
// truncation over 0 are left out.
func (s *Season) twoObservers(method string, elements []fieldwork.UnitSeason, truncationM float64) *doubled {
	d := &doubled{method: method, distance: -1, units: make([]int, len(s.Strata))}
	names := slices.Sorted(slices.Values(s.Histories.Names))
	d.data.Names, d.data.Observers = append(names, unnamedObserver), len(names)+1
	place := make([]int, len(s.Histories.Names))
	for i, name := range s.Histories.Names {
		place[i], _ = slices.BinarySearch(names, name)
	}
	d.covariates(s)
	byVisit, totals := s.HistoriesByVisit(), s.totals()
	for _, e := range elements {
		paired := false
		for _, day := range s.Days(e.Counted) {
			over := s.over(day, place, len(names))
			for _, v := range day {
				n := len(s.Visits[v].Observers)
				d.visits++
				d.pairs += stats.Indicator(n > 1)
				d.alone += stats.Indicator(n == 1)
				paired = paired || n > 1
				if n == 0 {
					d.unnamed += totals[v]
				}
				d.take(s, v, e.Unit.Stratum, byVisit[v], place, over, truncationM)
			}
		}
		d.units[e.Unit.Stratum] += stats.Indicator(paired)
	}
	if d.pairs == 0 {
		return nil
	}
	d.choose(s.Settings)
	return d
}

// unnamedObserver stands for a pass that names nobody on a day on which others
// are named. Nobody was held against him, so he sees as the mean of the others.
const unnamedObserver = "an observer without a name"

// totals are the fruit bodies of each visit.
func (s *Season) totals() []float64 {
	totals := make([]float64, len(s.Visits))
	for key, n := range s.Counts {
		totals[key.Visit] += float64(n)
	}
	return totals
}

// over lists all who searched on a day, once for each pass.
func (s *Season) over(day []int, place []int, unnamed int) []int {
	var who []int
	for _, v := range day {
		for _, o := range s.Visits[v].Observers {
			who = append(who, place[o])
		}
		if len(s.Visits[v].Observers) == 0 {
			who = append(who, unnamed)
		}
	}
	return who
}

// covariates are those that a chance to see may depend on.
func (d *doubled) covariates(s *Season) {
	stratum := observers.Covariate{Name: "stratum"}
	for _, h := range s.Strata {
		stratum.Levels = append(stratum.Levels, h.Name)
	}
	d.data.Covariates = []observers.Covariate{{Name: "group size"}, stratum}
	if d.method == LineMethod {
		d.distance = len(d.data.Covariates)
		d.data.Covariates = append(d.data.Covariates, observers.Covariate{Name: "distance", Always: true, Apart: true})
	}
}

// take adds the finds of a visit.
func (d *doubled) take(s *Season, visit, stratum int, list []fieldwork.History, place, over []int, truncationM float64) {
	who := make([]int, len(s.Visits[visit].Observers))
	for k, o := range s.Visits[visit].Observers {
		who[k] = place[o]
	}
	for _, f := range list {
		if truncationM > 0 && f.DistanceM > truncationM {
			continue
		}
		saw := make([]bool, len(who))
		for k := range who {
			saw[k] = f.Saw>>k&1 == 1
		}
		times := s.Histories.Finds[f]
		if f.Saw == 0 {
			d.unwritten += times
		}
		d.data.Searched, d.data.Saw, d.data.Over = append(d.data.Searched, who), append(d.data.Saw, saw), append(d.data.Over, over)
		d.data.Times, d.data.Size = append(d.data.Times, float64(times)), append(d.data.Size, float64(f.N))
		for c, v := range []float64{math.Log(float64(f.N)), float64(stratum), f.DistanceM}[:len(d.data.Covariates)] {
			d.data.Covariates[c].Values = append(d.data.Covariates[c].Values, v)
		}
		d.visit, d.stratum = append(d.visit, visit), append(d.stratum, stratum)
	}
}

// choose fits the models that the settings ask for and takes the best.
func (d *doubled) choose(settings survey.Settings) {
	d.ranking = d.data.Select(d.models(settings.Missed.Model), settings.Confidence)
	if err := d.ranking[0].Err; d.ranking[0].Fit == nil && errors.Is(err, observers.ErrModel) && settings.Missed.Model != survey.LowestAIC {
		d.ranking = d.data.Select(d.models(survey.ByObserver), settings.Confidence)
		d.instead = &stats.Warning{Code: "model-not-used", Text: fmt.Sprintf("the settings let the chance to see a find depend on the %s, which does not differ among these finds, so it depends on the observer alone", strings.ReplaceAll(settings.Missed.Model, "-", " "))}
	}
	d.fit = d.ranking[0].Fit
	if d.fit == nil {
		code, text := observers.Reason(d.ranking[0].Err)
		d.reason = stats.Warning{Code: code, Text: text}
		return
	}
	// An observer who sees nearly all has a chance that no count can tell from
	// 1, and the model is left for what it is.
	if p := d.fit.Sight(nil).Together; !(p.Value > 0) {
		d.fit, d.reason = nil, stats.Warning{Code: "no-chances", Text: "the chance to see a find came out as 0"}
	}
}

func (d *doubled) models(asked string) []observers.Model {
	m := observers.Model{ByObserver: true}
	switch asked {
	case survey.LowestAIC:
		return d.data.Candidates()
	case survey.ByGroupSize:
		m.Covariates = []int{0}
	case survey.ByStratum:
		m.Covariates = []int{1}
	}
	if d.distance >= 0 {
		m.Covariates = append(m.Covariates, d.distance)
	}
	return []observers.Model{m}
}

// doubts are what the visits give reason for, beside the fit's own.
func (d *doubled) doubts() []stats.Warning {
	var w []stats.Warning
	if d.instead != nil {
		w = append(w, *d.instead)
	}
	if d.alone > 0 {
		w = append(w, stats.Warning{Code: "visits-of-one", Text: fmt.Sprintf("%d of %d visits had a single observer; what was missed there is made up for as if each saw alone what they see beside others", d.alone, d.visits)})
	}
	if d.unnamed > 0 {
		w = append(w, stats.Warning{Code: "observers-unnamed", Text: fmt.Sprintf("%.0f fruit bodies were found on visits that name nobody, and count as they are, so the figure is still too low; fill in the observers of every visit", d.unnamed)})
	}
	if d.unwritten > 0 {
		w = append(w, stats.Warning{Code: "sight-unrecorded", Text: fmt.Sprintf("of %d finds where several searched nobody wrote down who saw them; they are made up for, and tell nothing of what was missed", d.unwritten)})
	}
	if names := d.unpaired(); len(names) > 0 {
		w = append(w, stats.Warning{Code: "observer-unpaired", Text: fieldwork.NameList(names) + " never searched beside another where something was found, and is taken to see as the mean of those who did"})
	}
	return w
}

// unpaired names those who made finds and were never held against another.
func (d *doubled) unpaired() []string {
	if d.fit == nil {
		return nil
	}
	var names []string
	for j, name := range d.data.Names {
		if d.fit.Paired(j) {
			continue
		}
		for _, over := range d.data.Over {
			if slices.Contains(over, j) {
				names = append(names, name)
				break
			}
		}
	}
	return names
}

// makeUp is what each visit's finds were with those missed.
func (d *doubled) makeUp(s *Season) makeUp {
	m := makeUp{by: survey.Observers, doubts: d.doubts(), reason: d.reason}
	if d.fit == nil {
		return m
	}
	m.known = true
	m.doubts = slices.Concat(d.fit.Warnings, m.doubts)
	m.chance = d.fit.Covariance()
	m.visits = map[int]made{}
	for i, v := range d.visit {
		factor, gradient := d.fit.CorrectionFactor(i)
		m.add(v, d.data.Times[i]*d.data.Size[i], factor, gradient)
	}
	for v, n := range s.totals() {
		if _, done := m.visits[v]; !done && n > 0 {
			m.add(v, n, 1, make([]float64, len(m.chance)))
		}
	}
	sight := d.fit.Sight(nil)
	m.factor = sight.Present.Value / sight.FruitBodies
	return m
}

// rows tell of a method's observers: of the land by the model chosen, then by
// the others, and of each stratum where two searched.
func (d *doubled) rows(s *Season) []ObserverRow {
	if d.fit == nil {
		return []ObserverRow{d.emptyRow(d.pooled, stats.Warning{}, "none")}
	}
	rows := d.sightRows(s, d.pooled, nil)
	for _, r := range d.ranking[1:] {
		row := d.emptyRow(d.pooled, stats.Warning{}, r.Name)
		row.Warnings = nil
		if r.Fit != nil {
			row = d.togetherRow(s, d.pooled, r.Fit, nil)
			row.AIC, row.DeltaAIC, row.Weight = column.Finite(r.Fit.AIC), column.Finite(r.Delta), column.Finite(r.Weight)
			row.Warnings = r.Fit.Warnings
		} else {
			code, text := observers.Reason(r.Err)
			row.Warnings = []stats.Warning{{Code: code, Text: text}}
		}
		rows = append(rows, row)
	}
	for at, h := range s.Strata {
		if d.units[at] == 0 {
			continue
		}
		var finds []int
		for i, stratum := range d.stratum {
			if stratum == at {
				finds = append(finds, i)
			}
		}
		if len(finds) == 0 {
			rows = append(rows, d.emptyRow(h.Name, stats.Warning{Code: "no-finds", Text: "nothing was found where observers were named in this stratum"}, d.fit.Name))
			continue
		}
		rows = append(rows, d.sightRows(s, h.Name, finds)...)
	}
	return rows
}

func (d *doubled) emptyRow(stratum string, reason stats.Warning, model string) ObserverRow {
	row := ObserverRow{Method: d.method, Stratum: stratum, Observer: All, Model: model, Selected: column.Bool{Value: d.fit != nil && model == d.fit.Name, Known: true}}
	if reason.Code == "" {
		reason = d.reason
	}
	row.Warnings = append([]stats.Warning{reason}, d.doubts()...)
	return row
}

// sightRows are those of the model chosen: all observers together, then each.
func (d *doubled) sightRows(s *Season, stratum string, finds []int) []ObserverRow {
	sight := d.fit.Sight(finds)
	all := d.togetherRow(s, stratum, d.fit, finds)
	if fieldwork.OverStrata(stratum) {
		all.AIC, all.DeltaAIC, all.Weight = column.Finite(d.fit.AIC), column.Finite(0), column.Finite(d.ranking[0].Weight)
		all.Warnings = slices.Concat(sight.Together.Warnings, d.doubts())
	}
	rows := []ObserverRow{all}
	for j, e := range sight.Observers {
		if sight.Seen[j] == 0 && math.IsNaN(e.Value) {
			continue
		}
		row := ObserverRow{
			Method: d.method, Stratum: stratum, Observer: d.data.Names[j], Model: d.fit.Name, Selected: column.Bool{Value: true, Known: true},
			Finds: column.Count(d.couldSee(j, finds)), Seen: column.Count(int(sight.Seen[j])), Alone: column.Count(int(sight.Alone[j])),
			Chance: figures(e), Warnings: e.Warnings,
		}
		if !d.fit.Paired(j) {
			row.Warnings = []stats.Warning{{Code: "observer-unpaired", Text: "never searched beside another where something was found, and is taken to see as the mean of those who did"}}
		}
		rows = append(rows, row)
	}
	return rows
}

// couldSee counts, among some finds (nil: all), those that tell where an
// observer searched.
func (d *doubled) couldSee(j int, finds []int) int {
	if finds == nil {
		finds = fieldwork.Indices(len(d.visit))
	}
	n := 0.0
	for _, i := range finds {
		if who := d.data.Searched[i]; len(who) > 1 && slices.Contains(who, j) && slices.Contains(d.data.Saw[i], true) {
			n += d.data.Times[i]
		}
	}
	return int(n)
}

// togetherRow is a row of all observers together, for some finds; nil: all.
func (d *doubled) togetherRow(s *Season, stratum string, f *observers.Fit, finds []int) ObserverRow {
	sight := f.Sight(finds)
	row := ObserverRow{
		Method: d.method, Stratum: stratum, Observer: All, Model: f.Name, Selected: column.Bool{Value: f == d.fit, Known: true},
		Finds: column.Count(int(sight.Tell)), Seen: column.Count(int(sight.Tell)), Both: column.Count(int(sight.Both)),
		FruitBodies: column.Finite(sight.FruitBodies), Chance: figures(sight.Together), Present: figures(sight.Present),
	}
	if d.distance >= 0 {
		row.OnLine = figures(f.OnLine(d.distance))
	}
	if fieldwork.OverStrata(stratum) {
		row.SightP = column.Finite(f.SightP)
	}
	if e := d.data.Chao(finds, s.Settings.Confidence); e.N > 0 {
		row.Chao = figures(e)
	}
	var two []int
	for j, n := range sight.Seen {
		if n > 0 {
			two = append(two, j)
		}
	}
	if len(two) == 2 && f == d.fit {
		row.Chapman = figures(observers.Chapman(sight.Seen[two[0]], sight.Seen[two[1]], sight.Both, s.Settings.Confidence))
	}
	return row
}

// shares are what the figure of a method's observers shows: by finds, a group
// counted once.
func (d *doubled) shares() SeenShares {
	out := SeenShares{Method: d.method, Unseen: math.NaN(), Lower: math.NaN(), Upper: math.NaN()}
	if d.fit == nil {
		return out
	}
	var told []int // finds that tell
	for i, who := range d.data.Searched {
		if len(who) > 1 && slices.Contains(d.data.Saw[i], true) {
			told = append(told, i)
		}
	}
	sight := d.fit.Sight(told)
	out.Both = sight.Both
	for j, e := range sight.Observers {
		if sight.Seen[j] > 0 || !math.IsNaN(e.Value) {
			out.Observers = append(out.Observers, SeenShare{d.data.Names[j], int(sight.Seen[j]), e.Value, e.Lower, e.Upper})
			out.Alone = append(out.Alone, sight.Alone[j])
		}
	}
	p := sight.Together
	out.Together = SeenShare{All, int(sight.Tell), p.Value, p.Lower, p.Upper}
	out.Unseen = sight.Tell * (1/p.Value - 1)
	out.Lower, out.Upper = sight.Tell*(1/p.Upper-1), sight.Tell*(1/p.Lower-1)
	return out
}
