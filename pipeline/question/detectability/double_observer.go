package detectability

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/observers"
)

// doubleObserver is the detection histories of a method's finds, and the models of
// the detection probabilities of its observers that are fitted to them.
type doubleObserver struct {
	method  string
	pooled  string         // of its strata: result.All, or result.Reached
	data    observers.Data // an entry for all finds that no model tells apart
	stratum []int          // of each entry
	entries map[string]int // by what makes finds alike
	found   []entryOfVisit
	units   []int // units, in seasons, of each stratum that two searched

	visits, pairs, alone int     // all, with two observers or more, with one
	unnamed              float64 // fruit bodies of days that name nobody
	unwritten            int64   // finds where two searched and nobody wrote down who saw them
	distance             int     // place of the covariate distance; -1 but along lines

	ranking []observers.Ranked
	fit     *observers.Fit // nil if there is none
	reason  stats.Warning  // why
	instead *stats.Warning // of the model that the settings ask for, where another took its place
}

// entryOfVisit is how many of the finds of an entry a visit made.
type entryOfVisit struct {
	visit, entry int
	finds        float64
}

// newDoubleObserver gathers the detection histories of the finds on some unit-seasons,
// and fits the models; nil where no two ever searched together. Finds beyond a
// truncation over 0 are left out.
func newDoubleObserver(s *fieldwork.Season, method string, seasons []fieldwork.UnitSeason, truncationM float64) *doubleObserver {
	d := &doubleObserver{method: method, distance: -1, units: make([]int, len(s.Strata)), entries: map[string]int{}}
	names := slices.Sorted(slices.Values(s.Histories.Names))
	d.data.Names, d.data.Observers = append(names, unnamedObserver), len(names)+1
	place := make([]int, len(s.Histories.Names))
	for i, name := range s.Histories.Names {
		place[i], _ = slices.BinarySearch(names, name)
	}
	d.covariates(s)
	byVisit, totals := s.HistoriesByVisit(), totalsOf(s)
	for _, e := range seasons {
		paired := false
		for _, day := range s.Days(e.Counted) {
			over := searchers(s, day, place, len(names))
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
// are named. They are assumed to have the mean detection probability of the others.
const unnamedObserver = "an observer without a name"

// totalsOf are the fruit bodies of each visit.
func totalsOf(s *fieldwork.Season) []float64 {
	totals := make([]float64, len(s.Visits))
	for v, n := range s.FindsByVisit() {
		totals[v] = float64(n)
	}
	return totals
}

// searchers lists all who searched on a day, once for each pass.
func searchers(s *fieldwork.Season, day []int, place []int, unnamed int) []int {
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

// covariates are those that a detection probability may depend on.
func (d *doubleObserver) covariates(s *fieldwork.Season) {
	stratum := observers.Covariate{Name: "stratum"}
	for _, h := range s.Strata {
		stratum.Levels = append(stratum.Levels, h.Name)
	}
	d.data.Covariates = []observers.Covariate{{Name: "group size"}, stratum}
	if d.method == result.Line {
		d.distance = len(d.data.Covariates)
		d.data.Covariates = append(d.data.Covariates, observers.Covariate{Name: "distance", Always: true, Apart: true})
	}
}

// take adds the finds of a visit to the entries of their like.
func (d *doubleObserver) take(s *fieldwork.Season, visit, stratum int, list []fieldwork.History, place, over []int, truncationM float64) {
	who := make([]int, len(s.Visits[visit].Observers))
	for k, o := range s.Visits[visit].Observers {
		who[k] = place[o]
	}
	visited := binary.AppendUvarint(nil, uint64(stratum))
	for _, observers := range [][]int{who, over} {
		visited = binary.AppendUvarint(visited, uint64(len(observers)))
		for _, j := range observers {
			visited = binary.AppendUvarint(visited, uint64(j))
		}
	}
	var like []byte
	for _, f := range list {
		if truncationM > 0 && f.DistanceM > truncationM {
			continue
		}
		if f.Saw == 0 {
			d.unwritten += f.Times
		}
		like = binary.AppendUvarint(binary.AppendUvarint(append(like[:0], visited...), f.Saw), uint64(f.N))
		like = binary.LittleEndian.AppendUint64(like, math.Float64bits(f.DistanceM))
		entry, known := d.entries[string(like)]
		if !known {
			entry = len(d.stratum)
			d.entries[string(like)] = entry
			d.enter(f, stratum, who, over)
		}
		d.data.Times[entry] += float64(f.Times)
		d.found = append(d.found, entryOfVisit{visit, entry, float64(f.Times)})
	}
}

// enter makes an entry of finds like one.
func (d *doubleObserver) enter(f fieldwork.History, stratum int, who, over []int) {
	saw := make([]bool, len(who))
	for k := range who {
		saw[k] = f.Saw>>k&1 == 1
	}
	d.data.Searched, d.data.Saw, d.data.Over = append(d.data.Searched, who), append(d.data.Saw, saw), append(d.data.Over, over)
	d.data.Times, d.data.Size = append(d.data.Times, 0), append(d.data.Size, float64(f.N))
	for c, v := range []float64{math.Log(float64(f.N)), float64(stratum), f.DistanceM}[:len(d.data.Covariates)] {
		d.data.Covariates[c].Values = append(d.data.Covariates[c].Values, v)
	}
	d.stratum = append(d.stratum, stratum)
}

// choose fits the models that the settings ask for and takes the best.
func (d *doubleObserver) choose(settings survey.Settings) {
	d.ranking = d.data.Select(d.models(settings.Missed.Model), settings.Confidence)
	if err := d.ranking[0].Err; d.ranking[0].Fit == nil && errors.Is(err, observers.ErrModel) && settings.Missed.Model != survey.LowestAIC {
		d.ranking = d.data.Select(d.models(survey.ByObserver), settings.Confidence)
		w := modelNotUsed.With("the settings let the chance to see a find depend on the %s, which does not differ among these finds, so it "+
			"depends on the observer alone", strings.ReplaceAll(settings.Missed.Model, "-", " "))
		d.instead = &w
	}
	d.fit = d.ranking[0].Fit
	if d.fit == nil {
		d.reason = observers.Reason(d.ranking[0].Err)
		return
	}
	if p := d.fit.Sight(nil).Together; !(p.Value > 0) {
		d.fit, d.reason = nil, observers.NoProbabilities.With("the chance to see a find came out as 0")
	}
}

func (d *doubleObserver) models(asked string) []observers.Model {
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

// warnings are those that the visits give reason for, beside those of the fit.
func (d *doubleObserver) warnings() []stats.Warning {
	var w []stats.Warning
	if d.instead != nil {
		w = append(w, *d.instead)
	}
	if d.alone > 0 {
		w = append(w, visitsOfOne.With("%d of %d visits had a single observer; counts there are corrected as if each had the same detection "+
			"probability alone as beside others", d.alone, d.visits))
	}
	if d.unnamed > 0 {
		w = append(w, observersUnnamed.With("%.0f fruit bodies were found on visits that name nobody, and count as they are, so the figure is "+
			"still too low; fill in the observers of every visit", d.unnamed))
	}
	if d.unwritten > 0 {
		w = append(w, sightUnrecorded.With("of %d finds where several searched nobody wrote down who saw them; they are corrected like the "+
			"others, and give no information on detection", d.unwritten))
	}
	if names := d.unpaired(); len(names) > 0 {
		w = append(w, observerUnpaired.With("%s never searched beside another where something was found, and is taken to see as the mean of those who did",
			fieldwork.NameList(names)))
	}
	return w
}

// unpaired names those who made finds and never searched beside another.
func (d *doubleObserver) unpaired() []string {
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

// correction corrects each visit's count by the detection probability of its finds.
func (d *doubleObserver) correction(s *fieldwork.Season) correction {
	m := correction{by: survey.Observers, warnings: d.warnings(), reason: d.reason}
	if d.fit == nil {
		return m
	}
	m.known = true
	m.warnings = slices.Concat(d.fit.Warnings, m.warnings)
	m.covariance = d.fit.Covariance()
	m.visits = make([]corrected, len(s.Visits))
	for _, f := range d.found {
		factor, gradient := d.fit.CorrectionFactor(f.entry)
		m.add(f.visit, f.finds*d.data.Size[f.entry], factor, gradient)
	}
	for v, n := range totalsOf(s) {
		if m.visits[v].gradient == nil && n > 0 {
			m.add(v, n, 1, make([]float64, len(m.covariance)))
		}
	}
	sight := d.fit.Sight(nil)
	m.factor = sight.Present.Value / sight.FruitBodies
	return m
}

// rows are those of results/observers: of all strata by the model selected, then by
// the others, and of each stratum where two searched.
func (d *doubleObserver) rows(s *fieldwork.Season) []ObserverRow {
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
			row.Warnings = []stats.Warning{observers.Reason(r.Err)}
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
			rows = append(rows, d.emptyRow(h.Name, stats.NoFinds.With("nothing was found where observers were named in this stratum"), d.fit.Name))
			continue
		}
		rows = append(rows, d.sightRows(s, h.Name, finds)...)
	}
	return rows
}

func (d *doubleObserver) emptyRow(stratum string, reason stats.Warning, model string) ObserverRow {
	row := ObserverRow{Method: d.method, Stratum: stratum, Observer: result.All, Model: model,
		Selected: column.Bool{Value: d.fit != nil && model == d.fit.Name, Known: true}}
	if reason.Code == "" {
		reason = d.reason
	}
	row.Warnings = append([]stats.Warning{reason}, d.warnings()...)
	return row
}

// sightRows are those of the model selected: all observers together, then each.
func (d *doubleObserver) sightRows(s *fieldwork.Season, stratum string, finds []int) []ObserverRow {
	sight := d.fit.Sight(finds)
	all := d.togetherRow(s, stratum, d.fit, finds)
	if fieldwork.OverStrata(stratum) {
		all.AIC, all.DeltaAIC, all.Weight = column.Finite(d.fit.AIC), column.Finite(0), column.Finite(d.ranking[0].Weight)
		all.Warnings = slices.Concat(sight.Together.Warnings, d.warnings())
	}
	rows := []ObserverRow{all}
	for j, e := range sight.Observers {
		if sight.Seen[j] == 0 && math.IsNaN(e.Value) {
			continue
		}
		row := ObserverRow{
			Method: d.method, Stratum: stratum, Observer: d.data.Names[j], Model: d.fit.Name, Selected: column.Bool{Value: true, Known: true},
			Finds: column.Count(d.couldSee(j, finds)), Seen: column.Count(int(sight.Seen[j])), Alone: column.Count(int(sight.Alone[j])),
			Probability: result.Of(e), Warnings: e.Warnings,
		}
		if !d.fit.Paired(j) {
			row.Warnings = []stats.Warning{observerUnpaired.With("never searched beside another where something was found, and is taken to see as " +
				"the mean of those who did")}
		}
		rows = append(rows, row)
	}
	return rows
}

// couldSee counts, among some finds (nil: all), those with a detection history where
// an observer searched beside another.
func (d *doubleObserver) couldSee(j int, finds []int) int {
	if finds == nil {
		finds = fieldwork.Indices(len(d.stratum))
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
func (d *doubleObserver) togetherRow(s *fieldwork.Season, stratum string, f *observers.Fit, finds []int) ObserverRow {
	sight := f.Sight(finds)
	row := ObserverRow{
		Method: d.method, Stratum: stratum, Observer: result.All, Model: f.Name, Selected: column.Bool{Value: f == d.fit, Known: true},
		Finds: column.Count(int(sight.Tell)), Seen: column.Count(int(sight.Tell)), Both: column.Count(int(sight.Both)),
		FruitBodies: column.Finite(sight.FruitBodies), Probability: result.Of(sight.Together), Present: result.Of(sight.Present),
	}
	if d.distance >= 0 {
		row.OnLine = result.Of(f.OnLine(d.distance))
	}
	if fieldwork.OverStrata(stratum) {
		row.SightP = column.Finite(f.SightP)
	}
	if e := d.data.Chao(finds, s.Settings.Confidence); e.N > 0 {
		row.Chao = result.Of(e)
	}
	var two []int
	for j, n := range sight.Seen {
		if n > 0 {
			two = append(two, j)
		}
	}
	if len(two) == 2 && f == d.fit {
		row.Chapman = result.Of(observers.Chapman(sight.Seen[two[0]], sight.Seen[two[1]], sight.Both, s.Settings.Confidence))
	}
	return row
}
