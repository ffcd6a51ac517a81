package analyze

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/stats/dispersion"
)

// clumping says how the finds of each stratum gather in its units, and how
// well the negative binomial describes that.
func (s *Season) clumping(elements []element) ([]ClumpingRow, []CountsFit) {
	c := s.crossings()
	var rows []ClumpingRow
	var fits []CountsFit
	for _, method := range s.methods() {
		if method == LineMethod || method == AddedMethod {
			continue
		}
		for _, f := range s.frames(method, elements) {
			if f.years == All {
				continue
			}
			counts := dense(make([]float64, len(f.elements)), c.count(f)[0]) // the first crossing is all finds
			d := dispersion.Clumping(f.areaHa, counts, s.settings.Confidence)
			rows = append(rows, s.clumpingRow(f, d))
			fits = append(fits, CountsFit{
				Method: method, Stratum: s.strata[f.stratum].name, Years: f.years,
				Counts: wholes(counts), NegativeBinomial: d.ExpectedNegBin, Poisson: d.ExpectedPoisson,
			})
		}
	}
	return rows, fits
}

func wholes(counts []float64) []int {
	list := make([]int, len(counts))
	for i, n := range counts {
		list[i] = int(n)
	}
	return list
}

func (s *Season) clumpingRow(f frame, d dispersion.Clumps) ClumpingRow {
	return ClumpingRow{
		Method: f.method, Stratum: s.strata[f.stratum].name, Years: f.years,
		Units: column.Count(d.Units), Finds: column.Count(d.Finds),
		MeanPerUnit: column.Finite(d.MeanPerUnit), VarianceToMean: column.Finite(d.VarianceToMean),
		VarianceToMeanP: column.Finite(d.P), Morisita: column.Finite(d.Morisita),
		K: column.Finite(d.Value), KLower: column.Finite(d.Lower), KUpper: column.Finite(d.Upper), Confidence: column.Finite(d.Confidence),
		FitChiSquare: column.Finite(d.NegBin.ChiSquare), FitP: column.Finite(d.NegBin.P), FitDF: fitDF(d.NegBin),
		Warnings: append(slices.Clip(d.Warnings), f.warnings...),
	}
}

// fitDF is unknown where no chi-square was had.
func fitDF(f dispersion.Fit) column.Int {
	if math.IsNaN(f.ChiSquare) {
		return column.Int{}
	}
	return column.Count(f.DF)
}
