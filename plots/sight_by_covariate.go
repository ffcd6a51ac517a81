package plots

import (
	"fmt"
	"strings"
)

// SightByCovariate shows what share of the fruit bodies along lines was seen at
// each level of what sight may depend on: a heading for each covariate, and a row
// for each of its levels.
type SightByCovariate struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Unit of the half-widths, such as "m".
	Unit string
	// Covariates are drawn from top to bottom.
	Covariates []Sight
}

// Sight is what was seen by one covariate.
type Sight struct {
	Covariate string
	Levels    []SightLevel
}

// SightLevel is a level of a covariate, or a value of a measured one.
type SightLevel struct {
	Level string
	Finds int
	// Percent is the share seen, with its limits; NaN for what cannot be had.
	Percent, Lower, Upper float64
	HalfWidth             float64 // effective
}

// Figure draws the shares. It returns an error where there are none, or one
// cannot be true.
func (s SightByCovariate) Figure() (Figure, error) {
	if err := checkConfidence(s.Confidence); err != nil {
		return Figure{}, err
	}
	f := forest{ends: true, abreast: 1, tightly: true, limits: "limits only", hi: 100,
		axis: valueAxis{title: fmt.Sprintf("Share seen (%%), with %s confidence interval", percent(s.Confidence))}}
	panel := forestPanel{heads: []string{"Finds", "Effective\nhalf-width\n(" + mutedText.fit(clean(s.Unit), 50) + ")"}}
	for i, c := range s.Covariates {
		f.rows = append(f.rows, forestRow{name: named(c.Covariate), strong: true, apart: i > 0})
		for _, l := range c.Levels {
			if err := l.check(c.Covariate); err != nil {
				return Figure{}, err
			}
			note := ""
			if l.extent().missing() {
				note = "no estimate"
			}
			panel.lanes = append(panel.lanes, lane{extent: l.extent(), mark: known["line"], note: note, cells: []string{count(l.Finds), number(l.HalfWidth)}})
			f.rows = append(f.rows, forestRow{name: named(l.Level), lanes: make([]string, 1)})
		}
	}
	if len(panel.lanes) == 0 {
		return Figure{}, ErrEmpty
	}
	f.panels = []forestPanel{panel}
	figure := Figure{Name: s.Name, Title: s.Title, Caption: s.caption(), Alt: s.alt()}
	return forestFigure(figure, "sight-by-covariate", "Share seen along lines, by what sight may depend on", f, nil, nil)
}

func (l SightLevel) extent() extent { return extent{l.Percent, l.Lower, l.Upper} }

func (l SightLevel) check(covariate string) error {
	if err := l.extent().check(); err != nil {
		return fmt.Errorf("plots: share seen at %s of %s: %w", named(l.Level), named(covariate), err)
	}
	if l.Percent > 100 || l.Upper > 100 || l.Finds < 0 || !(l.HalfWidth >= 0 && l.HalfWidth <= farthest) {
		return fmt.Errorf("plots: share seen at %s of %s: %+v cannot be drawn", named(l.Level), named(covariate), l)
	}
	return nil
}

func (s SightByCovariate) caption() string {
	return fmt.Sprintf("Marks are the estimated share of the fruit bodies within the distance used that was seen, lines its %s confidence interval. "+
		"Each level is shown at the mean or the commonest level of what else sight depends on. On the line itself all is taken for found.", percent(s.Confidence))
}

func (s SightByCovariate) alt() string {
	var b strings.Builder
	b.WriteString("Share of fruit bodies seen along lines.")
	for _, c := range s.Covariates {
		divide := fmt.Sprintf(" %s: ", named(c.Covariate))
		for _, l := range c.Levels {
			interval := "no interval"
			if limits := l.extent().limits(); limits != "" {
				interval = percent(s.Confidence) + " interval " + limits
			}
			fmt.Fprintf(&b, "%s%s, %s %% (%s; %s, effective half-width %s %s)", divide, named(l.Level), number(l.Percent), interval,
				plural(l.Finds, "find"), number(l.HalfWidth), clean(s.Unit))
			divide = "; "
		}
		b.WriteString(".")
	}
	return b.String()
}
