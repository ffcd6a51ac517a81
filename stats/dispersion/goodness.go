package dispersion

import "math"

// leastExpected is the least number of units that a class of counts is
// expected to hold: 1 (Cochran 1954, Biometrics 10: 417-451). With counts drawn
// from the fitted family (15 to 200 units, means 1 to 20, k 0.3 and 1, areas
// equal or not) P is under 0.05 in 0.03 to 0.07 of samples. A larger least does
// worse: at 5, under 60 units, few samples have classes enough, and those reject
// 0.05 to 0.13, for with few classes the parameters taken from the counts
// themselves weigh more.
const leastExpected = 1

// longest is the highest count that expected units are listed for. It is more
// than a figure can show, and keeps a slip of the pen in one row of a survey
// from asking for gigabytes.
const longest = 10000

// Fit is how well a distribution fits.
type Fit struct {
	LogLik, AIC  float64 // with every constant; NaN if nothing was fitted
	Classes      []Class // that ChiSquare runs over
	ChiSquare, P float64 // NaN if there are too few classes
	DF           int     // classes less 1 less parameters
}

// Class is the units whose count lies in a range.
type Class struct {
	From, To int // To is -1 in the last class, which has no end
	Observed int
	Expected float64
}

func noFit() Fit { return Fit{LogLik: nan, AIC: nan, ChiSquare: nan, P: nan} }

// goodness compares the units observed and expected by count,
//
//	X^2 = sum_c (O_c - E_c)^2 / E_c
//
// over classes of counts that each expect at least so many units. The
// parameters are those of maximum likelihood from the counts themselves, not
// from the classes, so that P lies between those of DF and of DF plus the
// number of parameters (Chernoff & Lehmann 1954, Annals of Mathematical
// Statistics 25: 579-586); it is that of DF, the smaller.
func (s sample) goodness(expected []float64, parameters int, logLik, least float64) Fit {
	f := noFit()
	f.LogLik, f.AIC = logLik, 2*float64(parameters)-2*logLik
	f.Classes = s.classes(expected, least)
	f.DF = max(0, len(f.Classes)-1-parameters)
	if f.DF == 0 {
		return f
	}
	f.ChiSquare = 0
	for _, c := range f.Classes {
		d := float64(c.Observed) - c.Expected
		f.ChiSquare += d * d / c.Expected
	}
	f.P = chiSquareTail(f.ChiSquare, f.DF)
	return f
}

// classes joins counts from 0 upwards until a class expects enough units. What
// is left at the end, and all that lies beyond the counts listed, goes to the
// last class.
func (s sample) classes(expected []float64, least float64) []Class {
	observed := make([]int, len(expected))
	for _, y := range s.count {
		if y < float64(len(observed)) {
			observed[int(y)]++
		}
	}
	unseen := s.units()
	left := float64(unseen)
	var classes []Class
	next := Class{}
	for y, e := range expected {
		next.Observed += observed[y]
		next.Expected += e
		// A class may close only if what lies beyond can fill another.
		if next.Expected >= least && left-next.Expected >= least {
			next.To = y
			classes = append(classes, next)
			left -= next.Expected
			unseen -= next.Observed
			next = Class{From: y + 1}
		}
	}
	next.To, next.Observed, next.Expected = -1, unseen, left
	return append(classes, next)
}

// expected is how many units should hold 0, 1, 2 ... finds, up to the highest
// count (but not beyond [longest]), if a hectare holds rate on average, with clumping k:
//
//	sum_i Gamma(k + y) / (Gamma(k) y!) (k / (k + mu_i))^k (mu_i / (k + mu_i))^y
//
// or the Poisson terms for k = +Inf. For unequal areas it is a sum of unlike
// distributions, and so no distribution of its family.
func (s sample) expected(rate, k float64) []float64 {
	units := make([]float64, min(s.highest, longest)+1)
	for _, c := range s.sizes {
		mu := rate * c.area
		logP := logZero(mu, k)
		for y := range units {
			units[y] += c.units * math.Exp(logP)
			logP += logStep(float64(y), mu, k)
		}
	}
	return units
}

// logStep is the log of the chance of y + 1 finds over that of y.
func logStep(y, mu, k float64) float64 {
	if math.IsInf(k, 1) {
		return math.Log(mu / (y + 1))
	}
	return math.Log((y + k) / (y + 1) * mu / (mu + k))
}
