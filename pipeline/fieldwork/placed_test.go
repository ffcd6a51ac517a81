package fieldwork

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestPlacedFinds holds what is kept to a plain sum, whatever the order of the finds,
// and its memory to the number of visits and distances.
func TestPlacedFinds(t *testing.T) {
	type key struct {
		visit int
		placed
	}
	rng := rand.New(rand.NewPCG(23, 1))
	for _, order := range []string{"by visit", "mixed"} {
		var l placedFinds
		want := map[key]int64{}
		const visits, finds = 40, 300_000
		for i := range finds {
			visit := i * visits / finds
			if order == "mixed" {
				visit = rng.IntN(visits)
			}
			mode, cm, host, n := uint8(rng.IntN(3)), int32(rng.IntN(20)*5), rng.IntN(2) == 0, int64(1+rng.IntN(3))
			switch i {
			case 7:
				n = 3*placedMost + 5 // over what one number holds
			case 8:
				cm = 1<<31 - 1
			}
			l.add(visit, mode, cm, host, n)
			want[key{visit, newPlaced(mode, cm, host, 0)}] += n
		}
		l.flush()
		got := map[key]int64{}
		for v := range visits {
			list := l.of(v, nil)
			if !slices.IsSortedFunc(list, func(a, b placed) int { return cmp.Compare(a>>placedBits, b>>placedBits) }) {
				t.Fatalf("%s: visit %d is out of order", order, v)
			}
			for _, p := range list {
				got[key{v, p &^ placedMost}] += p.n()
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%s: %d places, want %d", order, len(got), len(want))
		}
		for k, n := range want {
			if got[k] != n {
				t.Fatalf("%s: %d fruit bodies of mode %d at %d cm on visit %d, want %d", order, got[k], k.mode(), k.cm(), k.visit, n)
			}
		}
		if l.finds.Len() > 2*l.settled+1<<16+len(want) {
			t.Errorf("%s: %d finds are kept for %d places", order, l.finds.Len(), len(want))
		}
	}
}

func TestByVisit(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 2))
	var b byVisit[int64]
	want := map[[2]int]int64{}
	for range 20_000 {
		visit, number := rng.IntN(30), rng.IntN(50)
		*b.at(visit, number)++
		want[[2]int{visit, number}]++
	}
	n := 0
	for visit := range 31 { // nothing was added to the last
		for number, times := range b.of(visit) {
			n++
			if want[[2]int{visit, number}] != times {
				t.Errorf("visit %d, number %d: %d, want %d", visit, number, times, want[[2]int{visit, number}])
			}
		}
	}
	if n != len(want) || b.cells.Len() != n {
		t.Errorf("%d values in %d cells, want %d", n, b.cells.Len(), len(want))
	}
}

func TestTaxonUnits(t *testing.T) {
	var x Taxon
	for _, unit := range []int{3, 64, 3, 200} {
		x.units.add(unit)
	}
	if x.Units() != 3 || !x.in(3) || !x.in(64) || !x.in(200) || x.in(4) || x.in(1000) {
		t.Errorf("%d units: %b", x.Units(), x.units)
	}
}
