package adaptive

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Sample is what was searched and found in one stratum. Count, Drawn and
// Network have one entry per plot searched.
type Sample struct {
	Plots  int     // equal plots that the stratum is divided into, N
	AreaHa float64 // horizontal area of one of them, ha

	Count   []float64 // fruit bodies in each plot; a mean over seasons need not be whole
	Drawn   []bool    // whether the plot was drawn at random; the others were added
	Network []int     // number of its network, from 0; -1 for a plot under the threshold

	// Size is the number of plots of each network by its number, searched or
	// not. Nil: every plot of every network was searched.
	Size []int
}

// check panics on what only a programmer can have got wrong.
func (s Sample) check() {
	n := len(s.Count)
	switch {
	case len(s.Drawn) != n || len(s.Network) != n:
		panic("adaptive: slice length mismatch")
	case !(s.AreaHa > 0) || math.IsInf(s.AreaHa, 1):
		panic("adaptive: area is not positive")
	case s.Plots < n:
		panic("adaptive: more plots searched than there are")
	}
	for i, y := range s.Count {
		if !(y >= 0) || math.IsInf(y, 1) {
			panic("adaptive: count is negative")
		}
		if k := s.Network[i]; k < -1 || s.Size != nil && k >= len(s.Size) {
			panic("adaptive: no such network")
		}
	}
	for _, m := range s.Size {
		if m > s.Plots {
			panic("adaptive: a network has more plots than there are")
		}
	}
}

// Network is a network that the drawn plots hit.
type Network struct {
	Number    int     // as in the sample; -1 for a plot under the threshold
	Plots     int     // plots of it, searched or not
	Searched  int     // those of them that were searched
	Drawn     int     // those of them that were drawn
	Count     float64 // fruit bodies in those searched
	Inclusion float64 // chance that the draw hits it
}

// total is the fruit bodies of the whole network. Plots of it that were not
// searched are taken for the mean of those that were.
func (k Network) total() float64 {
	if k.Searched == k.Plots {
		return k.Count
	}
	return k.mean() * float64(k.Plots)
}

func (k Network) mean() float64 { return k.Count / float64(k.Searched) }

// networks gathers the plots by their network: those of the threshold by
// number, then each drawn plot under it, by count. What no drawn plot hit is
// left out; missed says how many networks of the threshold that are.
func (s Sample) networks() (hit []Network, missed int) {
	byNumber := map[int]*Network{}
	var numbers []int
	var single []Network
	for i, y := range s.Count {
		number := s.Network[i]
		if number < 0 {
			if s.Drawn[i] {
				single = append(single, Network{Number: -1, Plots: 1, Searched: 1, Drawn: 1, Count: y})
			}
			continue
		}
		k := byNumber[number]
		if k == nil {
			k = &Network{Number: number}
			byNumber[number] = k
			numbers = append(numbers, number)
		}
		k.Searched++
		k.Count += y
		if s.Drawn[i] {
			k.Drawn++
		}
	}
	slices.Sort(numbers)
	for _, number := range numbers {
		if k := byNumber[number]; k.Drawn > 0 {
			k.Plots = s.sizeOf(*k)
			hit = append(hit, *k)
		} else {
			missed++
		}
	}
	slices.SortFunc(single, func(a, b Network) int { return cmp.Compare(b.Count, a.Count) })
	return append(hit, single...), missed
}

func (s Sample) sizeOf(k Network) int {
	if s.Size == nil {
		return k.Searched
	}
	if s.Size[k.Number] < k.Searched {
		panic(fmt.Sprintf("adaptive: network %d has more plots searched than it has", k.Number))
	}
	return s.Size[k.Number]
}

// drawn is the number of plots drawn, n1.
func (s Sample) drawn() int {
	n := 0
	for _, d := range s.Drawn {
		if d {
			n++
		}
	}
	return n
}
