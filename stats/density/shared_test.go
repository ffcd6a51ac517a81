package density

import (
	"math/rand/v2"
	"reflect"
	"testing"
)

// TestSharedGround: samples that share their ground have the totals of samples alone, whatever
// the order of their rows, and a ground of other slices is not used.
func TestSharedGround(t *testing.T) {
	src := rand.New(rand.NewPCG(6, 1))
	for range 50 {
		n := 1 + src.IntN(30)
		s := Sample{AreaHa: make([]float64, n), Cluster: make([]int, n), Season: make([]int, n), Count: make([]float64, n)}
		for i := range n {
			s.AreaHa[i], s.Cluster[i], s.Season[i] = 0.01*float64(1+src.IntN(3)), src.IntN(1+n/2), src.IntN(2)
		}
		if src.IntN(2) == 0 {
			s.Order, s.Name = make([]int, n), make([]string, n)
			for i := range n {
				s.Order[i], s.Name[i] = src.IntN(n+2)-1, string(rune('a'+i))
			}
		}
		shared := s
		shared.Ground = NewGround(s)
		for range 3 {
			counts := make([]float64, n)
			for i := range n {
				counts[i] = float64(src.IntN(4))
			}
			s.Count, shared.Count = counts, counts
			want := s.totals()
			// Places that are not known are NaN, which equals nothing.
			want.layout.position = nil
			got := shared.totals()
			got.layout.position = nil
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("shared %+v, alone %+v", got, want)
			}
			turned := s
			turned.AreaHa, turned.Cluster, turned.Season, turned.Count = reversed(s.AreaHa), reversed(s.Cluster), reversed(s.Season), reversed(s.Count)
			turned.Order, turned.Name = reversed(s.Order), reversed(s.Name)
			turned.Ground = shared.Ground
			got = turned.totals()
			got.layout.position = nil
			if !reflect.DeepEqual(got.count, want.count) || !reflect.DeepEqual(got.area, want.area) || !reflect.DeepEqual(got.names, want.names) {
				t.Fatalf("turned %+v, alone %+v", got, want)
			}
		}
	}
}

func reversed[T any](list []T) []T {
	if list == nil {
		return nil
	}
	turned := make([]T, len(list))
	for i, v := range list {
		turned[len(list)-1-i] = v
	}
	return turned
}
