package observers

import (
	"math"
	"slices"

	"ashtally/stats"
	"gonum.org/v1/gonum/stat/distuv"
)

// Chance is the chance that find i was seen by any of those who were over its
// ground that day, with its gradient by the parameters.
//
//	p*_i = 1 - prod_j (1 - p_ij),  d p*_i / d beta = (1 - p*_i) sum_j p_ij x_ij
//
// It panics on a find that does not exist.
func (f *Fit) Chance(i int) (p float64, gradient []float64) { return f.chanceAt(i, -1) }

// chanceAt sets a covariate to 0; -1: none.
func (f *Fit) chanceAt(i, covariate int) (p float64, gradient []float64) {
	x := make([]float64, len(f.x))
	gradient = make([]float64, len(f.x))
	slope := make([]float64, len(f.x))
	for _, q := range f.design.nodes {
		var missed float64 // log of the chance that none sees it
		clear(slope)
		for _, j := range f.design.data.over(i) {
			f.design.row(x, i, j, covariate)
			f.design.at(x, q)
			eta := dot(x, f.x)
			missed -= softplus(eta)
			sees := logistic(eta)
			for k := range x {
				slope[k] += sees * x[k]
			}
		}
		p -= q.Weight * math.Expm1(missed)
		for k := range gradient {
			gradient[k] += q.Weight * slope[k] * math.Exp(missed)
		}
	}
	return p, gradient
}

// Sight is what the observers saw of some finds' kind.
type Sight struct {
	Seen, Alone []float64 // by observer: finds that tell, seen by him and by him alone
	Both        float64   // finds that tell, seen by two or more
	Tell        float64   // finds that tell
	Finds       float64   // all finds
	FruitBodies float64   // in them

	// Observers are the chances of each to see what there was, NaN for one who
	// searched for none of the finds.
	Observers []stats.Estimate
	// Together is the chance that any of those who searched saw it.
	Together stats.Estimate
	// Present is the fruit bodies that stood where and when the finds were
	// made, those in the finds among them.
	Present stats.Estimate
}

// moverInterval are the limits of what was there, of which seen is certain, from
// the variance v that beta brings and the sampling variance that is left where beta is known: about a
// Poisson count m times b, whose root has a standard deviation of root b / 2. The distances of
// both are put together (Zou & Donner 2008).
//
//	N - sqrt( (N - N_l)^2 + (m - max(0, root m - z/2 root b)^2)^2 ),  m = N - seen
//	N + sqrt( (N_u - N)^2 + ((root m + z/2 root b)^2 - m)^2 ),        b = sampling / m
//
// with N_l and N_u by the limits of seen / N on the logit scale. An upper limit past
// a hundred times what was seen is left open.
func (f *Fit) moverInterval(seen, there, sampling, v float64) stats.Interval {
	i := stats.Interval{Lower: there, Upper: there, Confidence: f.confidence, DF: math.Inf(1), Method: "mover"}
	missed := there - seen
	if !(missed > 0) || math.IsInf(there, 1) {
		return i
	}
	half := distuv.UnitNormal.Quantile((1+f.confidence)/2) / 2 * math.Sqrt(sampling/missed)
	least, most := max(0, math.Sqrt(missed)-half), math.Sqrt(missed)+half
	share := logit(seen/there, seen/there/there*math.Sqrt(v), f.confidence)
	i.Lower = max(seen, there-math.Hypot(there-seen/share.Upper, missed-least*least))
	i.Upper = there + math.Hypot(seen/share.Lower-there, most*most-missed)
	if !(i.Upper <= mostTimes*seen) {
		i.Upper = math.NaN()
	}
	return i
}

// mostTimes is how many times what was seen the upper limit may be. A handful of
// finds excludes no number.
const mostTimes = 100

