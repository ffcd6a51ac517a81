package analyze

import (
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// TestSettingsThatCannotBeFollowed: what the settings ask for and the survey
// cannot give is told on the rows.
func TestSettingsThatCannotBeFollowed(t *testing.T) {
	corrected := func(w world, method string) string {
		return join(correctedRow(t, w.answer(t).Corrected, method, All, All).Warnings)
	}
	w := watchedWorld(t)
	w.strata, w.visits, w.finds = w.strata[:1], w.visits[:8], nil
	w.plots = w.plots[:8]
	for i, id := range []string{"B0", "B1", "B2", "B0", "B3", "B4"} {
		w.sighted(t, id, 1, []string{"Ada;Ben", "Ada", "Ada;Ben", "Ben", "Ada;Ben", "Ada;Ben"}[i])
	}
	w.settings.Missed.Model = survey.ByStratum
	if told := corrected(w, PlotMethod); !strings.Contains(told, "depend on the stratum, which does not differ among these finds") {
		t.Errorf("a single stratum: %q", told)
	}
	w.settings.Missed.Model = survey.ByGroupSize
	if told := corrected(w, PlotMethod); !strings.Contains(told, "depend on the group size, which does not differ") {
		t.Errorf("groups of one: %q", told)
	}
	w.settings.Missed.Model = survey.ByObserver
	if told := corrected(w, PlotMethod); strings.Contains(told, "model-not-used") {
		t.Errorf("a model that was used: %q", told)
	}
	w.settings.Missed.Correction = survey.Passes
	if told := corrected(w, PlotMethod); !strings.Contains(told, "no day that counts has two passes") {
		t.Errorf("no passes: %q", told)
	}

	w = linesWorld(t)
	w.settings.Missed.Correction = survey.Observers
	if told := corrected(w, LineMethod); !strings.Contains(told, "no visit that counts has two who searched on their own") {
		t.Errorf("no observers along lines: %q", told)
	}
	w.settings.Missed.Correction = survey.AsRecorded
	if n := len(w.answer(t).Corrected); n != 0 {
		t.Errorf("%d rows of a correction that nobody asked for", n)
	}
}
