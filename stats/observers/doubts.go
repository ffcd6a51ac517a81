package observers

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashtally/stats"

	"gonum.org/v1/gonum/stat/distuv"
)

// fewTwice is how many finds two should both have seen: with 7 the bias of the
// estimate is under 2 % in 95 of 100 surveys (Robson & Regier 1964, from Krebs
// 1999, both from memory).
const fewTwice = 7

// fewFinds is how many an observer must have seen before it says anything that
// he added nothing: with 5, an observer who sees half of what the other sees adds
// nothing by chance in 3 of 100 surveys.
const fewFinds = 5

var (
	noPair = NoTwoObservers.With("no find was made where two or more searched and it is known who saw it, so detection cannot be estimated")

	noneTwice = NoneSeenByBoth.With("no find was seen by two observers, so nothing tells how many neither saw; either nearly all was " +
		"missed, or the observers shared the ground between them instead of each searching all of it")
	nothingFound    = stats.NoFinds.With("nothing was found here")
	nothingSearched = ObserverWithoutFinds.With("nothing was found where this observer searched")
	allByAll        = AllSeenByAll.With("every find was seen by all who searched; observers who search on their own hardly ever agree so well, " +
		"so it may be that they told each other, and then nothing tells what both missed")
	limitReached = SightAtLimit.With("a detection probability lies at the end of its range and is assumed known, so the standard error of " +
		"the detection probability is too small")
	upperOpen = stats.MissedOpen.With("so few finds tell of the observers' eyes that the upper limit of what was there lies past %d "+
		"times what was seen, and is left open", mostTimes)
	parted = Separation.With("what is known of the finds parts those seen from those missed without overlap; the model is held back " +
		"from certainty and not to be trusted")
	twoAtMost  = stats.SightUntested.With("no three observers searched together where something was found")
	lowerBound = stats.SightUntested.With("two observers cannot tell whether finds differ in detectability. Where they do, the corrected " +
		"density is a lower bound")
	shapeAssumed = stats.SightVaries.With("detection probability varied among finds, and is assumed to be normal among them on the logit " +
		"scale; other shapes fit these counts about as well and put more or less in what nobody saw")
	unlike = FindsUnlike.With("finds were not all as easy to see, by what was recorded of them; what was not recorded may differ too, " +
		"and then the correction is too small")
)

// agreement warns of counts of two observers that independent ones seldom give.
func agreement(first, second, both float64) []stats.Warning {
	var w []stats.Warning
	switch {
	case both+first+second < fewFinds:
	case first == 0 && second == 0:
		w = append(w, allByAll)
	case first == 0 || second == 0:
		w = append(w, addsNothing(""))
	}
	return append(w, fewBoth(both)...)
}

func fewBoth(both float64) []stats.Warning {
	if both >= fewTwice {
		return nil
	}
	return []stats.Warning{FewSeenByBoth.With("%.0f finds were seen by two observers; under %d the detection probability depends on few finds", both, fewTwice)}
}

func addsNothing(who string) stats.Warning {
	if who == "" {
		who = "one of the observers"
	}
	return ObserverAddsNothing.With(who + " saw no find that the others had not seen, as happens where one follows another and looks at what " +
		"was marked; by these counts the others missed nothing, which is too good to be true")
}

// doubts are what the finds and the fit give reason for.
func (f *Fit) doubts() []stats.Warning {
	d := f.design.data
	var w []stats.Warning
	all, both := true, 0.0
	for _, i := range d.telling() {
		n := d.seenBy(i)
		all = all && n == len(d.Searched[i])
		if n > 1 {
			both += d.times(i)
		}
	}
	switch {
	case all && f.N >= fewFinds:
		w = append(w, allByAll)
	default:
		for j := range d.Observers {
			if c := d.counts(j); f.Paired(j) && c.alone == 0 && c.seen > 0 && f.N >= fewFinds {
				w = append(w, addsNothing(d.name(j)))
			}
		}
	}
	if f.AtLimit() {
		w = append(w, limitReached)
		if f.parted() {
			w = append(w, parted)
		}
	}
	w = append(w, fewBoth(both)...)
	if len(f.Model.Covariates) > 0 {
		w = append(w, unlike)
	}
	if f.design.varying {
		return append(w, shapeAssumed)
	}
	if f.SightP < unevenSight {
		w = append(w, f.uneven())
	}
	if pair := f.Dependence(); pair.P < tooDependent {
		w = append(w, pair.warning(d))
	}
	if !d.looks() {
		w = append(w, lowerBound)
	}
	return w
}

