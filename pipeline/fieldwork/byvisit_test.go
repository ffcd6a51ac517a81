package fieldwork

import (
	"maps"
	"math/rand/v2"
	"testing"
)

// TestByVisit holds what is kept to a plain sum, whatever the order of the finds, and its
// memory to the number of visits and numbers.
func TestByVisit(t *testing.T) {
	type key struct {
		visit  int
		number uint64
	}
	rng := rand.New(rand.NewPCG(23, 1))
	for _, order := range []string{"by visit", "mixed"} {
		var b byVisit
		want := map[key]int64{}
		const visits, finds = 40, 300_000
		for i := range finds {
			visit := 1 + i*visits/finds
			if order == "mixed" {
				visit = 1 + rng.IntN(visits)
			}
			number, n := uint64(rng.IntN(150)), int64(1+rng.IntN(3))
			switch i {
			case 7:
				n = 1<<62 + 5
			case 8:
				number = 1<<63 + 1
			}
			b.add(visit, number, n)
			want[key{visit, number}] += n
			if i%1000 == 0 {
				b.flush() // as after a batch
			}
		}
		b.flush()
		if b.size > 1<<18 {
			t.Errorf("%s: %d bytes are kept for %d numbers", order, b.size, len(want))
		}
		got := map[key]int64{}
		for v := range visits + 2 { // nothing was added to the first and the last
			before, n := uint64(0), 0
			for number, count := range b.of(v) {
				if n > 0 && number <= before {
					t.Fatalf("%s: visit %d is out of order", order, v)
				}
				got[key{v, number}] = count
				before, n = number, n+1
			}
			if b.any(v) != (n > 0) || b.most(v) < n {
				t.Errorf("%s: visit %d has %d numbers, said to be %d at most", order, v, n, b.most(v))
			}
		}
		if !maps.Equal(got, want) {
			t.Errorf("%s: %d numbers, want %d, or other counts", order, len(got), len(want))
		}
	}
}

// TestByVisitLong has runs that no block holds, and visits in an order of their own.
func TestByVisitLong(t *testing.T) {
	var b byVisit
	const long = 3 * runBlock
	for _, visit := range []int{2, 0, 2, 1} {
		for i := range long {
			b.add(visit, uint64(i), 1)
		}
	}
	b.flush()
	for visit, want := range []int64{1, 1, 2} {
		next := uint64(0)
		for number, n := range b.of(visit) {
			if number != next || n != want {
				t.Fatalf("visit %d has %d of number %d, want %d of %d", visit, n, number, want, next)
			}
			next++
		}
		if next != long {
			t.Errorf("visit %d has %d numbers", visit, next)
		}
	}
}

func TestPlaced(t *testing.T) {
	for _, p := range []struct {
		mode uint8
		cm   int32
		host bool
	}{{0, 0, false}, {255, 1<<31 - 1, true}, {3, 240, false}} {
		const n = 3*placedMost + 5 // over what one number holds
		sum := int64(0)
		for _, one := range appendPlaced(nil, newPlace(p.mode, p.cm, p.host), n) {
			if at := one.place(); at.mode() != int(p.mode) || at.cm() != p.cm || at.host() != p.host {
				t.Errorf("%v is mode %d, %d cm, host %t", p, at.mode(), at.cm(), at.host())
			}
			sum += one.n()
		}
		if sum != n {
			t.Errorf("%d fruit bodies of %d", sum, n)
		}
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
