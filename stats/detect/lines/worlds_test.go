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
	trend   float64 // slope of the density along the layout: from 1 - trend to 1 + trend
	width   float64 // half-width, m
	// seen gives the chance to see a group of the size at the distance by the observer.
	seen     func(x, size float64, observer string) float64
	size     func(r *rand.Rand) float64 // nil: single objects
	models   []detect.Model             // one fitted, or several to select from
	averaged bool                       // and to average over
	form     string
	mapped   [][2]float64 // places of real objects, m; nil: invented
	// classes are the borders of the intervals distances are recorded in, m.
	classes []float64
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

// byDefault is what a survey that asks for nothing selects from, and
// withObserver what it does if it asks for the observer.
var (
	byDefault    = detect.Candidates(0)
	withObserver = detect.Candidates(0, "observer")
)

// worlds give 60 to 80 detections on 14 lines, unless named few.
func worlds() []world {
	base := world{lines: 14, width: 20, form: "R2", density: 7.8, seen: halfNormal(7), models: []detect.Model{hn}}
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
		with("trend, R2", func(w *world) { w.trend = 0.7 }),
		with("trend, O2", func(w *world) { w.trend, w.form = 0.7, "O2" }),
		with("few: 6 lines, 30 finds", func(w *world) { w.lines = 6 }),
		with("half-normal, chosen among the keys", func(w *world) { w.models, w.averaged = byDefault, true }),
		with("hazard-rate, chosen among the keys", func(w *world) { hazard(w); w.models, w.averaged = byDefault, true }),
		with("covariate, chosen with and without", func(w *world) { covariate(w); w.models, w.averaged = withObserver, true }),
		with("no covariate, chosen with and without", func(w *world) { w.models = withObserver }),
		with("half-normal in classes", func(w *world) { w.classes = []float64{0, 2, 5, 9, 14, 20} }),
		with("half-normal, chosen by AIC", func(w *world) { w.models = choice }),
		with("hazard-rate, chosen by AIC", func(w *world) { hazard(w); w.models = choice }),
		pines(),
	}
}

// draw surveys the world once. Lines are 200 to 540 m long.
func (w world) draw(r *rand.Rand) (Survey, detect.Data) {
	if w.mapped != nil {
		return w.drawMapped(r)
	}
	s := Survey{Strata: []Stratum{{Name: "all"}}}
	d := detect.Data{Right: w.width, Covariates: []detect.Covariate{{Name: "observer", Level: []string{}}, {Name: "log size", Value: []float64{}}}}
	meanSize := w.meanSize()
	for k := range w.lines {
		length := 200 + 400*float64(min(k, w.lines-1-k)*5%7)/7
		observer := string(rune('a' + k%2))
		s.Transects = append(s.Transects, Transect{Length: length, Sequence: k})
		here := w.density / meanSize / perHa * 2 * w.width * length
		here *= 1 + w.trend*(2*float64(k)/float64(w.lines-1)-1)
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
	if w.classes != nil {
		d.Right = 0
		for j, to := range w.classes[1:] {
			d.Bins = append(d.Bins, detect.Bin{From: w.classes[j], To: to})
		}
	}
	return s, d
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
