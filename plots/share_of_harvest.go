package plots

import (
	"fmt"
	"math"
	"strings"
)

// ShareOfHarvest shows what share of the crop a harvest would take: a row for
// each scenario, with a lane for each ground that it may be taken from.
type ShareOfHarvest struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Rows are drawn from top to bottom, those of one scenario together.
	Rows []HarvestShare
}

// HarvestShare is the share of one scenario on one ground.
type HarvestShare struct {
	Scenario, Ground string
	// Percent of the crop that is taken, with its limits; NaN where it cannot be
	// had. Over 100 is more than there is.
	Percent, Lower, Upper float64
	// Asked is the share whose passing is asked for, in percent, and Chance that
	// of passing it, NaN where it cannot be had.
	Asked, Chance float64
	// Note is drawn in place of a share that cannot be had.
	Note string
}

// Figure draws the shares. It returns an error where there are none or one
// cannot be true.
func (h ShareOfHarvest) Figure() (Figure, error) {
	if len(h.Rows) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(h.Confidence); err != nil {
		return Figure{}, err
	}
	rows := make([]HarvestShare, len(h.Rows))
	extents := make([]extent, len(h.Rows))
	var scenarios, grounds []string
	for i, row := range h.Rows {
		row.Scenario, row.Ground = named(row.Scenario), named(row.Ground)
		if err := row.check(); err != nil {
			return Figure{}, err
		}
		rows[i], extents[i] = row, row.extent()
		scenarios, grounds = append(scenarios, row.Scenario), append(grounds, row.Ground)
	}
	f := densityForest(extents, "percent of the crop", h.Confidence, LinearAxis)
	f.axis.reference = 100
	panel := forestPanel{heads: []string{"Share\nasked", "Chance\nto pass"}}
	for _, scenario := range distinct(scenarios) {
		line := forestRow{name: scenario}
		for _, row := range rows {
			if row.Scenario == scenario {
				line.lanes = append(line.lanes, row.Ground)
				panel.lanes = append(panel.lanes, row.lane(len(distinct(grounds)) > 1))
			}
		}
		f.rows = append(f.rows, line)
	}
	f.panels, f.abreast, f.tightly = []forestPanel{panel}, 1, len(rows) > 30
	return forestFigure(Figure{Name: h.Name, Title: h.Title, Caption: h.caption(), Alt: h.alt(rows)},
		"share-of-harvest", "What a harvest would take of the crop", f, nil, nil)
}

func (r HarvestShare) extent() extent { return extent{r.Percent, r.Lower, r.Upper} }

func (r HarvestShare) check() error {
	where := r.Scenario + ", " + r.Ground
	if err := r.extent().check(); err != nil {
		return fmt.Errorf("plots: %s: %w", where, err)
	}
	if math.IsInf(r.Percent, 0) || math.IsInf(r.Upper, 0) {
		return fmt.Errorf("plots: %s: share %v with upper limit %v is infinite", where, r.Percent, r.Upper)
	}
	if !(r.Asked > 0) || r.Chance < 0 || r.Chance > 1 {
		return fmt.Errorf("plots: %s: chance %v to pass %v %% is none", where, r.Chance, r.Asked)
	}
	return nil
}

// lane is open where it tells of all land, filled where of one ground.
func (r HarvestShare) lane(several bool) lane {
	m := mark{shape: circle, color: ink}
	if several {
		switch r.Ground {
		case "burned":
			m = mark{shape: square, color: vermilion}
		case "unburned":
			m = mark{shape: triangle, color: green}
		}
	}
	return lane{extent: r.extent(), mark: m, note: r.note(), cells: []string{percent(r.Asked / 100), r.chance()}}
}

func (r HarvestShare) chance() string {
	if math.IsNaN(r.Chance) {
		return "–"
	}
	return fmt.Sprintf("%.2f", r.Chance)
}

func (r HarvestShare) note() string {
	if !r.extent().missing() {
		return ""
	}
	if note := clean(r.Note); note != "" {
		return note
	}
	return "no share"
}

func (h ShareOfHarvest) caption() string {
	return fmt.Sprintf("Marks are what the people of a scenario would take, in percent of the crop, lines their %s confidence intervals. "+
		"“Burned” and “unburned” are as if all of it were taken there. At 100 nothing is left. No figure here is a permission.", percent(h.Confidence))
}

func (h ShareOfHarvest) alt(rows []HarvestShare) string {
	var b strings.Builder
	b.WriteString("Share of the crop that a harvest would take, in percent.")
	for _, r := range rows {
		fmt.Fprintf(&b, " %s, %s: %s.", r.Scenario, r.Ground, r.sentence(h.Confidence))
	}
	return b.String()
}

// sentence says the share in words.
func (r HarvestShare) sentence(confidence float64) string {
	if note := r.note(); note != "" {
		return note
	}
	interval := "no interval"
	if limits := r.extent().limits(); limits != "" {
		interval = percent(confidence) + " interval " + limits
	}
	if !math.IsNaN(r.Chance) {
		interval += fmt.Sprintf("; chance to pass %s: %s", percent(r.Asked/100), r.chance())
	}
	if r.extent().onlyLimits() {
		return interval
	}
	return fmt.Sprintf("%s (%s)", number(r.Percent), interval)
}
