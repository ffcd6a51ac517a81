package detectability

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/observers"
)

// answers are the tables of a survey, and the densities as counted.
type answers struct {
	Answer
	Observers []ObserverRow
	Passes    []PassRow
	Corrected []CorrectedRow

	season *fieldwork.Season
	lines  *transect.Lines
	known  *question.Known
}

func answer(t *testing.T, w fieldworktest.World) answers {
	t.Helper()
	s := w.Season(t)
	known := questiontest.WithLines(t, s)
	a := questiontest.Ask(t, Ask, s, known)
	return answers{a, a.observers, a.passes, a.corrected, s, known.Lines, known}
}

// counted is a density of all finds as counted.
type counted struct {
	result.Estimate
	Finds    column.Int
	Warnings []stats.Warning
}

// density is that by a method on a part of the area.
func (a answers) density(t *testing.T, method, stratum, years string) counted {
	t.Helper()
	s := a.season
	domains := s.Domains(method, s.UnitSeasons())
	if method == result.Line {
		domains = a.lines.Domains
	}
	at := slices.IndexFunc(domains, func(d fieldwork.Domain) bool { return d.Years == years && s.Strata[d.Stratum].Name == stratum })
	var d estimate.Density
	switch {
	case method == result.Line:
		members := slices.DeleteFunc(slices.Clone(domains), func(d fieldwork.Domain) bool {
			return d.Years != years || !fieldwork.OverStrata(stratum) && s.Strata[d.Stratum].Name != stratum
		})
		list, err := a.lines.BySubgroup(t.Context(), members, s.Subgroups())
		if err != nil {
			t.Fatal(err)
		}
		d = list[0]
	default:
		all, err := estimate.BySubgroup(t.Context(), s, domains, s.Subgroups())
		if err != nil {
			t.Fatal(err)
		}
		if fieldwork.OverStrata(stratum) {
			d = all.Areas[years][0]
		} else {
			d = all.Domains[at][0]
		}
	}
	return counted{result.Of(d.Estimate), column.Count(int(d.Finds)), d.Warnings}
}

// watched adds a plot of 100 m2 that some searched on the first of May.
func watched(t *testing.T, w *fieldworktest.World, stratum, id, who string) {
	w.Plot(t, stratum, id, "2031-05-01")
	w.Visits[len(w.Visits)-1].Observers = who
}

// sighted adds a find that some saw.
func sighted(t *testing.T, w *fieldworktest.World, unit string, n int64, who string) {
	w.Find(t, unit, "2031-05-01", 1, n, survey.Saprotrophic, "spruce")
	w.Finds[len(w.Finds)-1].SeenBy = who
}

// watchedWorld has eight plots in the burn and four in the green, searched by
// Ada and Ben: 40 finds seen by both, 12 by Ada alone and 8 by Ben alone, and
// plots that differ in their finds.
func watchedWorld(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	w.Settings.Missed.Model = survey.ByObserver
	for i := range 8 {
		watched(t, &w, "burn", fmt.Sprint("B", i), "Ada;Ben")
	}
	for i := range 4 {
		watched(t, &w, "green", fmt.Sprint("G", i), "Ben;Ada")
	}
	for i := range 60 {
		on := fmt.Sprint("B", i*i%13%8)
		if i%6 == 5 {
			on = fmt.Sprint("G", i/6%4)
		}
		who := "Ada;Ben"
		switch {
		case i%5 == 2:
			who = "Ada"
		case i%15 == 4 || i%15 == 9:
			who = "Ben"
		}
		sighted(t, &w, on, 1, who)
	}
	return w
}

func observerRow(t *testing.T, rows []ObserverRow, stratum, who string, selected bool) ObserverRow {
	t.Helper()
	i := slices.IndexFunc(rows, func(r ObserverRow) bool {
		return r.Stratum == stratum && r.Observer == who && r.Selected.Value == selected
	})
	if i < 0 {
		t.Fatalf("no row of %s in %s", who, stratum)
	}
	return rows[i]
}

func correctedOf(t *testing.T, rows []CorrectedRow, method, stratum, years string) CorrectedRow {
	t.Helper()
	i := slices.IndexFunc(rows, func(r CorrectedRow) bool {
		return r.Method == method && r.Stratum == stratum && r.Years == years
	})
	if i < 0 {
		t.Fatalf("no row of %s, %s, %s", method, stratum, years)
	}
	return rows[i]
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s is %.10g, want %.10g", what, got, want)
	}
}

