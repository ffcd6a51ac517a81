package analyze

import (
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
		if method == LineMethod {
			continue
		}
		for _, f := range s.frames(method, elements) {
			if f.years == All {
				continue
			}
			counts := dense(make([]float64, len(f.elements)), c.count(f)[0]) // the first crossing is all finds
			d := dispersion.Clumping(f.areaHa, counts, s.settings.Confidence)
			rows = append(rows, s.clumpingRow(f, counts, d))
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
