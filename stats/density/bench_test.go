package density

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// BenchmarkStratum: 200 units of one area with finds in about a third, and of
// 200 areas, and one group with finds in three units, as most groups have.
func BenchmarkStratum(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	const plotHa, k = 0.01, 0.3
	equal, unequal, rare := Sample{}, Sample{}, Sample{}
	for i := range 200 {
		count := distuv.Poisson{Lambda: distuv.Gamma{Alpha: k, Beta: k / 2, Src: r}.Rand(), Src: r}.Rand()
		equal.AreaHa, equal.Count = append(equal.AreaHa, plotHa), append(equal.Count, count)
		unequal.AreaHa, unequal.Count = append(unequal.AreaHa, plotHa*(1+r.Float64())), append(unequal.Count, count)
		found := 0.0
		if i%70 == 0 {
			found = 2
		}
		rare.AreaHa, rare.Count = append(rare.AreaHa, plotHa), append(rare.Count, found)
	}
	for _, c := range []struct {
		name   string
		sample Sample
	}{{"equal", equal}, {"unequal", unequal}, {"rare", rare}} {
		for _, method := range Methods() {
			b.Run(c.name+"/"+method, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					Stratum(c.sample, Options{Interval: method})
				}
			})
		}
	}
}