// TestObserversCorrect by hand: of two observers without covariates the chance
// of one is both over the other's finds, D is divided by p*, and the squared
// coefficients of variation add up.
func TestObserversCorrect(t *testing.T) {
	r := answer(t, watchedWorld(t))
	ada, ben, all := observerRow(t, r.Observers, result.All, "Ada", true), observerRow(t, r.Observers, result.All, "Ben", true), observerRow(t, r.Observers, result.All, result.All, true)
	pAda, pBen := 40/48.0, 40/52.0
	near(t, "Ada's chance", ada.Probability.Value.Value, pAda, 1e-9)
	near(t, "Ben's chance", ben.Probability.Value.Value, pBen, 1e-9)
	p := 1 - (1-pAda)*(1-pBen)
	near(t, "both together", all.Probability.Value.Value, p, 1e-9)
	near(t, "there were", all.Present.Value.Value, 60/p, 1e-9)
	near(t, "Chapman", all.Chapman.Value.Value, 53*49/41.0-1, 1e-12)
	if ada.Seen.Value != 52 || ada.Alone.Value != 12 || ben.Seen.Value != 48 || all.Both.Value != 40 || all.Finds.Value != 60 || len(all.Warnings) != 1 || all.Warnings[0].Code != "sight-untested" {
		t.Errorf("%+v\n%+v", ada, all)
	}
	for _, place := range []struct{ stratum, years string }{{result.All, result.All}, {result.All, "1"}, {result.All, result.Unburned}, {"burn", result.All}, {"green", result.Unburned}} {
		c := correctedOf(t, r.Corrected, result.Plot, place.stratum, place.years)
		raw := r.density(t, result.Plot, place.stratum, place.years)
		if c.Counted != raw.Estimate || c.Finds != raw.Finds || c.Correction != survey.Observers {
			t.Errorf("%+v: counted %+v, the densities say %+v", place, c.Counted, raw.Estimate)
		}
		near(t, "made up", c.Corrected.Value.Value, raw.Value.Value/p, 1e-9)
		near(t, "chance", c.Probability.Value.Value, p, 1e-9)
		ofChance := c.Probability.SE.Value / p
		near(t, "variance", math.Pow(c.Corrected.CV.Value, 2), math.Pow(raw.CV.Value, 2)+ofChance*ofChance, 1e-9)
		near(t, "share of the chance", c.FromMissed.Value/100, ofChance*ofChance/math.Pow(c.Corrected.CV.Value, 2), 1e-9)
		near(t, "shares", c.FromMissed.Value+c.FromUnits.Value, 100, 1e-9)
		// Those of several strata are put together from limits of the strata, and so may be nearer
		// to each other than those of the area.
		further := place.stratum == result.All || c.Corrected.Upper.Value/c.Corrected.Lower.Value > raw.Upper.Value/raw.Lower.Value
		if !(c.Corrected.Lower.Value > raw.Lower.Value && c.Corrected.Upper.Value > raw.Upper.Value && further) {
			t.Errorf("%+v: limits %+v of %+v", place, c.Corrected, raw.Estimate)
		}
	}
	if len(r.Passes) > 0 {
		t.Error("a survey without passes has rows of them")
	}
}

// threeWorld has twelve plots searched by three, with finds that one, two or all
// three of them saw: so many of each.
func threeWorld(t *testing.T, one, two, three int) fieldworktest.World {
	w := fieldworktest.New()
	w.Settings.Missed.Model = survey.ByObserver
	for i := range 12 {
		watched(t, &w, []string{"burn", "green"}[i/8], fmt.Sprint("P", i), "Ada;Ben;Cleo")
	}
	names := []string{"Ada", "Ben", "Cleo", "Ada", "Ben"}
	n := 0
	for k, finds := range []int{one, two, three} {
		for i := range finds {
			sighted(t, &w, fmt.Sprint("P", n*n%12), 1, strings.Join(names[i%3:i%3+k+1], ";"))
			n++
		}
	}
	return w
}

// TestSightThatVaries: of finds that are seen by one or by all three rather than by two,
// sight varied, and the corrected density rests on a model that lets it. Chao's lower
// bound by hand: 150 + (2/3) 54 53 / (2 31) = 180.774.
func TestSightThatVaries(t *testing.T) {
	r := answer(t, threeWorld(t, 54, 30, 66))
	all := observerRow(t, r.Observers, result.All, result.All, true)
	if all.Model != "by observer + varying among finds" || !questiontest.Warns(all.Warnings, "sight-varies") || !all.Chao.Value.Known {
		t.Fatalf("%+v", all)
	}
	near(t, "Chao's bound", all.Chao.Value.Value, 150+2.0/3*54*53/62, 1e-9)
	even := observerRow(t, r.Observers, result.All, result.All, false)
	if even.Model != "by observer" || !(even.SightP.Value < 0.05) || !questiontest.Warns(even.Warnings, "sight-varies") || !(even.DeltaAIC.Value > 0) {
		t.Errorf("%+v", even)
	}
	c := correctedOf(t, r.Corrected, result.Plot, result.All, result.All)
	near(t, "corrected by the model selected", c.Corrected.Value.Value/c.Counted.Value.Value, all.Present.Value.Value/150, 1e-6)
	if !(c.Corrected.Value.Value > c.Counted.Value.Value*even.Present.Value.Value/150*1.05) || !questiontest.Warns(c.Warnings, "sight-varies") {
		t.Errorf("corrected %+v, %v", c.Corrected, c.Warnings)
	}
}

