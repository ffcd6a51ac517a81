package planning

import (
	"math/rand/v2"
	"runtime"
	"sync"
)

// Replicate calls f once for each replicate, with a generator of its own that is
// seeded with (seed, i), and returns what it gave in their order: the same on one
// core and on many.
func Replicate[T any](n int, seed uint64, f func(r *rand.Rand) T) []T {
	out := make([]T, n)
	workers := max(1, min(runtime.GOMAXPROCS(0), n))
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for i := w; i < n; i += workers {
				out[i] = f(rand.New(rand.NewPCG(seed, uint64(i))))
			}
		})
	}
	wait.Wait()
	return out
}
