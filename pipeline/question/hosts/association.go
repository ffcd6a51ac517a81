package hosts

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/association"
)

// What is compared between finds and reference points.
const (
	withinDistance = "share within a distance"
	medianDistance = "median distance"
)

// associations compares the distances from finds to live hosts with those from
// reference points in the same units: of all finds and, over all strata, of each mode
// called.
func associations(s *fieldwork.Season, p fieldwork.Part, finds fieldwork.HostDistances) []AssociationRow {
	points := s.ReferenceDistances(p.Units)
	var rows []AssociationRow
	for _, mode := range modes(p) {
		rows = append(rows, associationIn(s, p, mode, finds, points)...)
	}
	return rows
}

// modes are those that a part is asked about.
func modes(p fieldwork.Part) []string {
	if fieldwork.OverStrata(p.Stratum) && p.Years == result.All {
		return []string{result.All, survey.Saprotrophic, survey.HostAssociated}
	}
	return []string{result.All}
}

func associationIn(s *fieldwork.Season, p fieldwork.Part, mode string, finds fieldwork.HostDistances, points []fieldwork.HostDistance) []AssociationRow {
	o := s.Settings.Association
	in := association.Survey{Design: p.Design, Finds: make([]association.Spot, 0, len(finds.List)), Points: make([]association.Spot, 0, len(points))}
	for _, f := range finds.List {
		if mode == result.All || finds.ModeOf(f) == mode {
			in.Finds = append(in.Finds, spotOf(f))
		}
	}
	for _, f := range points {
		in.Points = append(in.Points, spotOf(f))
	}
	n := association.Near(in, distances(s), association.Options{Confidence: s.Settings.Confidence, Seed: s.Settings.Seed, Replicates: o.Replicates})
	base := AssociationRow{
		Method: p.Method, Stratum: p.Stratum, Years: p.Years, Mode: mode,
		Units: column.Count(n.Units), Sites: column.Count(n.Clusters), Finds: column.Count(n.Finds), Points: column.Count(n.Points),
		RangeP: column.Finite(n.P),
	}
	doubts := stats.Distinct(circular(mode), withoutPlace(s, mode, p, finds.Unplaced), n.Warnings, p.Warnings)
	rows := []AssociationRow{medianRow(base, n.Median, doubts)}
	for _, w := range n.Within {
		rows = append(rows, withinRow(base, w, doubts))
	}
	return rows
}

func spotOf(d fieldwork.HostDistance) association.Spot {
	return association.Spot{Unit: int(d.UnitSeason), DistanceM: float64(d.CM) / survey.CentimetresPerMetre, Host: d.Live, Count: float64(d.N)}
}

// distances are those of the settings, in whole centimetres as the finds are.
func distances(s *fieldwork.Season) []float64 {
	o := s.Settings.Association
	list := make([]float64, o.Steps)
	for i := range list {
		list[i] = math.Round(o.FarthestM*float64(i+1)/float64(o.Steps)*survey.CentimetresPerMetre) / survey.CentimetresPerMetre
	}
	return list
}

func medianRow(row AssociationRow, m association.Median, doubts []stats.Warning) AssociationRow {
	row.Measure = medianDistance
	row.OfFinds, row.OfPoints = column.Finite(m.Find), column.Finite(m.Point)
	row.Estimate, row.P = result.Of(m.Difference), column.Finite(m.P)
	row.RangeP = column.Float{}
	row.Warnings = stats.Distinct(m.Difference.Warnings, doubts)
	return row
}

func withinRow(row AssociationRow, w association.Within, doubts []stats.Warning) AssociationRow {
	row.Measure, row.DistanceM = withinDistance, column.Finite(w.DistanceM)
	row.FindsWithin, row.PointsWithin = column.Count(w.FindsWithin), column.Count(w.PointsWithin)
	row.OfFinds, row.OfPoints = column.Finite(w.FindShare), column.Finite(w.PointShare)
	row.Estimate, row.P = result.Of(w.Ratio), column.Finite(w.P)
	row.Lowest, row.Highest = column.Finite(w.Lower), column.Finite(w.Upper)
	row.EnvelopeLowest, row.EnvelopeHighest = column.Finite(w.EnvelopeLower), column.Finite(w.EnvelopeUpper)
	row.Warnings = stats.Distinct(w.Ratio.Warnings, doubts)
	return row
}

// circular warns of finds that were picked by what is then compared.
func circular(mode string) []stats.Warning {
	if mode == result.All {
		return nil
	}
	return []stats.Warning{calledByDistance.With("a crew that calls the mode by the nearest tree has put the distance into the call; only the " +
		"comparison of all finds is free of that")}
}

// withoutPlace names the finds and points of which the nearest tree, its life
// or its distance is not recorded.
func withoutPlace(s *fieldwork.Season, mode string, p fieldwork.Part, unplaced map[string]int64) []stats.Warning {
	var finds int64
	for m, n := range unplaced {
		if mode == result.All || m == mode {
			finds += n
		}
	}
	points := 0
	for _, e := range p.Units {
		points += s.Hosts.Lost[s.UnitOf[e.Unit.ID]]
	}
	if finds == 0 && points == 0 {
		return nil
	}
	return []stats.Warning{treeNotRecorded.With(
		"%d fruit bodies and %d reference points are left out: their tree, whether it was alive, or its distance is not recorded", finds, points)}
}