// TestSightThatIsEven: of three who see half of all finds each, nothing is said of
// sight that varies, and the model of even sight is selected.
func TestSightThatIsEven(t *testing.T) {
	r := answer(t, threeWorld(t, 60, 60, 20))
	all := observerRow(t, r.Observers, result.All, result.All, true)
	if all.Model != "by observer" || questiontest.Warns(all.Warnings, "sight-varies") || questiontest.Warns(all.Warnings, "sight-untested") || !(all.SightP.Value > 0.3) {
		t.Errorf("%+v", all)
	}
	if other := observerRow(t, r.Observers, result.All, result.All, false); other.Weight.Value != 0 {
		t.Errorf("a model that could not be selected has weight: %+v", other)
	}
}

// TestModelsByAIC: groups that both see and single ones that one misses make a
// model with their size, and every model that was tried has its row.
func TestModelsByAIC(t *testing.T) {
	w := watchedWorld(t)
	w.Settings.Missed.Model = survey.LowestAIC
	for i := range w.Finds {
		if w.Finds[i].SeenBy == "Ada;Ben" && i%8 > 0 || i%20 == 2 {
			w.Finds[i].Count.Value = 4
		}
	}
	r := answer(t, w)
	best := r.Observers[0]
	if !best.Selected.Value || !strings.Contains(best.Model, "group size") || best.DeltaAIC.Value != 0 || !strings.Contains(questiontest.Join(best.Warnings), "finds-unlike") {
		t.Errorf("chose %+v", best)
	}
	tried := 0
	for _, row := range r.Observers {
		if row.Stratum == result.All && row.Observer == result.All {
			tried++
			if row.DeltaAIC.Known && row.DeltaAIC.Value < 0 && row.Weight.Value > 0 {
				t.Errorf("%s is better than the one chosen", row.Model)
			}
		}
	}
	if tried != 8 {
		t.Errorf("%d models, want 8", tried)
	}
	w.Settings.Missed.Model = survey.ByStratum
	if r := answer(t, w); r.Observers[0].Model != "by observer + stratum" {
		t.Errorf("asked for strata, got %s", r.Observers[0].Model)
	}
}

// TestObserversThatCannotTell: each row that cannot be had says why, and each
// doubt of the visits is told.
func TestObserversThatCannotTell(t *testing.T) {
	every := func(who string) func(*fieldworktest.World) {
		return func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].SeenBy = who
			}
		}
	}
	for _, c := range []struct {
		name   string
		change func(*fieldworktest.World)
		known  bool
		code   string
	}{
		{"none by both", func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
			}
		}, false, "none-seen-by-both"},
		{"all by both", every("Ada;Ben"), true, "all-seen-by-all"},
		{"a subset", func(w *fieldworktest.World) {
			for i := range w.Finds {
				if w.Finds[i].SeenBy == "Ben" {
					w.Finds[i].SeenBy = "Ada;Ben"
				}
			}
		}, true, "observer-adds-nothing"},
		{"few by both", func(w *fieldworktest.World) { w.Finds = w.Finds[:8] }, true, "few-seen-by-both"},
		{"nobody wrote it down", every(""), false, "no-two-observers"},
		{"not of one find", func(w *fieldworktest.World) { w.Finds[3].SeenBy = "" }, true, "sight-unrecorded"},
		{"nothing found", func(w *fieldworktest.World) { w.Finds = nil }, false, "no-two-observers"},
		{"a visit without names", func(w *fieldworktest.World) {
			w.Visits[0].Observers = ""
			for i := range w.Finds {
				if w.Finds[i].Unit == "B0" {
					w.Finds[i].SeenBy = ""
				}
			}
		}, true, "observers-unnamed"},
		{"a stranger alone", func(w *fieldworktest.World) {
			w.Visits[0].Observers = "Cy"
			for i := range w.Finds {
				if w.Finds[i].Unit == "B0" {
					w.Finds[i].SeenBy = "Cy"
				}
			}
		}, true, "observer-unpaired"},
	} {
		w := watchedWorld(t)
		c.change(&w)
		r := answer(t, w)
		all := correctedOf(t, r.Corrected, result.Plot, result.All, result.All)
		if all.Corrected.Value.Known != c.known || !questiontest.Warns(all.Warnings, c.code) {
			t.Errorf("%s: %+v, warnings %q", c.name, all.Corrected, questiontest.Join(all.Warnings))
		}
		if !all.Counted.Value.Known {
			t.Errorf("%s: what was counted is not told", c.name)
		}
		if c.known && !(all.Corrected.Value.Value >= all.Counted.Value.Value) {
			t.Errorf("%s: %v made up of %v", c.name, all.Corrected.Value, all.Counted.Value)
		}
		for _, row := range r.Observers {
			if !row.Probability.Value.Known && len(row.Warnings) == 0 {
				t.Errorf("%s: an empty row without a reason: %+v", c.name, row)
			}
		}
	}
}

