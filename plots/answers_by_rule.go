package plots

import (
	"fmt"
	"math"
	"strings"
)

// AnswersByRule shows how the density of host-associated finds and its ratio to
// the others move with the distance of the rule, beside the crew's own call.
type AnswersByRule struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals.
	Confidence float64
	// DensityUnit in words, DistanceUnit such as "m".
	DensityUnit, DistanceUnit string
	// Rule is the distance that the settings name.
	Rule float64
	// At has the answers for each distance, in ascending order.
	At []AnswersAt
	// Crew are the answers by the crew's call; its Distance is not used.
	Crew AnswersAt
}

// AnswersAt are the answers by one distance. NaN for what is not there.
type AnswersAt struct {
	Distance                            float64
	Density, DensityLower, DensityUpper float64
	Ratio, RatioLower, RatioUpper       float64
}

func (a AnswersAt) density() extent { return extent{a.Density, a.DensityLower, a.DensityUpper} }
func (a AnswersAt) ratio() extent   { return extent{a.Ratio, a.RatioLower, a.RatioUpper} }

// Figure draws the answers. It returns an error where there are none or one
// cannot be true.
func (r AnswersByRule) Figure() (Figure, error) {
	if err := checkConfidence(r.Confidence); err != nil {
		return Figure{}, err
	}
	density := distancePanel{title: "Host-associated " + clean(r.DensityUnit), level: r.Crew.Density}
	ratio := distancePanel{title: "Host-associated : others", log: true, level: r.Crew.Ratio}
	for _, a := range r.At {
		density.stops = append(density.stops, distanceStop{a.Distance, a.density(), r.Crew.DensityLower, r.Crew.DensityUpper})
		ratio.stops = append(ratio.stops, distanceStop{a.Distance, a.ratio(), r.Crew.RatioLower, r.Crew.RatioUpper})
	}
	b := byDistance{
		panels: []distancePanel{density, ratio}, title: fmt.Sprintf("Distance of the rule (%s)", clean(r.DistanceUnit)), marker: r.Rule,
		keys: key{
			intervalItem("by the rule, with " + percent(r.Confidence) + " interval"),
			lineItem("by the crew’s call", levelLine), bandItem("its " + percent(r.Confidence) + " interval"),
			lineItem("distance of the settings", markerAt),
		},
	}
	if err := b.check(); err != nil {
		return Figure{}, err
	}
	figure, err := newFigure(Figure{Name: r.Name, Title: r.Title, Caption: r.caption(), Alt: r.alt()}, "answers-by-rule", "The answers by the distance of the rule")
	if err != nil {
		return Figure{}, err
	}
	return b.figure(figure), nil
}

func (r AnswersByRule) caption() string {
	return fmt.Sprintf("The density of host-associated finds, and its ratio to the others on a logarithmic axis, if every find with a live host within the distance is called host-associated; with %s confidence intervals. "+
		"The line and the band are the answers by the crew’s own call; others are then the finds it called saprotrophic. An arrow goes on past the edge, or without a limit. A steep rise means that the answer hangs on the distance chosen.", percent(r.Confidence))
}

func (r AnswersByRule) alt() string {
	var b strings.Builder
	say := func(where string, a AnswersAt) {
		fmt.Fprintf(&b, " %s: density %s, ratio %s.", where, sayExtent(a.density(), r.Confidence), sayExtent(a.ratio(), r.Confidence))
	}
	fmt.Fprintf(&b, "Host-associated %s and their ratio to the others by the distance of the rule.", clean(r.DensityUnit))
	say("By the crew’s call", r.Crew)
	for _, a := range r.At {
		say(fmt.Sprintf("Within %s %s", number(a.Distance), clean(r.DistanceUnit)), a)
	}
	if !math.IsNaN(r.Rule) {
		fmt.Fprintf(&b, " The settings name %s %s.", number(r.Rule), clean(r.DistanceUnit))
	}
	return b.String()
}
