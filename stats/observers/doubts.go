package observers

import (
	"fmt"
	"math"

	"ashtally/stats"
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
	noPair = stats.Warning{Code: "no-two-observers", Text: "no find was made where two or more searched and it is known who saw it, so nothing tells what was missed"}

	noneTwice       = stats.Warning{Code: "none-seen-by-both", Text: "no find was seen by two observers, so nothing tells how many neither saw; either nearly all was missed, or the observers shared the ground between them instead of each searching all of it"}
	nothingFound    = stats.Warning{Code: "no-finds", Text: "nothing was found here"}
	nothingSearched = stats.Warning{Code: "observer-without-finds", Text: "nothing was found where this observer searched"}
	allByAll        = stats.Warning{Code: "all-seen-by-all", Text: "every find was seen by all who searched; observers who search on their own hardly ever agree so well, so it may be that they told each other, and then nothing tells what both missed"}
	limitReached    = stats.Warning{Code: "sight-at-limit", Text: "a chance to see lies at the end of its range and is taken as known, so the uncertainty of what was missed is too small"}
	parted          = stats.Warning{Code: "separation", Text: "what is known of the finds parts those seen from those missed without overlap; the model is held back from certainty and not to be trusted"}
	unlike          = stats.Warning{Code: "finds-unlike", Text: "finds were not all as easy to see, by what was recorded of them; what was not recorded may differ too, and then more was missed than is made up for"}
	agreeTooWell    = stats.Warning{Code: "observers-agree", Text: "the observers saw the same finds more often than observers on their own would: either they told each other, or some finds were easy for all and some hard for all; more was missed than is made up for"}
	agreeTooLittle  = stats.Warning{Code: "observers-avoid", Text: "the observers saw the same finds less often than observers on their own would, as if they had shared the ground between them; less was missed than is made up for"}
)

// agreement warns of counts of two observers that independent ones seldom give.
func agreement(first, second, both float64) []stats.Warning {
	var w []stats.Warning
	switch {
	case both+max(first, second) < fewFinds:
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
	return []stats.Warning{{Code: "few-seen-by-both", Text: fmt.Sprintf("%.0f finds were seen by two observers; under %d the share that was missed hangs on a few finds", both, fewTwice)}}
}

func addsNothing(who string) stats.Warning {
	if who == "" {
		who = "one of the observers"
	}
	return stats.Warning{Code: "observer-adds-nothing", Text: who + " saw no find that the others had not seen, as happens where one follows another and looks at what he marks; by these counts the others missed nothing, which is too good to be true"}
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
			if c := d.counts(j); f.Paired(j) && c.alone == 0 && c.seen+c.others >= fewFinds && c.seen > 0 {
				w = append(w, addsNothing(d.name(j)))
			}
		}
	}
	if f.AtLimit() {
		w = append(w, limitReached)
		if len(f.Model.Covariates) > 0 {
			w = append(w, parted)
		}
	}
	w = append(w, fewBoth(both)...)
	if len(f.Model.Covariates) > 0 {
		w = append(w, unlike)
	}
	switch z := f.Dependence(); {
	case z > tooDependent:
		w = append(w, agreeTooWell)
	case z < -tooDependent:
		w = append(w, agreeTooLittle)
	}
	return w
}

// tooDependent is the score that chance passes once in a hundred surveys of
// independent observers.
const tooDependent = 2.576

// Dependence is a score test of the observers being independent: how many more
// pairs of them saw the same find than the model expects, in standard errors.
//
//	z = S / sqrt(v),  S = sum_i sum_{j<k} ( y_ij y_ik - p_ij p_ik / p*_i )
//	v = sum_i var_i - c' V c
//
// with var_i the variance of the pairs of find i given that it was seen, and c
// their covariance with the score of beta: beta was fitted to the same finds.
// Large and positive for observers who tell each other, or finds that differ in
// how hard they are to see; large and negative for such as share the ground. It is 0
// where the counts leave nothing to test, as with two observers without
// covariates.
func (f *Fit) Dependence() float64 {
	d := f.design.data
	var excess, variance, untested float64
	c := make([]float64, len(f.x))
	for _, i := range d.telling() {
		if len(d.Searched[i]) > mostTested {
			continue
		}
		p := f.pairs(i)
		seen := 0.0
		for k, n := 0, d.seenBy(i); k < n; k++ {
			seen += float64(k) // pairs among n
		}
		w := d.times(i)
		excess += w * (seen - p.mean)
		untested += w * p.variance
		for k := range c {
			c[k] += w * p.score[k]
		}
	}
	variance = untested - form(c, f.covariance)
	if !(variance > 1e-6*untested) {
		return 0
	}
	return excess / math.Sqrt(variance)
}

// pairs are the moments, given that a find was seen, of the number of pairs of
// its observers who both saw it.
type pairs struct {
	mean, variance float64
	score          []float64 // covariance with the score of beta
}

// mostTested bounds the observers of a find in the test: the ways to see it
// double with each.
const mostTested = 12

// pairs goes through all ways in which the find could have been seen.
func (f *Fit) pairs(i int) pairs {
	who := f.design.data.Searched[i]
	rows, p := make([][]float64, len(who)), make([]float64, len(who))
	missed := 1.0
	for j, o := range who {
		rows[j] = make([]float64, len(f.x))
		f.design.row(rows[j], i, o, -1)
		p[j] = logistic(dot(rows[j], f.x))
		missed *= 1 - p[j]
	}
	out := pairs{score: make([]float64, len(f.x))}
	var squares float64
	score := make([]float64, len(f.x))
	for ways := 1; ways < 1<<len(who); ways++ {
		chance, n := 1/(1-missed), 0.0
		clear(score)
		for j := range who {
			saw := ways>>j&1 == 1
			if saw {
				chance *= p[j]
				n++
			} else {
				chance *= 1 - p[j]
			}
			for k, x := range rows[j] {
				score[k] += x * (oneIf(saw) - p[j]/(1-missed))
			}
		}
		both := n * (n - 1) / 2
		out.mean += chance * both
		squares += chance * both * both
		for k := range score {
			out.score[k] += chance * both * score[k] // the score has mean 0
		}
	}
	out.variance = squares - out.mean*out.mean
	return out
}