// TestUnnamedFindsStayAsTheyAre: what was found where nobody is named is not
// made up for.
func TestUnnamedFindsStayAsTheyAre(t *testing.T) {
	w := watchedWorld(t)
	before := correctedOf(t, answer(t, w).Corrected, result.Plot, "green", result.All)
	w.Plot(t, "green", "G9", "2031-05-01")
	w.Find(t, "G9", "2031-05-01", 1, 5, survey.Saprotrophic, "spruce")
	after := correctedOf(t, answer(t, w).Corrected, result.Plot, "green", result.All)
	near(t, "made up", after.Corrected.Value.Value*0.05, before.Corrected.Value.Value*0.04+5, 1e-9)
}

// TestCorrectionsAsked: the settings choose, and can have none.
func TestCorrectionsAsked(t *testing.T) {
	w := watchedWorld(t)
	w.Visit(t, "B0", "2031-05-01", 2)
	w.Visits[len(w.Visits)-1].Observers = "Ada"
	for asked, want := range map[string]string{survey.AsRecorded: survey.Observers, survey.Observers: survey.Observers, survey.Passes: survey.Passes, survey.NoneMissed: ""} {
		w.Settings.Missed.Correction = asked
		r := answer(t, w)
		if want == "" {
			if len(r.Corrected) > 0 || len(r.Observers) == 0 || len(r.Passes) == 0 {
				t.Errorf("%s: %d densities made up, %d rows of observers, %d of passes", asked, len(r.Corrected), len(r.Observers), len(r.Passes))
			}
			continue
		}
		if got := correctedOf(t, r.Corrected, result.Plot, result.All, result.All).Correction; got != want {
			t.Errorf("%s: made up by %s, want %s", asked, got, want)
		}
	}
}

// TestSecondPassMissesLess: who searches a plot a second time that day leaves
// what he missed twice.
func TestSecondPassMissesLess(t *testing.T) {
	w := watchedWorld(t)
	for i := range 8 {
		w.Visit(t, fmt.Sprint("B", i), "2031-05-01", 2)
		w.Visits[len(w.Visits)-1].Observers = "Ada"
	}
	c := correctedOf(t, answer(t, w).Corrected, result.Plot, "burn", result.All)
	ada, ben := 40/48.0, 40/52.0
	near(t, "chance", c.Probability.Value.Value, 1-(1-ada)*(1-ada)*(1-ben), 1e-9)
}

// TestQuietSurvey: a survey without observers or passes has no rows of them.
func TestQuietSurvey(t *testing.T) {
	w := fieldworktest.New()
	for i := range 4 {
		watched(t, &w, "burn", fmt.Sprint("P", i), []string{"Ada", ""}[i%2])
		w.Find(t, fmt.Sprint("P", i), "2031-05-01", 1, 2, survey.Saprotrophic, "spruce")
	}
	if r := answer(t, w); len(r.Observers)+len(r.Passes)+len(r.Corrected) > 0 {
		t.Errorf("%+v", r.Corrected)
	}
}

// passedWorld has ten plots of three passes that found 165, 101 and 54, after
// Zippin (1956).
func passedWorld(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	left := []int64{165, 101, 54}
	for i := range int64(10) {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		for pass := range int64(3) {
			if pass > 0 {
				w.Visit(t, id, "2031-05-01", pass+1)
			}
			n := left[pass] / 10
			if i < left[pass]%10 {
				n++
			}
			w.Find(t, id, "2031-05-01", pass+1, n, survey.Saprotrophic, "spruce")
		}
	}
	return w
}

func TestPassesCorrect(t *testing.T) {
	for _, rule := range []string{survey.New, survey.Standing} {
		w := passedWorld(t)
		w.Settings.Counting.Rule = rule
		r := answer(t, w)
		first := r.Passes[0]
		if first.Catches != "165; 101; 54" || first.Searches.Value != 10 || !first.Selected.Value || first.Stratum != result.Reached {
			t.Errorf("%s: %+v", rule, first)
		}
		near(t, "there were", first.Present.Value.Value, 397.2706715, 1e-8)
		near(t, "its SE", first.Present.SE.Value, 23.331997, 1e-6)
		near(t, "by the weighted likelihood", r.Passes[1].Present.Value.Value, 393, 0)
		c := correctedOf(t, r.Corrected, result.Plot, result.Reached, result.All)
		if c.Finds.Value != 320 || c.Correction != survey.Passes {
			t.Errorf("%s: %+v", rule, c)
		}
		near(t, "made up", c.Corrected.Value.Value, 3200*397.2706715/320, 1e-8)
	}
}

