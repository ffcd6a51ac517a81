package coverage

import (
	"math"
	"math/rand/v2"

	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// walked is a survey along lines in the making.
type walked struct {
	lines.Survey
	detect.Data
}

// draw walks n lines of 200 to 540 m, or pairs of such lines.
func (w lineWorld) draw(r *rand.Rand, n int) (lines.Survey, detect.Data) {
	if w.mapped {
		return w.drawMapped(r, n)
	}
	s := w.begin()
	if w.bySite {
		n *= 2
	}
	var onSite float64
	for k := range n {
		length := 200 + 400*float64(min(k, n-1-k)*5%7)/7
		if w.bySite && k%2 == 0 {
			onSite = gamma(r, 4)
		}
		s.Transects = append(s.Transects, lines.Transect{Length: length, Sequence: k, Stratum: w.stratum(k), Site: w.site(k)})
		w.walk(r, &s, k, w.objects(r, k, n, length, onSite))
	}
	return s.finish(w)
}

// objects is how many groups a strip as wide as the search holds.
func (w lineWorld) objects(r *rand.Rand, k, n int, length, onSite float64) int {
	mean := w.density / 1e4 * 2 * w.width * length
	if w.size != nil {
		mean /= meanGroup
	}
	if w.trend != 0 {
		mean *= 1 + w.trend*(2*float64(k)/float64(n-1)-1)
	}
	if w.clumped > 0 {
		mean *= gamma(r, 1/w.clumped)
	}
	if w.bySite {
		mean *= onSite
	}
	if w.strata {
		// 1.6 and 0.8 of the mean on a quarter and three quarters of the land.
		mean *= [...]float64{1.6, 0.8}[k%2]
	}
	return int(poisson(r, mean))
}

// walk sees some of the objects along a line.
func (w lineWorld) walk(r *rand.Rand, s *walked, k, objects int) {
	observer := string(rune('a' + k%2))
	for range objects {
		x, size := w.width*r.Float64(), 1.0
		if w.size != nil {
			size = w.size(r)
		}
		if r.Float64() < w.seen(x, size, observer) {
			s.see(k, x, size, observer)
		}
	}
}

func (s *walked) see(k int, x, size float64, observer string) {
	s.On, s.Size = append(s.On, k), append(s.Size, size)
	s.Distance = append(s.Distance, x)
	s.Covariates[0].Level = append(s.Covariates[0].Level, observer)
	s.Covariates[1].Value = append(s.Covariates[1].Value, math.Log(size))
}

func (w lineWorld) begin() walked {
	s := walked{Survey: lines.Survey{Strata: []lines.Stratum{{Name: "all", AreaHa: 80}}}}
	if w.strata {
		s.Strata = []lines.Stratum{{Name: "rich", AreaHa: 20}, {Name: "poor", AreaHa: 60}}
	}
	s.Covariates = []detect.Covariate{{Name: "observer", Level: []string{}}, {Name: "size", Value: []float64{}}}
	return s
}

func (w lineWorld) stratum(k int) int {
	if w.strata {
		return k % 2
	}
	return 0
}

func (w lineWorld) site(k int) string {
	if w.bySite {
		return string(rune('a' + k/2))
	}
	return ""
}

func (s walked) finish(w lineWorld) (lines.Survey, detect.Data) {
	if w.size == nil {
		s.Size = nil
	}
	s.Right = w.width
	if w.classes != nil {
		s.Right = 0
		for j, to := range w.classes[1:] {
			s.Bins = append(s.Bins, detect.Bin{From: w.classes[j], To: to})
		}
	}
	return s.Survey, s.Data
}

// drawMapped lays lines of 100 m across the longleaf pines at random; the
// square is joined at its edges, so that every tree has the same chance.
func (w lineWorld) drawMapped(r *rand.Rand, n int) (lines.Survey, detect.Data) {
	const length = 100
	pines := Longleaf()
	s := w.begin()
	for k := range n {
		s.Transects = append(s.Transects, lines.Transect{Length: length, Sequence: k})
		x, y := pines.Width*r.Float64(), pines.Height*r.Float64()
		for i := range pines.X {
			across := around(pines.X[i]-x, pines.Width)
			along := math.Mod(pines.Y[i]-y+pines.Height, pines.Height)
			if across <= w.width && along < length && r.Float64() < w.seen(across, 1, "") {
				s.see(k, across, 1, "a")
			}
		}
	}
	return s.finish(w)
}