// Sight estimates the chances to see the kind of things that some finds are
// samples of, and how many of them there were. Nil stands for all finds.
//
//	N = sum_i s_i / p*_i
//	v = sum_i s_i^2 (1 - p*_i) / p*_i^2 + D' V D,  D = d N / d beta
//
// with s_i the fruit bodies of find i, V the covariance of beta, and limits that put
// together those of seen / N on the logit scale and the sampling variance of the number missed. The chance of observer j is the mean over
// what there was and he searched for,
//
//	P_j = sum_i p_ij / p*_i / sum_i 1 / p*_i,
//
// and the one together is finds over what there were of them. Their variances
// are those of beta alone, carried by the delta method; limits are on the
// logit scale. Where an observer saw all that others saw, his lower limit is the
// exact binomial one from those finds, and there is no standard error; together the
// lower limit is then that of all lower limits.
//
// Reference: Huggins (1989), Biometrika 76: 133-140, from memory.
func (f *Fit) Sight(finds []int) Sight {
	d := f.design.data
	if finds == nil {
		finds = make([]int, d.len())
		for i := range finds {
			finds[i] = i
		}
	}
	s := f.seen(finds)
	f.together(&s, finds)
	for j := range d.Observers {
		s.Observers = append(s.Observers, f.observer(&s, finds, j))
	}
	if f.AtLimit() && s.Together.SE < 1e-4 {
		s.atLimit(f)
	}
	if f.design.varying {
		s.spared(f, d.Chao(finds, f.confidence))
	}
	return s
}

// atLimit gives what seems to have been seen whole a lower limit: that of
// observers whose chances are all at theirs.
func (s *Sight) atLimit(f *Fit) {
	missed := 1.0
	for _, e := range s.Observers {
		if !math.IsNaN(e.Lower) {
			missed *= 1 - e.Lower
		}
	}
	if missed < 1 {
		s.Together.Lower, s.Together.Method = min(s.Together.Value, 1-missed), "binomial-exact"
		s.Present.Upper = max(s.Present.Upper, s.FruitBodies/(1-missed))
	}
}

func (f *Fit) seen(finds []int) Sight {
	d := f.design.data
	s := Sight{Seen: make([]float64, d.Observers), Alone: make([]float64, d.Observers)}
	for _, i := range finds {
		s.Finds += d.times(i)
		s.FruitBodies += d.times(i) * d.size(i)
		if !d.tells(i) {
			continue
		}
		n := d.seenBy(i)
		s.Tell += d.times(i)
		if n > 1 {
			s.Both += d.times(i)
		}
		for k, j := range d.Searched[i] {
			if d.Saw[i][k] {
				s.Seen[j] += d.times(i)
				if n == 1 {
					s.Alone[j] += d.times(i)
				}
			}
		}
	}
	return s
}

func (f *Fit) together(s *Sight, finds []int) {
	d := f.design.data
	var present, there, chance float64
	slope, presentSlope := make([]float64, len(f.x)), make([]float64, len(f.x))
	alike := f.alike()
	for _, i := range finds {
		c := alike.factors[alike.of[i]]
		w, size, factor := d.times(i), d.size(i), c.factor
		there += w * factor
		present += w * size * factor
		chance += w * size * size * factor * (factor - 1)
		for k, g := range c.gradient {
			slope[k] += w * g
			presentSlope[k] += w * size * g
		}
	}
	v := form(slope, f.covariance)
	s.Together = f.share(s.Finds/there, s.Finds/there/there*math.Sqrt(v), int(s.Finds))
	v = form(presentSlope, f.covariance)
	s.Present = stats.Estimate{Value: present, SE: math.Sqrt(chance + v), N: int(s.Finds), Interval: f.moverInterval(s.FruitBodies, present, chance, v)}
	s.Together.Warnings, s.Present.Warnings = slices.Clip(f.Warnings), slices.Clip(f.Warnings)
	if math.IsNaN(s.Present.Upper) {
		s.Present.Warnings = append(s.Present.Warnings, upperOpen)
	}
	if len(finds) == 0 {
		s.Together = stats.Missing(f.confidence, 0, nothingFound)
		s.Present = stats.Missing(f.confidence, 0, nothingFound)
	}
}