// TestPassesThatCannotTell: catches that do not fall, and passes without a row.
func TestPassesThatCannotTell(t *testing.T) {
	w := passedWorld(t)
	for i := range w.Finds {
		w.Finds[i].Count.Value = 8
	}
	r := answer(t, w)
	c := correctedOf(t, r.Corrected, result.Plot, "burn", result.All)
	if c.Corrected.Value.Known || !c.Counted.Value.Known || !questiontest.Warns(c.Warnings, "catches-not-falling") {
		t.Errorf("flat catches: %+v", c)
	}
	if r.Passes[0].Present.Value.Known || !r.Passes[1].Present.Value.Known {
		t.Errorf("flat catches: %+v", r.Passes)
	}
	w = passedWorld(t)
	w.Visits[1].Pass.Value, w.Finds[1].Pass.Value = 7, 7
	r = answer(t, w)
	if r.Passes[0].Searches.Value != 9 || !questiontest.Warns(r.Passes[0].Warnings, "pass-gap") {
		t.Errorf("a gap: %+v", r.Passes[0])
	}
	w = passedWorld(t)
	w.Plot(t, "green", "G", "2031-05-01")
	w.Find(t, "G", "2031-05-01", 1, 6, survey.Saprotrophic, "spruce")
	r = answer(t, w)
	green := correctedOf(t, r.Corrected, result.Plot, "green", result.All)
	near(t, "a single pass", green.Probability.Value.Value, r.Passes[0].Probability.Value.Value, 1e-9)
	if !questiontest.Warns(green.Warnings, "single-passes") || !questiontest.Warns(r.Passes[1].Warnings, "passes-differ") {
		t.Errorf("a single pass: %q", questiontest.Join(green.Warnings))
	}
}

// TestManyDaysCountOnce: where visits record what is new, what the first visit of a
// plot missed and the second recorded is corrected for once. Fruit bodies stand ten
// days and the visits lie eight apart: of ages 0 to 10 those over 2 are gone, so a fifth
// of what the first visit missed is not made up for.
func TestManyDaysCountOnce(t *testing.T) {
	w := watchedWorld(t)
	w.Settings.Curve.StandingDays = survey.Range{Low: 10, High: 10}
	w.Visit(t, "B0", "2031-05-09", 1)
	w.Visits[len(w.Visits)-1].Observers = "Ada;Ben"
	one := func(rule string) (all, stratum CorrectedRow) {
		w.Settings.Counting.Rule = rule
		a := answer(t, w)
		burn := correctedOf(t, a.Corrected, result.Plot, "burn", result.All)
		// What the factors of the chain give is what the row has.
		factor, ok := a.known.Detection.Of[question.Place{Method: result.Plot, Stratum: "burn"}]
		near(t, "factor", factor.Value, burn.Corrected.Value.Value/burn.Counted.Value.Value, 1e-12)
		if ok != true || questiontest.Warns(factor.Warnings, "recorded-later") != (rule == survey.New) {
			t.Errorf("%s: %+v", rule, factor)
		}
		domains := slices.DeleteFunc(a.season.Domains(result.Plot, a.season.UnitSeasons()), func(d fieldwork.Domain) bool { return d.Years != result.All })
		for _, level := range []float64{0.95, 0.8} {
			d, _, err := a.known.Corrected.Over(domains[:1], level)
			if err != nil || math.Abs(d.Value-burn.Corrected.Value.Value) > 1e-9 || (d.Upper == burn.Corrected.Upper.Value) != (level == 0.95) {
				t.Errorf("%s, %v: %+v beside %+v, %v", rule, level, d, burn.Corrected, err)
			}
		}
		return correctedOf(t, a.Corrected, result.Plot, result.All, result.All), burn
	}
	all, burn := one(survey.New)
	allTwice, twice := one(survey.Standing)
	if !questiontest.Warns(all.Warnings, "recorded-later") || questiontest.Warns(allTwice.Warnings, "recorded-later") {
		t.Errorf("%q", questiontest.Join(all.Warnings))
	}
	// B0 holds the finds i of 60 with i^2 mod 13 mod 8 = 0, none of a green plot's: those
	// that both, Ada and Ben saw are counted from the world.
	var n float64
	for _, f := range w.Finds {
		if f.Unit == "B0" {
			n += float64(f.Count.Value)
		}
	}
	present := twice.Corrected.Value.Value / twice.Counted.Value.Value // of each counted, in every plot
	area := 0.08
	near(t, "corrected once", twice.Corrected.Value.Value-burn.Corrected.Value.Value, 0.2*n*(present-1)/area, 1e-9)
}

