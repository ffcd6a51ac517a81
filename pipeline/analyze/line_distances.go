package analyze

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// distanceRange is the distances from the line whose finds are used.
type distanceRange struct {
	left, right float64      // m; right 0 without a find
	rightIs     string       // what set right, in words
	classes     []detect.Bin // that distances were recorded in; nil if they were measured
	reason      *stats.Warning
}

// holds tells whether a find at this distance is used.
func (d distanceRange) holds(m float64) bool { return m >= d.left && (d.right == 0 || m <= d.right) }

// farthestShare is left out where no half-width says how far was searched: a
// tail of few finds bends the curve and tells little of its shoulder (Buckland
// et al. 2001, section 4.3.2, from memory).
const farthestShare = 0.05

// distanceRange is where finds are used: as far as every line was searched, no
// farther than the settings say, and in whole classes.
func (s *Season) distanceRange(t transects) (distanceRange, []stats.Warning) {
	narrowest := math.Inf(1)
	for _, e := range t.elements {
		if half := e.Unit.HalfWidthM; half.Known {
			narrowest = min(narrowest, half.Value)
		}
	}
	if breaks := s.Settings.Lines.BreaksM; len(breaks) > 0 {
		return s.classes(breaks, narrowest)
	}
	d := distanceRange{left: s.Settings.Lines.LeftTruncationM}
	var doubts []stats.Warning
	d.right, d.rightIs, doubts = s.truncation(t)
	if d.right > 0 && d.left >= d.right {
		d.reason = &stats.Warning{Code: "no-detection-function", Text: fmt.Sprintf(
			"finds are used from %.4g m by the settings, and lines were searched to %.4g m, so none is left", d.left, d.right)}
	}
	return d, doubts
}

// classes are those between the breaks that every line was searched to the end of.
func (s *Season) classes(breaks []float64, narrowest float64) (distanceRange, []stats.Warning) {
	farthest, why := narrowest, "a line was searched to %.4g m only"
	if asked := s.Settings.Lines.TruncationM; asked > 0 && asked < farthest {
		farthest, why = asked, "the settings use finds up to %.4g m"
	}
	d := distanceRange{left: breaks[0], right: breaks[len(breaks)-1], rightIs: "the last border of breaks_m"}
	for i, to := range breaks[1:] {
		if to <= farthest {
			d.classes = append(d.classes, detect.Bin{From: breaks[i], To: to})
			d.right = to
		}
	}
	why = fmt.Sprintf(why, farthest)
	if len(d.classes) < 2 {
		d.reason = &stats.Warning{Code: "no-detection-function", Text: fmt.Sprintf(
			"%s, and fewer than two classes of distance end there or nearer, which say nothing of how sight falls off with distance", why)}
		return d, nil
	}
	if left := len(breaks) - 1 - len(d.classes); left > 0 {
		d.rightIs = "the last border of breaks_m that is no farther"
		if asked := s.Settings.Lines.TruncationM; asked > 0 && asked == farthest {
			d.rightIs += " than truncation_m"
		} else {
			d.rightIs += " than the half-width of every line"
		}
		return d, []stats.Warning{{Code: "classes-cut", Text: fmt.Sprintf(
			"%s; the %d classes of distance that end farther off are left out, with their finds", why, left)}}
	}
	return d, nil
}

// truncation is the distance to which measured finds are used, and what set it.
func (s *Season) truncation(t transects) (right float64, is string, doubts []stats.Warning) {
	narrowest, widest := math.Inf(1), 0.0
	for _, e := range t.elements {
		if half := e.Unit.HalfWidthM; half.Known {
			narrowest, widest = min(narrowest, half.Value), max(widest, half.Value)
		}
	}
	const smallest = "the smallest half-width of the lines"
	asked := s.Settings.Lines.TruncationM
	switch {
	case asked > narrowest:
		return narrowest, smallest, []stats.Warning{{Code: "truncation-cut", Text: fmt.Sprintf(
			"the settings ask for finds up to %.4g m, but a line was searched to %.4g m only; finds are used up to that", asked, narrowest)}}
	case asked > 0:
		return asked, "truncation_m of the settings", nil
	case narrowest < widest:
		return narrowest, smallest, []stats.Warning{{Code: "half-widths-differ", Text: fmt.Sprintf(
			"lines were searched to %.4g to %.4g m; finds are used up to the narrowest", narrowest, widest)}}
	case widest > 0:
		return narrowest, "the half-width of the lines", nil
	}
	return nearestDistances(t.finds), "which leaves out the farthest 5 % of the finds", []stats.Warning{{Code: "no-half-width",
		Text: "no line has a half-width, so nobody knows how far was searched; the farthest 5 % of the finds are left out"}}
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