func (f *Fit) observer(s *Sight, finds []int, j int) stats.Estimate {
	d := f.design.data
	var sees, there float64
	seesSlope, slope := make([]float64, len(f.x)), make([]float64, len(f.x))
	alike := f.alike()
	chances := make([]struct {
		p    float64
		turn []float64
	}, len(alike.factors))
	for _, i := range finds {
		if !searched(d.Searched[i], j) {
			continue
		}
		c, here := alike.factors[alike.of[i]], &chances[alike.of[i]]
		if here.turn == nil {
			here.p, here.turn = f.sees(i, j)
		}
		w := d.times(i)
		there += w * c.factor
		sees += w * c.factor * here.p
		for k, g := range c.gradient {
			slope[k] += w * g
			seesSlope[k] += w * (g*here.p + c.factor*here.turn[k])
		}
	}
	if there == 0 {
		return stats.Missing(f.confidence, 0, nothingSearched)
	}
	value := sees / there
	for k := range slope { // of the quotient
		slope[k] = (seesSlope[k] - value*slope[k]) / there
	}
	e := f.share(value, math.Sqrt(form(slope, f.covariance)), int(s.Seen[j]))
	if c := d.counts(j); e.SE == 0 && c.shared == c.others && c.shared > 0 {
		e.SE = math.NaN()
		e.Lower, e.Upper, e.Method = math.Min(value, math.Pow((1-f.confidence)/2, 1/c.shared)), 1, "binomial-exact"
	}
	return e
}

func searched(list []int, j int) bool {
	for _, o := range list {
		if o == j {
			return true
		}
	}
	return false
}

// share is a chance with limits on the logit scale.
func (f *Fit) share(p, se float64, n int) stats.Estimate {
	e := stats.Estimate{Value: p, SE: se, N: n, Interval: stats.NoInterval(f.confidence)}
	e.Interval = logit(p, se, f.confidence)
	return e
}

// logit is the interval of a chance on the logit scale.
func logit(p, se, confidence float64) stats.Interval {
	i := stats.Interval{Lower: p, Upper: p, Confidence: confidence, DF: math.Inf(1), Method: "logit"}
	if !(p > 0 && p <= 1) || !(se >= 0) {
		return stats.NoInterval(confidence)
	}
	if se > 0 && p < 1 {
		eta, half := math.Log(p/(1-p)), distuv.UnitNormal.Quantile((1+confidence)/2)*se/(p*(1-p))
		i.Lower, i.Upper = min(p, logistic(eta-half)), max(p, logistic(eta+half))
	}
	return i
}

// OnLine is the chance that what lies at 0 of a covariate, the distance from a
// line, is seen by any of those who searched: the harmonic mean over the finds
// of their p* with that covariate at 0.
//
//	P = n / sum_i 1 / p*(0, z_i)
//
// with the variance of beta carried by the delta method. Only on the line are
// the observers asked to be independent: what makes finds alike to both
// farther out bends the detection function, and not this (Laake 1999; Borchers et al. 2006).
//
// It panics if there is no such covariate in the data.
//
// References: Laake (1999), in Garner et al., Marine Mammal Survey and Assessment
// Methods: 137-148; Borchers, Laake, Southwell & Paxton (2006), Biometrics 62: 372-378;
// all from memory.
func (f *Fit) OnLine(covariate int) stats.Estimate {
	d := f.design.data
	if covariate < 0 || covariate >= len(d.Covariates) || d.Covariates[covariate].Levels != nil {
		panic("observers: there is no such covariate")
	}
	var n, there float64
	slope := make([]float64, len(f.x))
	for i := range d.Searched {
		p, gradient := f.chanceAt(i, covariate)
		n += d.times(i)
		there += d.times(i) / p
		for k, g := range gradient {
			slope[k] -= d.times(i) * g / (p * p)
		}
	}
	p := n / there
	return f.share(p, p/there*math.Sqrt(form(slope, f.covariance)), int(n))
}