// watchedLines is linesWorld with two observers whose chance falls with
// distance.
func watchedLines(t *testing.T) fieldworktest.World {
	w := fieldworktest.HalfNormalLines(t)
	for i := range w.Visits {
		w.Visits[i].Observers = "Ada;Ben"
	}
	for i := range w.Finds {
		w.Finds[i].SeenBy = "Ada;Ben"
		if far := w.Finds[i].DistanceM.Value > 1.5; i%7 == 2 || far && i%3 == 0 {
			w.Finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
		}
	}
	return w
}

// TestLinesOfTwoObservers: the density of lines is divided by the chance on the
// line, whose variance joins that of the lines.
func TestLinesOfTwoObservers(t *testing.T) {
	r := answer(t, watchedLines(t))
	all := observerRow(t, r.Observers, result.All, result.All, true)
	if all.Method != result.Line || !strings.Contains(all.Model, "distance") || !(all.OnLine.Value.Value > all.Probability.Value.Value && all.OnLine.Value.Value < 1) {
		t.Fatalf("%+v", all)
	}
	for _, stratum := range []string{result.All, "burn", "green"} {
		raw, c := r.density(t, result.Line, stratum, result.All), correctedOf(t, r.Corrected, result.Line, stratum, result.All)
		if c.Correction != onTheLine || c.Counted != raw.Estimate || c.Probability != all.OnLine {
			t.Errorf("%s: %+v", stratum, c)
		}
		near(t, "made up", c.Corrected.Value.Value, raw.Value.Value/all.OnLine.Value.Value, 1e-9)
		near(t, "variance", math.Pow(c.Corrected.CV.Value, 2), math.Pow(raw.CV.Value, 2)+math.Pow(all.OnLine.CV.Value, 2), 1e-9)
		near(t, "shares", c.FromUnits.Value+c.FromDistance.Value+c.FromMissed.Value, 100, 1e-9)
		if questiontest.Warns(c.Warnings, "g0-assumed") || !questiontest.Warns(raw.Warnings, "g0-assumed") {
			t.Errorf("%s: warnings %q", stratum, questiontest.Join(c.Warnings))
		}
	}
	w := watchedLines(t)
	for i := range w.Finds {
		w.Finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
	}
	c := correctedOf(t, answer(t, w).Corrected, result.Line, result.All, result.All)
	if c.Corrected.Value.Known || !c.Counted.Value.Known || !questiontest.Warns(c.Warnings, "none-seen-by-both") {
		t.Errorf("none by both: %+v", c)
	}
	w.Finds = nil
	if c := correctedOf(t, answer(t, w).Corrected, result.Line, result.All, result.All); c.Corrected.Value.Known || len(c.Warnings) == 0 {
		t.Errorf("nothing found: %+v", c)
	}
}

// TestPassesAlongLines are refused in words.
func TestPassesAlongLines(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Visit(t, "B0", "2031-05-01", 2)
	c := correctedOf(t, answer(t, w).Corrected, result.Line, result.All, result.All)
	if c.Corrected.Value.Known || !c.Counted.Value.Known || !questiontest.Warns(c.Warnings, "passes-along-lines") {
		t.Errorf("%+v", c)
	}
}

// TestSightsHoldInAnyOrder: neither the order of the rows nor that of the names
// reaches a result.
func TestSightsHoldInAnyOrder(t *testing.T) {
	w := watchedLines(t)
	want := answer(t, w)
	slices.Reverse(w.Finds)
	slices.Reverse(w.Visits)
	for i := range w.Visits {
		w.Visits[i].Observers = "Ben;Ada"
	}
	got := answer(t, w)
	for i, r := range want.Observers {
		if g := got.Observers[i]; g.Observer != r.Observer || !sameTo(g.Probability.Value.Value, r.Probability.Value.Value) || !sameTo(g.OnLine.Value.Value, r.OnLine.Value.Value) {
			t.Errorf("%+v, want %+v", g, r)
		}
	}
}

func sameTo(a, b float64) bool { return math.Abs(a-b) <= 1e-9 }

// TestAdaptivePlotsAreMoved: plots that were added are no sample of the land, so
// it is their own estimate that is made up, and they say what sight has to do
// with their being added.
func TestAdaptivePlotsAreMoved(t *testing.T) {
	w := fieldworktest.Thompson(t)
	w.Settings.Missed.Model = survey.ByObserver
	for i := range w.Visits {
		w.Visits[i].Observers = "Ada;Ben"
	}
	for i := range w.Finds {
		w.Finds[i].SeenBy = "Ada;Ben"
	}
	w.Finds[0].SeenBy, w.Finds[1].SeenBy = "Ada", "Ben"
	r := answer(t, w)
	raw, c := r.density(t, result.Adaptive, "burn", result.All), correctedOf(t, r.Corrected, result.Adaptive, "burn", result.All)
	if c.Counted != raw.Estimate || !(c.Probability.Value.Value < 1) || !questiontest.Warns(c.Warnings, "added-by-sight") {
		t.Errorf("%+v", c)
	}
	near(t, "made up", c.Corrected.Value.Value, raw.Value.Value/c.Probability.Value.Value, 1e-9)
}

