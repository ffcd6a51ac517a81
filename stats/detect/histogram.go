package detect

// Bar is a column of a histogram of distances.
type Bar struct {
	Bin
	Count  int
	Height float64 // on the scale of g: the share seen of what is there
}

// Histogram counts the detections between cuts, ascending distances in metres
// from the left truncation to the half-width, and scales each column so that a
// good fit runs through the tops:
//
//	height = count / n * mu / (to - from)
//
// A detection on a cut belongs to the farther column, on the last to the last.
// With grouped distances the cuts must be borders of the intervals; then nil
// stands for all of them. It panics on fewer than two or descending cuts.
func (f *Fit) Histogram(cuts []float64) []Bar {
	s := f.sample
	if cuts == nil && s.bins != nil {
		cuts = s.borders()
	}
	counts := s.count(cuts)
	bars := make([]Bar, len(counts))
	for j, n := range counts {
		from, to := cuts[j], cuts[j+1]
		bars[j] = Bar{Bin{from, to}, n, float64(n) / float64(s.N()) * f.HalfWidth.Value / (to - from)}
	}
	return bars
}

// borders are those of the intervals of a grouped sample, in metres.
func (s *Sample) borders() []float64 {
	cuts := []float64{s.left}
	for _, b := range s.bins {
		cuts = append(cuts, b.To*s.scale)
	}
	cuts[len(cuts)-1] = s.right
	return cuts
}

// count sorts the detections into the columns between cuts.
func (s *Sample) count(cuts []float64) []int {
	if len(cuts) < 2 {
		panic("detect: fewer than two cuts")
	}
	for j := 1; j < len(cuts); j++ {
		if !(cuts[j] > cuts[j-1]) {
			panic("detect: cuts do not ascend")
		}
	}
	counts := make([]int, len(cuts)-1)
	for _, t := range s.t {
		if t < cuts[0]/s.scale || t > cuts[len(cuts)-1]/s.scale {
			continue
		}
		j := len(counts) - 1
		for j > 0 && t < cuts[j]/s.scale {
			j--
		}
		counts[j]++
	}
	return counts
}
