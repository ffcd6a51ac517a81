package lines

import (
	"math"
	"math/rand/v2"

	"ashtally/stats/detect"
	"gonum.org/v1/gonum/stat/distuv"
)

// world is land of known density, and a survey of it.
type world struct {
	name    string
	density float64 // objects per hectare
	lines   int
	clumped float64 // variance of the density from line to line, as a share of its square
	width   float64 // half-width, m
	// seen gives the chance to see a group of the size at the distance by the observer.
	seen   func(x, size float64, observer string) float64
	size   func(r *rand.Rand) float64 // nil: single objects
	models []detect.Model             // one fitted, or several to select from
}

func halfNormal(sigma float64) func(x, size float64, observer string) float64 {
	return func(x, _ float64, _ string) float64 { return math.Exp(-x * x / (2 * sigma * sigma)) }
}

func hazardRate(sigma, b float64) func(x, size float64, observer string) float64 {
	return func(x, _ float64, _ string) float64 { return -math.Expm1(-math.Pow(x/sigma, -b)) }
}

// observers see with a scale of their own: a 9 m, b 5 m.
func observers(x, _ float64, observer string) float64 {
	if observer == "a" {
		return halfNormal(9)(x, 0, "")
	}
	return halfNormal(5)(x, 0, "")
}

// larger groups are seen farther off.
func larger(x, size float64, _ string) float64 { return halfNormal(5+2.5*math.Log(size))(x, 0, "") }

// groups of 1 to about 20, mean about 3.
func groups(r *rand.Rand) float64 { return 1 + math.Floor(math.Exp(0.4+0.9*r.NormFloat64())) }

var (
	hn = detect.Model{Key: detect.HalfNormal}
	hr = detect.Model{Key: detect.HazardRate}
)

// choice is a small set to select from.
var choice = []detect.Model{
	hn, {Key: detect.HalfNormal, Series: detect.Cosine, Terms: 1}, hr, {Key: detect.Uniform, Series: detect.Cosine, Terms: 1},
}

// worlds give 60 to 80 detections on 14 lines.
func worlds() []world {
	base := world{lines: 14, width: 20, density: 7.8, seen: halfNormal(7), models: []detect.Model{hn}}
	with := func(name string, change func(w *world)) world {
		w := base
		w.name = name
		change(&w)
		return w
	}
	hazard := func(w *world) { w.seen, w.models = hazardRate(7, 3), []detect.Model{hr} }
	covariate := func(w *world) {
		w.seen, w.models = observers, []detect.Model{{Key: detect.HalfNormal, Covariates: []string{"observer"}}}
	}
	clumped := func(w *world) { w.clumped = 0.25 }
	sized := func(w *world) { w.seen, w.size, w.density = larger, groups, 22 }
	return []world{
		with("half-normal", func(*world) {}),
		with("half-normal, clumped", clumped),
		with("hazard-rate", hazard),
		with("hazard-rate, clumped", func(w *world) { hazard(w); clumped(w) }),
		with("covariate", covariate),
		with("covariate, clumped", func(w *world) { covariate(w); clumped(w) }),
		with("groups, sizes regressed", sized),
		with("groups, size as covariate", func(w *world) {
			sized(w)
			w.models = []detect.Model{{Key: detect.HalfNormal, Covariates: []string{"log size"}}}
		}),
		with("half-normal, chosen by AIC", func(w *world) { w.models = choice }),
		with("hazard-rate, chosen by AIC", func(w *world) { hazard(w); w.models = choice }),
	}
}

// draw surveys the world once. Lines are 200 to 540 m long.
func (w world) draw(r *rand.Rand) (Survey, detect.Data) {
	s := Survey{Strata: []Stratum{{Name: "all"}}}
	d := detect.Data{Right: w.width, Covariates: []detect.Covariate{{Name: "observer", Level: []string{}}, {Name: "log size", Value: []float64{}}}}
	meanSize := w.meanSize()
	for k := range w.lines {
		length := 200 + 400*float64(min(k, w.lines-1-k)*5%7)/7
		observer := string(rune('a' + k%2))
		s.Transects = append(s.Transects, Transect{Length: length, Sequence: k})
		here := w.density / meanSize / perHa * 2 * w.width * length
		if w.clumped > 0 {
			here *= distuv.Gamma{Alpha: 1 / w.clumped, Beta: 1 / w.clumped, Src: r}.Rand()
		}
		for range int(distuv.Poisson{Lambda: here, Src: r}.Rand()) {
			x, size := w.width*r.Float64(), 1.0
			if w.size != nil {
				size = w.size(r)
			}
			if r.Float64() < w.seen(x, size, observer) {
				s.On = append(s.On, k)
				s.Size = append(s.Size, size)
				d.Distance = append(d.Distance, x)
				d.Covariates[0].Level = append(d.Covariates[0].Level, observer)
				d.Covariates[1].Value = append(d.Covariates[1].Value, math.Log(size))
			}
		}
	}
	if w.size == nil {
		s.Size = nil
	}
	return s, d
}

func newRand(i uint64) *rand.Rand { return rand.New(rand.NewPCG(2031, i)) }

// fits are those of the world's models that converged, best first.
func (w world) fits(d detect.Data) []*detect.Fit {
	sample, err := detect.New(d)
	if err != nil {
		return nil
	}
	return sample.Select(w.models, detect.AIC, 0.95).Contenders()
}

// meanSize is that of the groups, by a long draw.
func (w world) meanSize() float64 {
	if w.size == nil {
		return 1
	}
	return groupMean
}

var groupMean = func() float64 {
	r := rand.New(rand.NewPCG(1, 1))
	var sum float64
	const n = 1 << 20
	for range n {
		sum += groups(r)
	}
	return sum / n
}()