// TestSettingsThatCannotBeFollowed: what the settings ask for and the survey
// cannot give is told on the rows.
func TestSettingsThatCannotBeFollowed(t *testing.T) {
	corrected := func(w fieldworktest.World, method string) string {
		return questiontest.Join(correctedOf(t, answer(t, w).Corrected, method, result.All, result.All).Warnings)
	}
	w := watchedWorld(t)
	w.Strata, w.Visits, w.Finds = w.Strata[:1], w.Visits[:8], nil
	w.Plots = w.Plots[:8]
	for i, id := range []string{"B0", "B1", "B2", "B0", "B3", "B4"} {
		sighted(t, &w, id, 1, []string{"Ada;Ben", "Ada", "Ada;Ben", "Ben", "Ada;Ben", "Ada;Ben"}[i])
	}
	w.Settings.Missed.Model = survey.ByStratum
	if told := corrected(w, result.Plot); !strings.Contains(told, "depend on the stratum, which does not differ among these finds") {
		t.Errorf("a single stratum: %q", told)
	}
	w.Settings.Missed.Model = survey.ByGroupSize
	if told := corrected(w, result.Plot); !strings.Contains(told, "depend on the group size, which does not differ") {
		t.Errorf("groups of one: %q", told)
	}
	w.Settings.Missed.Model = survey.ByObserver
	if told := corrected(w, result.Plot); strings.Contains(told, "model-not-used") {
		t.Errorf("a model that was used: %q", told)
	}
	w.Settings.Missed.Correction = survey.Passes
	if told := corrected(w, result.Plot); !strings.Contains(told, "no day that counts has two passes") {
		t.Errorf("no passes: %q", told)
	}

	w = fieldworktest.HalfNormalLines(t)
	w.Settings.Missed.Correction = survey.Observers
	if told := corrected(w, result.Line); !strings.Contains(told, "no visit that counts has two who searched on their own") {
		t.Errorf("no observers along lines: %q", told)
	}
	w.Settings.Missed.Correction = survey.AsRecorded
	if n := len(answer(t, w).Corrected); n != 0 {
		t.Errorf("%d rows of a correction that nobody asked for", n)
	}
}

// TestGroundOfSeasons: plots on a fifth of each stratum, searched again in other
// seasons with the same finds, leave the variance between units as it was.
func TestGroundOfSeasons(t *testing.T) {
	withObservers := func(seasons int) fieldworktest.World {
		w := fieldworktest.Seasons(t, seasons)
		w.Settings.Missed.Model = survey.ByObserver
		return w
	}
	first := answer(t, withObservers(1))
	for seasons := 2; seasons <= 6; seasons++ {
		r := answer(t, withObservers(seasons))
		was, is := correctedOf(t, first.Corrected, result.Plot, result.All, result.All), correctedOf(t, r.Corrected, result.Plot, result.All, result.All)
		between := func(c CorrectedRow) float64 { return c.FromUnits.Value * c.Corrected.SE.Value * c.Corrected.SE.Value }
		near(t, "corrected variance between units", between(is), between(was), 1e-9)
	}
}

// TestReached: of strips in one stratum the rows over strata say so, with its share of
// the survey area.
func TestReached(t *testing.T) {
	a := answer(t, fieldworktest.Reaching(t))
	told := 0
	for _, r := range a.Corrected {
		if fieldwork.OverStrata(r.Stratum) != (r.Stratum == map[string]string{result.Plot: result.All, result.Strip: result.Reached}[r.Method]) {
			t.Errorf("%s is labelled %q", r.Method, r.Stratum)
		}
		if share := strings.Contains(questiontest.Join(r.Warnings), fieldworktest.ShareOfReach); share != (r.Stratum == result.Reached) {
			t.Errorf("%s, %s: that it is of a part is told %v", r.Method, r.Stratum, share)
		} else if share {
			told++
		}
	}
	for _, o := range a.Observers {
		if o.Method == result.Strip && o.Stratum == result.All {
			t.Errorf("observers along strips: %+v", o)
		}
	}
	if told == 0 {
		t.Error("no row is of a part")
	}
}

