package transect

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// Range is the distances from the line whose finds are used.
type Range struct {
	Left, Right float64      // m; Right 0 without a find
	RightIs     string       // what set Right, in words
	Classes     []detect.Bin // that distances were recorded in; nil if they were measured
	reason      *stats.Warning
}

// Holds reports whether a find at this distance is used.
func (d Range) Holds(m float64) bool { return m >= d.Left && (d.Right == 0 || m <= d.Right) }

// because sets why no find can be used.
func (d *Range) because(w stats.Warning) { d.reason = &w }

// farthestShare is left out where no half-width says how far was searched: a
// tail of few finds bends the curve and tells little of its shoulder (Buckland
// et al. 2001, section 4.3.2, from memory).
const farthestShare = 0.05

// distanceRange is where finds are used: as far as every line was searched, no
// farther than the settings say, and in whole classes.
func (t *Lines) distanceRange() (Range, []stats.Warning) {
	narrowest := math.Inf(1)
	for _, e := range t.Units {
		if half := e.Unit.HalfWidthM; half.Known {
			narrowest = min(narrowest, half.Value)
		}
	}
	if breaks := t.s.Settings.Lines.BreaksM; len(breaks) > 0 {
		return t.classes(breaks, narrowest)
	}
	d := Range{Left: t.s.Settings.Lines.LeftTruncationM}
	var doubts []stats.Warning
	d.Right, d.RightIs, doubts = t.truncation()
	if d.Right > 0 && d.Left >= d.Right {
		d.because(NoDetectionFunction.With("finds are used from %.4g m by the settings, and lines were searched to %.4g m, so none is left", d.Left, d.Right))
	}
	return d, doubts
}

// classes are those between the breaks that every line was searched to the end of.
func (t *Lines) classes(breaks []float64, narrowest float64) (Range, []stats.Warning) {
	farthest, why := narrowest, "a line was searched to %.4g m only"
	if asked := t.s.Settings.Lines.TruncationM; asked > 0 && asked < farthest {
		farthest, why = asked, "the settings use finds up to %.4g m"
	}
	d := Range{Left: breaks[0], Right: breaks[len(breaks)-1], RightIs: "the last border of breaks_m"}
	for i, to := range breaks[1:] {
		if to <= farthest {
			d.Classes = append(d.Classes, detect.Bin{From: breaks[i], To: to})
			d.Right = to
		}
	}
	why = fmt.Sprintf(why, farthest)
	if len(d.Classes) < 2 {
		d.because(NoDetectionFunction.With("%s, and fewer than two classes of distance end there or nearer, which say nothing of how sight falls "+
			"off with distance", why))
		return d, nil
	}
	if left := len(breaks) - 1 - len(d.Classes); left > 0 {
		d.RightIs = "the last border of breaks_m that is no farther"
		if asked := t.s.Settings.Lines.TruncationM; asked > 0 && asked == farthest {
			d.RightIs += " than truncation_m"
		} else {
			d.RightIs += " than the half-width of every line"
		}
		return d, []stats.Warning{ClassesCut.With("%s; the %d classes of distance that end farther off are left out, with their finds", why, left)}
	}
	return d, nil
}

// truncation is the distance to which measured finds are used, and what set it.
func (t *Lines) truncation() (right float64, is string, doubts []stats.Warning) {
	narrowest, widest := math.Inf(1), 0.0
	for _, e := range t.Units {
		if half := e.Unit.HalfWidthM; half.Known {
			narrowest, widest = min(narrowest, half.Value), max(widest, half.Value)
		}
	}
	const smallest = "the smallest half-width of the lines"
	asked := t.s.Settings.Lines.TruncationM
	switch {
	case asked > narrowest:
		return narrowest, smallest, []stats.Warning{TruncationCut.With("the settings ask for finds up to %.4g m, but a line was searched to %.4g "+
			"m only; finds are used up to that", asked, narrowest)}
	case asked > 0:
		return asked, "truncation_m of the settings", nil
	case narrowest < widest:
		return narrowest, smallest, []stats.Warning{HalfWidthsDiffer.With("lines were searched to %.4g to %.4g m; finds are used up to the narrowest", narrowest, widest)}
	case widest > 0:
		return narrowest, "the half-width of the lines", nil
	}
	return nearestDistances(t.finds), "which leaves out the farthest 5 % of the finds",
		[]stats.Warning{NoHalfWidth.With("no line has a half-width, so nobody knows how far was searched; the farthest 5 % of the finds are left out")}
}

// nearestDistances is the distance within which all but the farthest share of
// the finds lie, 0 without any.
func nearestDistances(finds []fieldwork.LineFind) float64 {
	if len(finds) == 0 {
		return 0
	}
	distances := make([]float64, len(finds))
	for i, f := range finds {
		distances[i] = f.DistanceM
	}
	slices.Sort(distances)
	return distances[int(math.Ceil((1-farthestShare)*float64(len(distances))))-1]
}
