package plots

import (
	"errors"
	"strings"
	"testing"
)

// The numbers in this file are made up: no survey found them.

var seasonsSample = SeasonsSideBySide{
	Unit: perHectare, Confidence: 0.95,
	Rows: []SeasonDensity{
		{"North slope, severe burn", "2031", est(1240, 610, 2590, 24, 187)},
		{"North slope, severe burn", "2032", est(402, 190, 880, 24, 61)},
		{"South slope, severe burn", "2031", est(655, 280, 1610, 18, 74)},
		{"South slope, severe burn", "2032", est(0, 0, 103, 12, 0)},
		{"Unburned control", "2032", est(42, 9, 160, 20, 5)},
	},
}

func hostileSeasons() (Figure, error) {
	d := SeasonsSideBySide{Title: markup, Unit: endless, Confidence: 0.95}
	for _, name := range []string{markup, broken, endless, unspaced, foreign, ""} {
		d.Rows = append(d.Rows, SeasonDensity{name, "2031", est(3, 1, 9, 1234567, 7654321)}, SeasonDensity{name, endless, est(nan, nan, nan, 0, 0)})
	}
	return d.Figure()
}

func TestRefusesTooManySeasons(t *testing.T) {
	d := seasonsSample
	d.Rows = nil
	if _, err := d.Figure(); !errors.Is(err, ErrEmpty) {
		t.Errorf("no season: %v", err)
	}
	for _, year := range []string{"2031", "2032", "2033", "2034", "2035"} {
		d.Rows = append(d.Rows, SeasonDensity{"Ridge", year, est(1, nan, nan, 3, 1)})
	}
	if _, err := d.Figure(); err == nil || !strings.Contains(err.Error(), `no mark left for "2035"`) {
		t.Errorf("five seasons: %v", err)
	}
	d.Rows = d.Rows[:MostSeasons]
	if f, err := d.Figure(); err != nil || !strings.Contains(f.Alt, "Ridge, 2034: 1.00 (no interval; 3 units, 1 find).") {
		t.Errorf("four seasons: %q, %v", f.Alt, err)
	}
}