// TestStratumOfOneUnit: a stratum of one unit takes the interval from nothing, and the
// row says with which stratum it was collapsed.
func TestStratumOfOneUnit(t *testing.T) {
	w := watchedWorld(t)
	w.Strata = append(w.Strata, survey.Stratum{Stratum: "hollow", AreaHa: fieldworktest.Known(1), FireDate: "2030-08-01"})
	watched(t, &w, "hollow", "H0", "Ada;Ben")
	sighted(t, &w, "H0", 4, "Ada;Ben")
	for _, with := range []string{"burn", "green"} {
		w.Settings.SingleUnitStrata = map[string]string{"hollow": with}
		c := correctedOf(t, answer(t, w).Corrected, result.Plot, result.All, result.All)
		if !c.Corrected.SE.Known || !c.Corrected.Upper.Known || !c.Counted.SE.Known {
			t.Errorf("%+v", c)
		}
		if told := questiontest.Join(c.Warnings); !strings.Contains(told, "stratum hollow has one") || !strings.Contains(told, "with stratum "+with) {
			t.Errorf("told %q, want the stratum %s", told, with)
		}
	}
}

// TestSections: the finding has the numbers of the corrected density, and the figures
// can be drawn, of plots, of passes and of lines.
func TestSections(t *testing.T) {
	for name, c := range map[string]struct {
		w              fieldworktest.World
		finding, text  string
		figures, parts int
	}{
		// 1 - (8/48) (12/52) = 25/26 of what was present was detected.
		"observers": {watchedWorld(t), "Estimated density of fruit bodies corrected for imperfect detection, survey area: ", "Detection probability of fruit bodies on plots, by double-observer counts: 0.962 (standard error 0.0", 2, 3},
		"passes":    {passedWorld(t), "Estimated density of fruit bodies corrected for imperfect detection, strata sampled: ", "Detection probability of fruit bodies on plots, by removal sampling: 0.805 (standard error 0.0", 1, 3},
		"lines":     {watchedLines(t), "Estimated density of fruit bodies corrected for imperfect detection, survey area: ", "Detection probability on the line itself, by double-observer counts: 0.9", 2, 3},
	} {
		u := page.Units{}
		a := answer(t, c.w)
		s := a.Sections(u)[0]
		if got := s.Finding.Sentence(u); !s.Leads || !strings.HasPrefix(got, c.finding) || !strings.Contains(got, "95 % CI") {
			t.Errorf("%s: it says %q", name, got)
		}
		if got := s.Text[0].Sentence(u); !strings.HasPrefix(got, c.text) {
			t.Errorf("%s: it says %q, want %q", name, got, c.text)
		}
		figures := page.Report{Settings: c.w.Settings, Sections: []page.Section{s}}.Figures()
		if len(figures) != c.figures || len(s.Appendix) != c.parts || len(s.Table.Rows) == 0 {
			t.Errorf("%s: %d figures, %d parts", name, len(figures), len(s.Appendix))
		}
		for _, f := range figures {
			if f.Draw(u); f.Err() != nil {
				t.Errorf("%s: %v", name, f.Err())
			}
		}
	}
}

// TestSectionsThatCannotTell: without a correction there is no finding, and the reason
// is among the limitations.
func TestSectionsThatCannotTell(t *testing.T) {
	w := watchedWorld(t)
	for i := range w.Finds {
		w.Finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
	}
	s := answer(t, w).Sections(page.Units{})[0]
	if !s.Finding.Empty() || s.Figure != nil || !slices.ContainsFunc(s.Limitations, func(l page.Limitation) bool { return l.Warning.Is(observers.NoneSeenByBoth) }) {
		t.Errorf("it says %q, limitations %+v", s.Finding.Sentence(page.Units{}), s.Limitations)
	}
	if s := (Answer{}).Sections(page.Units{})[0]; !s.Finding.Empty() || len(s.Appendix) > 0 {
		t.Errorf("a survey that says nothing has %d parts", len(s.Appendix))
	}
}

// TestWarningsAreTyped: each warning of the rows is of a type that is declared.
func TestWarningsAreTyped(t *testing.T) {
	declared := map[*stats.WarningType]bool{}
	for _, list := range append(Warnings(), stats.Warnings, fieldwork.Warnings) {
		for _, w := range list {
			declared[w] = true
		}
	}
	alone := watchedWorld(t)
	alone.Visits[0].Observers = "Cy"
	for i := range alone.Finds {
		if alone.Finds[i].Unit == "B0" {
			alone.Finds[i].SeenBy = "Cy"
		}
	}
	for name, w := range map[string]fieldworktest.World{"observers": alone, "passes": passedWorld(t), "lines": watchedLines(t), "adaptive": fieldworktest.Thompson(t), "reaching": fieldworktest.Reaching(t)} {
		a := answer(t, w)
		for _, table := range a.Tables() {
			for row := range table.Rows() {
				for _, warning := range table.Warnings(row) {
					if !declared[warning.Type] {
						t.Errorf("%s: %s has no type that is declared", name, warning.Code)
					}
				}
			}
		}
	}
}
