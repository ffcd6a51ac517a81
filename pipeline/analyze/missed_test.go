package analyze

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// watched adds a plot of 100 m2 that some searched on the first of May.
func (w *world) watched(t *testing.T, stratum, id, who string) {
	w.plot(t, stratum, id, "2031-05-01")
	w.visits[len(w.visits)-1].Observers = who
}

// sighted adds a find that some saw.
func (w *world) sighted(t *testing.T, unit string, n int64, who string) {
	w.find(t, unit, "2031-05-01", 1, n, survey.Saprotrophic, "spruce")
	w.finds[len(w.finds)-1].SeenBy = who
}

// watchedWorld has eight plots in the burn and four in the green, searched by
// Ada and Ben: 40 finds seen by both, 12 by Ada alone and 8 by Ben alone, and
// plots that differ in their finds.
func watchedWorld(t *testing.T) world {
	w := newWorld()
	w.settings.Missed.Model = survey.ByObserver
	for i := range 8 {
		w.watched(t, "burn", fmt.Sprint("B", i), "Ada;Ben")
	}
	for i := range 4 {
		w.watched(t, "green", fmt.Sprint("G", i), "Ben;Ada")
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
		w.sighted(t, on, 1, who)
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

func correctedRow(t *testing.T, rows []CorrectedRow, method, stratum, years string) CorrectedRow {
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
	r := watchedWorld(t).answer(t)
	ada, ben, all := observerRow(t, r.Observers, All, "Ada", true), observerRow(t, r.Observers, All, "Ben", true), observerRow(t, r.Observers, All, All, true)
	pAda, pBen := 40/48.0, 40/52.0
	near(t, "Ada's chance", ada.Chance.Value.Value, pAda, 1e-9)
	near(t, "Ben's chance", ben.Chance.Value.Value, pBen, 1e-9)
	p := 1 - (1-pAda)*(1-pBen)
	near(t, "both together", all.Chance.Value.Value, p, 1e-9)
	near(t, "there were", all.Present.Value.Value, 60/p, 1e-9)
	near(t, "Chapman", all.Chapman.Value.Value, 53*49/41.0-1, 1e-12)
	if ada.Seen.Value != 52 || ada.Alone.Value != 12 || ben.Seen.Value != 48 || all.Both.Value != 40 || all.Finds.Value != 60 || len(all.Warnings) != 1 || all.Warnings[0].Code != "sight-untested" {
		t.Errorf("%+v\n%+v", ada, all)
	}
	for _, place := range []struct{ stratum, years string }{{All, All}, {All, "1"}, {All, Unburned}, {"burn", All}, {"green", Unburned}} {
		c := correctedRow(t, r.Corrected, PlotMethod, place.stratum, place.years)
		raw := row(t, r.Density, fieldwork.Key{Method: PlotMethod, Stratum: place.stratum, Years: place.years, Mode: All, Tree: All, Taxon: All})
		if c.Counted != raw.Estimate || c.Finds != raw.Finds || c.Correction != survey.Observers {
			t.Errorf("%+v: counted %+v, the densities say %+v", place, c.Counted, raw.Estimate)
		}
		near(t, "made up", c.Corrected.Value.Value, raw.Value.Value/p, 1e-9)
		near(t, "chance", c.Chance.Value.Value, p, 1e-9)
		ofChance := c.Chance.SE.Value / p
		near(t, "variance", math.Pow(c.Corrected.CV.Value, 2), math.Pow(raw.CV.Value, 2)+ofChance*ofChance, 1e-9)
		near(t, "share of the chance", c.FromMissed.Value/100, ofChance*ofChance/math.Pow(c.Corrected.CV.Value, 2), 1e-9)
		near(t, "shares", c.FromMissed.Value+c.FromUnits.Value, 100, 1e-9)
		if !(c.Corrected.Lower.Value > raw.Lower.Value && c.Corrected.Upper.Value > raw.Upper.Value && c.Corrected.Upper.Value/c.Corrected.Lower.Value > raw.Upper.Value/raw.Lower.Value) {
			t.Errorf("%+v: limits %+v of %+v", place, c.Corrected, raw.Estimate)
		}
	}
	if len(r.Passes) > 0 {
		t.Error("a survey without passes has rows of them")
	}
	shares := r.Shares[0]
	near(t, "unseen", shares.Unseen, 60/p-60, 1e-9)
	if len(r.Shares) != 1 || shares.Both != 40 || !slices.Equal(shares.Alone, []float64{12, 8}) || shares.Together.Value != all.Chance.Value.Value {
		t.Errorf("%+v", shares)
	}
}

// threeWorld has twelve plots searched by three, with finds that one, two or all
// three of them saw: so many of each.
func threeWorld(t *testing.T, one, two, three int) world {
	w := newWorld()
	w.settings.Missed.Model = survey.ByObserver
	for i := range 12 {
		w.watched(t, []string{"burn", "green"}[i/8], fmt.Sprint("P", i), "Ada;Ben;Cleo")
	}
	names := []string{"Ada", "Ben", "Cleo", "Ada", "Ben"}
	n := 0
	for k, finds := range []int{one, two, three} {
		for i := range finds {
			w.sighted(t, fmt.Sprint("P", n*n%12), 1, strings.Join(names[i%3:i%3+k+1], ";"))
			n++
		}
	}
	return w
}

// TestSightThatVaries: of finds that are seen by one or by all three rather than by two,
// sight varied, and the corrected density rests on a model that lets it. Chao's lower
// bound by hand: 150 + (2/3) 54 53 / (2 31) = 180.774.
func TestSightThatVaries(t *testing.T) {
	r := threeWorld(t, 54, 30, 66).answer(t)
	all := observerRow(t, r.Observers, All, All, true)
	if all.Model != "by observer + varying among finds" || !warns(all.Warnings, "sight-varies") || !all.Chao.Value.Known {
		t.Fatalf("%+v", all)
	}
	near(t, "Chao's bound", all.Chao.Value.Value, 150+2.0/3*54*53/62, 1e-9)
	even := observerRow(t, r.Observers, All, All, false)
	if even.Model != "by observer" || !(even.SightP.Value < 0.05) || !warns(even.Warnings, "sight-varies") || !(even.DeltaAIC.Value > 0) {
		t.Errorf("%+v", even)
	}
	c := correctedRow(t, r.Corrected, PlotMethod, All, All)
	near(t, "corrected by the model selected", c.Corrected.Value.Value/c.Counted.Value.Value, all.Present.Value.Value/150, 1e-6)
	if !(c.Corrected.Value.Value > c.Counted.Value.Value*even.Present.Value.Value/150*1.05) || !warns(c.Warnings, "sight-varies") {
		t.Errorf("corrected %+v, %v", c.Corrected, c.Warnings)
	}
}

// TestSightThatIsEven: of three who see half of all finds each, nothing is said of
// sight that varies, and the model of even sight is selected.
func TestSightThatIsEven(t *testing.T) {
	r := threeWorld(t, 60, 60, 20).answer(t)
	all := observerRow(t, r.Observers, All, All, true)
	if all.Model != "by observer" || warns(all.Warnings, "sight-varies") || warns(all.Warnings, "sight-untested") || !(all.SightP.Value > 0.3) {
		t.Errorf("%+v", all)
	}
	if other := observerRow(t, r.Observers, All, All, false); other.Weight.Value != 0 {
		t.Errorf("a model that could not be selected has weight: %+v", other)
	}
}

// TestModelsByAIC: groups that both see and single ones that one misses make a
// model with their size, and every model that was tried has its row.
func TestModelsByAIC(t *testing.T) {
	w := watchedWorld(t)
	w.settings.Missed.Model = survey.LowestAIC
	for i := range w.finds {
		if w.finds[i].SeenBy == "Ada;Ben" && i%8 > 0 || i%20 == 2 {
			w.finds[i].Count.Value = 4
		}
	}
	r := w.answer(t)
	best := r.Observers[0]
	if !best.Selected.Value || !strings.Contains(best.Model, "group size") || best.DeltaAIC.Value != 0 || !strings.Contains(join(best.Warnings), "finds-unlike") {
		t.Errorf("chose %+v", best)
	}
	tried := 0
	for _, row := range r.Observers {
		if row.Stratum == All && row.Observer == All {
			tried++
			if row.DeltaAIC.Known && row.DeltaAIC.Value < 0 && row.Weight.Value > 0 {
				t.Errorf("%s is better than the one chosen", row.Model)
			}
		}
	}
	if tried != 8 {
		t.Errorf("%d models, want 8", tried)
	}
	w.settings.Missed.Model = survey.ByStratum
	if r := w.answer(t); r.Observers[0].Model != "by observer + stratum" {
		t.Errorf("asked for strata, got %s", r.Observers[0].Model)
	}
}

// TestObserversThatCannotTell: each row that cannot be had says why, and each
// doubt of the visits is told.
func TestObserversThatCannotTell(t *testing.T) {
	every := func(who string) func(*world) {
		return func(w *world) {
			for i := range w.finds {
				w.finds[i].SeenBy = who
			}
		}
	}
	for _, c := range []struct {
		name   string
		change func(*world)
		known  bool
		code   string
	}{
		{"none by both", func(w *world) {
			for i := range w.finds {
				w.finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
			}
		}, false, "none-seen-by-both"},
		{"all by both", every("Ada;Ben"), true, "all-seen-by-all"},
		{"a subset", func(w *world) {
			for i := range w.finds {
				if w.finds[i].SeenBy == "Ben" {
					w.finds[i].SeenBy = "Ada;Ben"
				}
			}
		}, true, "observer-adds-nothing"},
		{"few by both", func(w *world) { w.finds = w.finds[:8] }, true, "few-seen-by-both"},
		{"nobody wrote it down", every(""), false, "no-two-observers"},
		{"not of one find", func(w *world) { w.finds[3].SeenBy = "" }, true, "sight-unrecorded"},
		{"nothing found", func(w *world) { w.finds = nil }, false, "no-two-observers"},
		{"a visit without names", func(w *world) {
			w.visits[0].Observers = ""
			for i := range w.finds {
				if w.finds[i].Unit == "B0" {
					w.finds[i].SeenBy = ""
				}
			}
		}, true, "observers-unnamed"},
		{"a stranger alone", func(w *world) {
			w.visits[0].Observers = "Cy"
			for i := range w.finds {
				if w.finds[i].Unit == "B0" {
					w.finds[i].SeenBy = "Cy"
				}
			}
		}, true, "observer-unpaired"},
	} {
		w := watchedWorld(t)
		c.change(&w)
		r := w.answer(t)
		all := correctedRow(t, r.Corrected, PlotMethod, All, All)
		if all.Corrected.Value.Known != c.known || !strings.Contains(join(all.Warnings), c.code+": ") {
			t.Errorf("%s: %+v, warnings %q", c.name, all.Corrected, join(all.Warnings))
		}
		if !all.Counted.Value.Known {
			t.Errorf("%s: what was counted is not told", c.name)
		}
		if c.known && !(all.Corrected.Value.Value >= all.Counted.Value.Value) {
			t.Errorf("%s: %v made up of %v", c.name, all.Corrected.Value, all.Counted.Value)
		}
		for _, row := range r.Observers {
			if !row.Chance.Value.Known && len(row.Warnings) == 0 {
				t.Errorf("%s: an empty row without a reason: %+v", c.name, row)
			}
		}
	}
}

// TestUnnamedFindsStayAsTheyAre: what was found where nobody is named is not
// made up for.
func TestUnnamedFindsStayAsTheyAre(t *testing.T) {
	w := watchedWorld(t)
	before := correctedRow(t, w.answer(t).Corrected, PlotMethod, "green", All)
	w.plot(t, "green", "G9", "2031-05-01")
	w.find(t, "G9", "2031-05-01", 1, 5, survey.Saprotrophic, "spruce")
	after := correctedRow(t, w.answer(t).Corrected, PlotMethod, "green", All)
	near(t, "made up", after.Corrected.Value.Value*0.05, before.Corrected.Value.Value*0.04+5, 1e-9)
}

// TestCorrectionsAsked: the settings choose, and can have none.
func TestCorrectionsAsked(t *testing.T) {
	w := watchedWorld(t)
	w.visit(t, "B0", "2031-05-01", 2)
	w.visits[len(w.visits)-1].Observers = "Ada"
	for asked, want := range map[string]string{survey.AsRecorded: survey.Observers, survey.Observers: survey.Observers, survey.Passes: survey.Passes, survey.NoneMissed: ""} {
		w.settings.Missed.Correction = asked
		r := w.answer(t)
		if want == "" {
			if len(r.Corrected) > 0 || len(r.Observers) == 0 || len(r.Passes) == 0 {
				t.Errorf("%s: %d densities made up, %d rows of observers, %d of passes", asked, len(r.Corrected), len(r.Observers), len(r.Passes))
			}
			continue
		}
		if got := correctedRow(t, r.Corrected, PlotMethod, All, All).Correction; got != want {
			t.Errorf("%s: made up by %s, want %s", asked, got, want)
		}
	}
}

// TestSecondPassMissesLess: who searches a plot a second time that day leaves
// what he missed twice.
func TestSecondPassMissesLess(t *testing.T) {
	w := watchedWorld(t)
	for i := range 8 {
		w.visit(t, fmt.Sprint("B", i), "2031-05-01", 2)
		w.visits[len(w.visits)-1].Observers = "Ada"
	}
	c := correctedRow(t, w.answer(t).Corrected, PlotMethod, "burn", All)
	ada, ben := 40/48.0, 40/52.0
	near(t, "chance", c.Chance.Value.Value, 1-(1-ada)*(1-ada)*(1-ben), 1e-9)
}

// TestQuietSurvey: a survey without observers or passes has no rows of them.
func TestQuietSurvey(t *testing.T) {
	w := newWorld()
	for i := range 4 {
		w.watched(t, "burn", fmt.Sprint("P", i), []string{"Ada", ""}[i%2])
		w.find(t, fmt.Sprint("P", i), "2031-05-01", 1, 2, survey.Saprotrophic, "spruce")
	}
	if r := w.answer(t); len(r.Observers)+len(r.Passes)+len(r.Corrected)+len(r.Shares) > 0 {
		t.Errorf("%+v", r.Corrected)
	}
}

// passedWorld has ten plots of three passes that found 165, 101 and 54, after
// Zippin (1956).
func passedWorld(t *testing.T) world {
	w := newWorld()
	left := []int64{165, 101, 54}
	for i := range int64(10) {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		for pass := range int64(3) {
			if pass > 0 {
				w.visit(t, id, "2031-05-01", pass+1)
			}
			n := left[pass] / 10
			if i < left[pass]%10 {
				n++
			}
			w.find(t, id, "2031-05-01", pass+1, n, survey.Saprotrophic, "spruce")
		}
	}
	return w
}

func TestPassesCorrect(t *testing.T) {
	for _, rule := range []string{survey.New, survey.Standing} {
		w := passedWorld(t)
		w.settings.Counting.Rule = rule
		r := w.answer(t)
		first := r.Passes[0]
		if first.Catches != "165; 101; 54" || first.Searches.Value != 10 || !first.Selected.Value || first.Stratum != Reached {
			t.Errorf("%s: %+v", rule, first)
		}
		near(t, "there were", first.Present.Value.Value, 397.2706715, 1e-8)
		near(t, "its SE", first.Present.SE.Value, 23.331997, 1e-6)
		near(t, "by the weighted likelihood", r.Passes[1].Present.Value.Value, 393, 0)
		c := correctedRow(t, r.Corrected, PlotMethod, Reached, All)
		if c.Finds.Value != 320 || c.Correction != survey.Passes {
			t.Errorf("%s: %+v", rule, c)
		}
		near(t, "made up", c.Corrected.Value.Value, 3200*397.2706715/320, 1e-8)
	}
}

// TestPassesThatCannotTell: catches that do not fall, and passes without a row.
func TestPassesThatCannotTell(t *testing.T) {
	w := passedWorld(t)
	for i := range w.finds {
		w.finds[i].Count.Value = 8
	}
	r := w.answer(t)
	c := correctedRow(t, r.Corrected, PlotMethod, "burn", All)
	if c.Corrected.Value.Known || !c.Counted.Value.Known || !strings.Contains(join(c.Warnings), "catches-not-falling: ") {
		t.Errorf("flat catches: %+v", c)
	}
	if r.Passes[0].Present.Value.Known || !r.Passes[1].Present.Value.Known {
		t.Errorf("flat catches: %+v", r.Passes)
	}
	w = passedWorld(t)
	w.visits[1].Pass.Value, w.finds[1].Pass.Value = 7, 7
	r = w.answer(t)
	if r.Passes[0].Searches.Value != 9 || !strings.Contains(join(r.Passes[0].Warnings), "pass-gap: ") {
		t.Errorf("a gap: %+v", r.Passes[0])
	}
	w = passedWorld(t)
	w.plot(t, "green", "G", "2031-05-01")
	w.find(t, "G", "2031-05-01", 1, 6, survey.Saprotrophic, "spruce")
	r = w.answer(t)
	green := correctedRow(t, r.Corrected, PlotMethod, "green", All)
	near(t, "a single pass", green.Chance.Value.Value, r.Passes[0].Chance.Value.Value, 1e-9)
	if !strings.Contains(join(green.Warnings), "single-passes: ") || !strings.Contains(join(r.Passes[1].Warnings), "passes-differ: ") {
		t.Errorf("a single pass: %q", join(green.Warnings))
	}
}

// TestManyDaysMayCountTwice warns of a season that is a sum of days.
func TestManyDaysMayCountTwice(t *testing.T) {
	w := watchedWorld(t)
	w.visit(t, "B0", "2031-05-09", 1)
	w.visits[len(w.visits)-1].Observers = "Ada;Ben"
	for rule, want := range map[string]bool{survey.New: true, survey.Standing: false} {
		w.settings.Counting.Rule = rule
		c := correctedRow(t, w.answer(t).Corrected, PlotMethod, All, All)
		if got := strings.Contains(join(c.Warnings), "missed-may-return: "); got != want {
			t.Errorf("%s: warned %v, want %v", rule, got, want)
		}
	}
}

// watchedLines is linesWorld with two observers whose chance falls with
// distance.
func watchedLines(t *testing.T) world {
	w := linesWorld(t)
	for i := range w.visits {
		w.visits[i].Observers = "Ada;Ben"
	}
	for i := range w.finds {
		w.finds[i].SeenBy = "Ada;Ben"
		if far := w.finds[i].DistanceM.Value > 1.5; i%7 == 2 || far && i%3 == 0 {
			w.finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
		}
	}
	return w
}

// TestLinesOfTwoObservers: the density of lines is divided by the chance on the
// line, whose variance joins that of the lines.
func TestLinesOfTwoObservers(t *testing.T) {
	r := watchedLines(t).answer(t)
	all := observerRow(t, r.Observers, All, All, true)
	if all.Method != LineMethod || !strings.Contains(all.Model, "distance") || !(all.OnLine.Value.Value > all.Chance.Value.Value && all.OnLine.Value.Value < 1) {
		t.Fatalf("%+v", all)
	}
	for _, stratum := range []string{All, "burn", "green"} {
		raw, c := row(t, r.Density, fieldwork.Pooled(LineMethod, stratum)), correctedRow(t, r.Corrected, LineMethod, stratum, All)
		if c.Correction != onTheLine || c.Counted != raw.Estimate || c.Chance != all.OnLine {
			t.Errorf("%s: %+v", stratum, c)
		}
		near(t, "made up", c.Corrected.Value.Value, raw.Value.Value/all.OnLine.Value.Value, 1e-9)
		near(t, "variance", math.Pow(c.Corrected.CV.Value, 2), math.Pow(raw.CV.Value, 2)+math.Pow(all.OnLine.CV.Value, 2), 1e-9)
		near(t, "shares", c.FromUnits.Value+c.FromDistance.Value+c.FromMissed.Value, 100, 1e-9)
		if strings.Contains(join(c.Warnings), "g0-assumed") || !hasWarning(raw, "g0-assumed") {
			t.Errorf("%s: warnings %q", stratum, join(c.Warnings))
		}
	}
	w := watchedLines(t)
	for i := range w.finds {
		w.finds[i].SeenBy = []string{"Ada", "Ben"}[i%2]
	}
	c := correctedRow(t, w.answer(t).Corrected, LineMethod, All, All)
	if c.Corrected.Value.Known || !c.Counted.Value.Known || !strings.Contains(join(c.Warnings), "none-seen-by-both: ") {
		t.Errorf("none by both: %+v", c)
	}
	w.finds = nil
	if c := correctedRow(t, w.answer(t).Corrected, LineMethod, All, All); c.Corrected.Value.Known || len(c.Warnings) == 0 {
		t.Errorf("nothing found: %+v", c)
	}
}

// TestPassesAlongLines are refused in words.
func TestPassesAlongLines(t *testing.T) {
	w := linesWorld(t)
	w.visit(t, "B0", "2031-05-01", 2)
	c := correctedRow(t, w.answer(t).Corrected, LineMethod, All, All)
	if c.Corrected.Value.Known || !c.Counted.Value.Known || !strings.Contains(join(c.Warnings), "passes-along-lines: ") {
		t.Errorf("%+v", c)
	}
}

// TestSightsHoldInAnyOrder: neither the order of the rows nor that of the names
// reaches a result.
func TestSightsHoldInAnyOrder(t *testing.T) {
	w := watchedLines(t)
	want := w.answer(t)
	slices.Reverse(w.finds)
	slices.Reverse(w.visits)
	for i := range w.visits {
		w.visits[i].Observers = "Ben;Ada"
	}
	got := w.answer(t)
	for i, r := range want.Observers {
		if g := got.Observers[i]; g.Observer != r.Observer || !sameTo(g.Chance.Value.Value, r.Chance.Value.Value) || !sameTo(g.OnLine.Value.Value, r.OnLine.Value.Value) {
			t.Errorf("%+v, want %+v", g, r)
		}
	}
}

func sameTo(a, b float64) bool { return math.Abs(a-b) <= 1e-9 }

// TestAdaptivePlotsAreMoved: plots that were added are no sample of the land, so
// it is their own estimate that is made up, and they say what sight has to do
// with their being added.
func TestAdaptivePlotsAreMoved(t *testing.T) {
	w := thompsonsWorld(t)
	w.settings.Missed.Model = survey.ByObserver
	for i := range w.visits {
		w.visits[i].Observers = "Ada;Ben"
	}
	for i := range w.finds {
		w.finds[i].SeenBy = "Ada;Ben"
	}
	w.finds[0].SeenBy, w.finds[1].SeenBy = "Ada", "Ben"
	r := w.answer(t)
	raw, c := row(t, r.Density, fieldwork.Pooled(AdaptiveMethod, "burn")), correctedRow(t, r.Corrected, AdaptiveMethod, "burn", All)
	if c.Counted != raw.Estimate || !(c.Chance.Value.Value < 1) || !strings.Contains(join(c.Warnings), "added-by-sight: ") {
		t.Errorf("%+v", c)
	}
	near(t, "made up", c.Corrected.Value.Value, raw.Value.Value/c.Chance.Value.Value, 1e-9)
}

func warns(list []stats.Warning, code string) bool { return strings.Contains(join(list), code+": ") }
