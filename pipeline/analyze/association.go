package analyze

import (
	"fmt"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/association"
)

// What is compared between finds and reference points.
const (
	WithinDistance = "share within a distance"
	MedianDistance = "median distance"
)

// associations holds the distances from finds to live hosts against those from
// reference points in the same units: of all finds, and of each mode called, on
// the land; of all finds in each stratum and class of years.
func (s *Season) associations(elements []fieldwork.UnitSeason) []AssociationRow {
	var rows []AssociationRow
	for _, method := range s.DrawnMethods() {
		for _, g := range s.Parts(method, elements) {
			modes := []string{All}
			if fieldwork.OverStrata(g.Stratum) && g.Years == All {
				modes = []string{All, survey.Saprotrophic, survey.HostAssociated}
			}
			finds, unplaced := s.HostDistances(g.Units)
			points := s.ReferenceDistances(g.Units)
			for _, mode := range modes {
				rows = append(rows, s.associationIn(g, mode, finds, points, unplaced)...)
			}
		}
	}
	return rows
}

func (s *Season) associationIn(g fieldwork.Part, mode string, finds, points []fieldwork.HostDistance, unplaced map[string]int64) []AssociationRow {
	o := s.Settings.Association
	in := association.Survey{Design: g.Design}
	for _, p := range finds {
		if mode == All || p.Mode == mode {
			in.Finds = append(in.Finds, spotOf(p))
		}
	}
	for _, p := range points {
		in.Points = append(in.Points, spotOf(p))
	}
	n := association.Near(in, s.distances(), association.Options{Confidence: s.Settings.Confidence, Seed: s.Settings.Seed, Replicates: o.Replicates})
	base := AssociationRow{
		Method: g.Method, Stratum: g.Stratum, Years: g.Years, Mode: mode,
		Units: column.Count(n.Units), Sites: column.Count(n.Clusters), Finds: column.Count(n.Finds), Points: column.Count(n.Points),
		RangeP: column.Finite(n.P),
	}
	doubts := stats.Distinct(circular(mode), s.withoutPlace(mode, g, unplaced), n.Warnings, g.Warnings)
	rows := []AssociationRow{medianRow(base, n.Median, doubts)}
	for _, w := range n.Within {
		rows = append(rows, withinRow(base, w, doubts))
	}
	return rows
}

func spotOf(p fieldwork.HostDistance) association.Spot {
	return association.Spot{Unit: p.UnitSeason, DistanceM: float64(p.CM) / fieldwork.CentimetresPerMetre, Host: p.Live, Count: float64(p.N)}
}

// distances are those of the settings, in whole centimetres as the finds are.
func (s *Season) distances() []float64 {
	o := s.Settings.Association
	list := make([]float64, o.Steps)
	for i := range list {
		list[i] = math.Round(o.FarthestM*float64(i+1)/float64(o.Steps)*fieldwork.CentimetresPerMetre) / fieldwork.CentimetresPerMetre
	}
	return list
}

func medianRow(row AssociationRow, m association.Median, doubts []stats.Warning) AssociationRow {
	row.Measure = MedianDistance
	row.OfFinds, row.OfPoints = column.Finite(m.Find), column.Finite(m.Point)
	row.Figure, row.P = figures(m.Difference), column.Finite(m.P)
	row.RangeP = column.Float{}
	row.Warnings = stats.Distinct(m.Difference.Warnings, doubts)
	return row
}

func withinRow(row AssociationRow, w association.Within, doubts []stats.Warning) AssociationRow {
	row.Measure, row.DistanceM = WithinDistance, column.Finite(w.DistanceM)
	row.FindsWithin, row.PointsWithin = column.Count(w.FindsWithin), column.Count(w.PointsWithin)
	row.OfFinds, row.OfPoints = column.Finite(w.FindShare), column.Finite(w.PointShare)
	row.Figure, row.P = figures(w.Ratio), column.Finite(w.P)
	row.Lowest, row.Highest = column.Finite(w.Lower), column.Finite(w.Upper)
	row.EnvelopeLowest, row.EnvelopeHighest = column.Finite(w.EnvelopeLower), column.Finite(w.EnvelopeUpper)
	row.Warnings = stats.Distinct(w.Ratio.Warnings, doubts)
	return row
}

// circular warns of finds that were picked by what is then compared.
func circular(mode string) []stats.Warning {
	if mode == All {
		return nil
	}
	return []stats.Warning{{Code: "called-by-distance",
		Text: "a crew that calls the mode by the nearest tree has put the distance into the call; only the comparison of all finds is free of that"}}
}

// withoutPlace names the finds and points of which the nearest tree, its life
// or its distance is not recorded.
func (s *Season) withoutPlace(mode string, g fieldwork.Part, unplaced map[string]int64) []stats.Warning {
	var finds int64
	for m, n := range unplaced {
		if mode == All || m == mode {
			finds += n
		}
	}
	points := 0
	for _, e := range g.Units {
		points += s.Hosts.Lost[s.UnitOf[e.Unit.ID]]
	}
	if finds == 0 && points == 0 {
		return nil
	}
	return []stats.Warning{{Code: "tree-not-recorded", Text: fmt.Sprintf(
		"%d fruit bodies and %d reference points are left out: their tree, whether it was alive, or its distance is not recorded", finds, points)}}
}
