package analyze

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats/dispersion"
)

// clumping says how the finds of each stratum gather in its units, and how
// well the negative binomial describes that.
func (s *Season) clumping(elements []fieldwork.UnitSeason) ([]ClumpingRow, []CountsFit) {
	c := s.Subgroups()
	var rows []ClumpingRow
	var fits []CountsFit
	for _, method := range s.Methods() {
		if method == LineMethod || method == AddedMethod {
			continue
		}
		for _, f := range s.Domains(method, elements) {
			if f.Years == All {
				continue
			}
			counts := fieldwork.Dense(make([]float64, len(f.Units)), c.Count(f)[0]) // the first crossing is all finds
			d := dispersion.Clumping(f.AreaHa, counts, s.Settings.Confidence)
			rows = append(rows, s.clumpingRow(f, d))
			fits = append(fits, CountsFit{
				Method: method, Stratum: s.Strata[f.Stratum].Name, Years: f.Years,
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

func (s *Season) clumpingRow(f fieldwork.Domain, d dispersion.Clumps) ClumpingRow {
	return ClumpingRow{
		Method: f.Method, Stratum: s.Strata[f.Stratum].Name, Years: f.Years,
		Units: column.Count(d.Units), Finds: column.Count(d.Finds),
		MeanPerUnit: column.Finite(d.MeanPerUnit), VarianceToMean: column.Finite(d.VarianceToMean),
		VarianceToMeanP: column.Finite(d.P), Morisita: column.Finite(d.Morisita),
		K: column.Finite(d.Value), KLower: column.Finite(d.Lower), KUpper: column.Finite(d.Upper), Confidence: column.Finite(d.Confidence),
		FitChiSquare: column.Finite(d.NegBin.ChiSquare), FitP: column.Finite(d.NegBin.P), FitDF: fitDF(d.NegBin),
		Warnings: append(slices.Clip(d.Warnings), f.Warnings...),
	}
}

// fitDF is unknown where no chi-square was had.
func fitDF(f dispersion.Fit) column.Int {
	if math.IsNaN(f.ChiSquare) {
		return column.Int{}
	}
	return column.Count(f.DF)
}