func (p Dependence) warning(d Data) stats.Warning {
	who := d.name(p.First) + " and " + d.name(p.Second)
	if p.Z > 0 {
		return ObserversAgree.With(who + " saw the same finds more often than observers on their own would: either they told each other, or some " +
			"finds were easy for all and some hard for all; the correction is too small")
	}
	return ObserversAvoid.With(who + " saw the same finds less often than observers on their own would, as if they had shared the ground " +
		"between them; the correction is too large")
}

// unevenSight is the level of the test of sight that is even among finds.
const unevenSight = 0.05

// uneven warns of a model of even sight that the frequencies reject.
func (f *Fit) uneven() stats.Warning {
	c := f.design.data.Chao(nil, f.confidence)
	return stats.SightVaries.With("finds seen by one observer and by all are more frequent than if all were as easy to see (p %s): either "+
		"sight varied among finds, and what was there is underestimated, or observers told each other; Chao's lower bound is %.0f finds for %d seen",
		shortP(f.SightP), c.Value, c.N).Moving(max(0, c.Value/float64(c.N)*f.Sight(nil).Together.Value-1))
}

func shortP(p float64) string {
	if p < 0.001 {
		return "< 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

// tooDependent is how often chance may pass the limit of the test, over all
// pairs of independent observers together.
const tooDependent = 0.01

// Dependence is how far a pair of observers is from seeing independently.
type Dependence struct {
	First, Second int
	// Z is how many more finds both saw than the model expects, in standard
	// errors. Large for two who tell each other, or where finds differ in how hard
	// they are to see; large and negative for two who share the ground.
	Z float64
	P float64 // two-sided, of the farthest of all pairs being so far by chance (Bonferroni)
}

// Dependence is the pair farthest from independence, by a score test of each.
//
//	z = S / sqrt(v),  S = sum_i ( y_ij y_ik - e_i ),  e_i = p_ij p_ik / p*_i
//	v = sum_i e_i (1 - e_i) - c' V c
//
// over the finds that both searched for, with c the covariance of S with the
// score of beta: beta was fitted to the same finds. Z is 0 and P 1 where the counts leave nothing
// to test, as with two observers without covariates.
func (f *Fit) Dependence() Dependence {
	tests := map[[2]int]*excess{}
	var space lookers
	for _, i := range f.design.data.telling() {
		f.addPairs(tests, i, &space)
	}
	var pairs [][2]int
	for pair, e := range tests {
		if e.variance-form(e.score, f.covariance) > 1e-6*e.variance {
			pairs = append(pairs, pair)
		}
	}
	slices.SortFunc(pairs, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	out := Dependence{P: 1}
	for _, pair := range pairs {
		e := tests[pair]
		z := e.more / math.Sqrt(e.variance-form(e.score, f.covariance))
		if math.Abs(z) > math.Abs(out.Z) {
			out.First, out.Second, out.Z = pair[0], pair[1], z
		}
	}
	if out.Z != 0 {
		out.P = min(1, float64(len(pairs))*2*distuv.UnitNormal.Survival(math.Abs(out.Z)))
	}
	return out
}

// excess is what a pair saw together beyond what is expected.
type excess struct {
	more, variance float64
	score          []float64 // covariance with the score of beta
}

// lookers is room for the rows of the design and the probabilities of those who searched
// for a find.
type lookers struct {
	rows [][]float64
	p    []float64
}

func (l *lookers) of(n, columns int) (rows [][]float64, p []float64) {
	for len(l.rows) < n {
		l.rows, l.p = append(l.rows, make([]float64, columns)), append(l.p, 0)
	}
	return l.rows[:n], l.p[:n]
}

func (f *Fit) addPairs(tests map[[2]int]*excess, i int, space *lookers) {
	d := f.design.data
	who, w := d.Searched[i], d.times(i)
	rows, p := space.of(len(who), len(f.x))
	missed := 1.0
	for j, o := range who {
		f.design.row(rows[j], i, o, -1)
		p[j] = logistic(dot(rows[j], f.x))
		missed *= 1 - p[j]
	}
	for j := range who {
		for k := range j {
			pair := [2]int{min(who[j], who[k]), max(who[j], who[k])}
			t := tests[pair]
			if t == nil {
				t = &excess{score: make([]float64, len(f.x))}
				tests[pair] = t
			}
			e := p[j] * p[k] / (1 - missed)
			t.more += w * (oneIf(d.Saw[i][j] && d.Saw[i][k]) - e)
			t.variance += w * e * (1 - e)
			for l, x := range rows {
				given := p[l] // that both saw it
				if l == j || l == k {
					given = 1
				}
				for a := range x {
					t.score[a] += w * x[a] * e * (given - p[l]/(1-missed))
				}
			}
		}
	}
}
