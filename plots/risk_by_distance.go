package plots

import (
	"fmt"
	"math"
	"strings"
)

// RiskByDistance shows how many times more often finds than random points
// stand within a distance of a live host, over a range of distances, and the
// envelope that finds standing like points would stay in.
type RiskByDistance struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of intervals and envelope.
	Confidence float64
	// Unit of the distances, such as "m".
	Unit string
	// Finds are fruit bodies, Points reference points.
	Finds, Points int
	// At has a ratio for each distance, in ascending order.
	At []RiskAt
}

// RiskAt is the ratio of shares within a distance. NaN for what is not there;
// an upper envelope of NaN beside a lower one is open.
type RiskAt struct{ Distance, Ratio, Lower, Upper, EnvelopeLower, EnvelopeUpper float64 }

// Figure draws the ratios. It returns an error where there are none or one
// cannot be true.
func (r RiskByDistance) Figure() (Figure, error) {
	if err := checkConfidence(r.Confidence); err != nil {
		return Figure{}, err
	}
	panel := distancePanel{title: "Share of finds within the distance : share of random points", log: true, level: 1}
	for _, a := range r.At {
		panel.stops = append(panel.stops, distanceStop{a.Distance, extent{a.Ratio, a.Lower, a.Upper}, a.EnvelopeLower, a.EnvelopeUpper})
	}
	b := byDistance{
		panels: []distancePanel{panel}, title: fmt.Sprintf("Distance to a live host (%s)", clean(r.Unit)), marker: math.NaN(),
		keys: key{
			intervalItem("ratio with " + percent(r.Confidence) + " interval"),
			bandItem(percent(r.Confidence) + " envelope if finds stood like random points"),
		},
	}
	if err := b.check(); err != nil {
		return Figure{}, err
	}
	figure, err := newFigure(Figure{Name: r.Name, Title: r.Title, Caption: r.caption(), Alt: r.alt()}, "risk-by-distance", "Finds near live hosts, against random points")
	if err != nil {
		return Figure{}, err
	}
	return b.figure(figure), nil
}

func (r RiskByDistance) caption() string {
	return fmt.Sprintf("How many times more often finds than random points of the same units have a live host within a distance, with %s confidence interval, on a logarithmic axis. "+
		"At 1 finds stand like random points. The band is the %s envelope over the whole range: a ratio anywhere outside of it tells the two apart. "+
		"An arrow goes on past the edge, or without a limit; an open mark has no interval; where no point lies so near there is no ratio.", percent(r.Confidence), percent(r.Confidence))
}

func (r RiskByDistance) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Ratio of the share of %s to the share of %s within a distance of a live host.", plural(r.Finds, "find"), plural(r.Points, "random point"))
	for i, a := range r.At {
		divide := "; "
		if i == 0 {
			divide = " Within "
		}
		fmt.Fprintf(&b, "%s%s %s: %s", divide, number(a.Distance), clean(r.Unit), sayExtent(extent{a.Ratio, a.Lower, a.Upper}, r.Confidence))
		if x := (extent{1, a.EnvelopeLower, a.EnvelopeUpper}).limits(); x != "" {
			fmt.Fprintf(&b, ", envelope %s", x)
		}
	}
	return b.String() + "."
}

// sayExtent says an estimate and its interval in words.
func sayExtent(e extent, confidence float64) string {
	if math.IsNaN(e.value) {
		return "no figure"
	}
	if limits := e.limits(); limits != "" {
		return fmt.Sprintf("%s (%s interval %s)", number(e.value), percent(confidence), limits)
	}
	return number(e.value) + " (no interval)"
}
