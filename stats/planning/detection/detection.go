// Package detection says what a second observer, a second pass or a second visit
// would buy, against more units for the same hours.
//
// # What one look misses
//
// A look finds each of what is there with probability p. Of m looks, any finds it with
//
//	p* = 1 - q^m,  q = 1 - p
//
// With looks m in a share s of the units and 1 in the others, and what is found of a
// unit divided by its p*, the density has the relative variance
//
//	V = 1/n [ (s/p*_m + (1-s)/p) / mu + 1/k ] + g^2 var(p)
//	g = s m q^(m-1) / p*_m + (1-s) / p
//
// for n units of a stratum with mu there on average: a thinned negative binomial count
// keeps its k, and g is -d log D / dp. Strata and the finite population factor are
// those of package samplesize.
//
// # What is known of p
//
// Looks tell of it by who saw what (observers who search independently), or by when
// it was first seen (passes that mark or remove). Given that a find was made at all,
// the information of it is
//
//	observers   Var(y) / (p q)^2   y of m saw it, binomial without 0
//	passes      Var(j) / q^2       j the pass of the first sight, geometric up to m
//
// With two looks everywhere, V has in it q^2/(p^2 N) for observers and
// q^2 (1+q) / (p^3 N) for passes, N there in all: the variances of Chapman's estimator
// and of the removal estimator of two passes, with p the same for both (Seber 1982,
// The Estimation of Animal Abundance, 2nd ed., sections 3.1 and 7.2; Huggins 1989,
// Biometrika 76: 133-140). Passes tell the less of p the smaller it is; under p = 0.4
// hardly anything.
//
// Without information of its own a survey takes p from elsewhere with the error it
// has there, or leaves its density uncorrected and low by 1 - p*. The root mean square
// error has both the bias and the variance.
package detection

import (
	"math"
	"math/rand/v2"

	"ashtally/stats"
	"ashtally/stats/planning"
	"ashtally/stats/planning/samplesize"
)

// Information is what the looks of a survey tell of the chance to find.
type Information string

// The kinds of information.
const (
	// Uncorrected surveys report what they found.
	Uncorrected Information = "uncorrected"
	// Elsewhere takes p from another survey, or an assumption.
	Elsewhere Information = "known from elsewhere"
	// Observers know who saw each find.
	Observers Information = "independent observers"
	// Passes know on which pass each find was made.
	Passes Information = "passes"
)

// Option is a way to look.
type Option struct {
	Name  string
	Looks int     // m, at least 1
	Share float64 // s of the units with m looks, the others having one; 0: 1
	Information
	// SameWalk is true of looks that need no further walk from unit to unit, as a
	// second pass by the same observer. A second observer, and a second visit, walk.
	SameWalk bool
}

// Chance is the probability p that one look finds what is there.
type Chance struct {
	P  float64
	SE float64 // of P where it comes from elsewhere; 0: assumed
}

// Row is what an option gives.
type Row struct {
	Option
	Units int
	Hours float64
	Found float64 // share of what is there that is found
	// CV is that of the reported density; Bias its relative bias, 0 for a corrected
	// one; RMSE the root of the mean square error relative to the true density.
	CV, Bias, RMSE float64
	// FromChance is the share of the variance that comes from not knowing p.
	FromChance float64
	None       *stats.Warning // why there is nothing; nil where there is
}

// Table is the options, all at the same hours.
type Table struct {
	Rows     []Row
	Best     int // the row of the least RMSE; -1 for none
	None     *stats.Warning
	Warnings []stats.Warning
}

// Warnings are the types of warnings of an option.
var Warnings stats.WarningTypes

var (
	noInformation = Warnings.New("one-look", stats.Unavailable, "One look gives no information on detection")
	tooFewHours   = Warnings.New("too-few-hours", stats.Unavailable, "The hours do not suffice")
	chanceAssumed = Warnings.New("chance-assumed", stats.Scope, "The detection probability is assumed")
)

// AtHours compares ways to look at the same hours. What is known is of the density
// that is there, not of what a pilot found of it: see [Present]. The costs of the
// design are those of one observer.
func AtHours(known planning.Drawer, d samplesize.Design, c Chance, hours float64, options []Option) Table {
	if !(c.P > 0 && c.P <= 1) || !(c.SE >= 0) || !(hours > 0) {
		panic("detection: a probability outside of (0, 1], or no hours")
	}
	t := Table{Best: -1, None: known.Reason()}
	if t.None != nil {
		return t
	}
	t.Warnings = known.Limitations(d.UnitHa)
	if c.SE == 0 {
		t.Warnings = append(t.Warnings, chanceAssumed.With("a detection probability of %.2g is assumed, without an error", c.P))
	}
	d.MostHours = hours
	for _, o := range options {
		t.Rows = append(t.Rows, o.settled().row(known.Typical(), d, c))
	}
	for i, r := range t.Rows {
		if r.None == nil && (t.Best < 0 || r.RMSE < t.Rows[t.Best].RMSE) {
			t.Best = i
		}
	}
	return t
}

func (o Option) settled() Option {
	if o.Share == 0 || o.Looks == 1 {
		o.Share = 1
	}
	if o.Looks < 1 || !(o.Share > 0 && o.Share <= 1) {
		panic("detection: an option without looks, or a share outside of (0, 1]")
	}
	return o
}

// row computes one option.
func (o Option) row(populations []planning.Population, d samplesize.Design, c Chance) Row {
	nan := math.NaN()
	r := Row{Option: o, Hours: nan, CV: nan, Bias: nan, RMSE: nan, FromChance: nan}
	r.Found = o.Share*sightedBy(c.P, o.Looks) + (1-o.Share)*c.P
	if o.Looks == 1 && (o.Information == Observers || o.Information == Passes) {
		w := noInformation.With("a single look says nothing of what it missed")
		r.None = &w
		return r
	}
	d = o.priced(d)
	thinned := make([]planning.Population, len(populations))
	for h, p := range populations {
		p.PerHa *= o.effective(c.P)
		thinned[h] = p
	}
	units := d.Most(thinned)
	if units == nil {
		w := tooFewHours.With("the hours do not suffice for the least number of units")
		r.None = &w
		return r
	}
	var present float64
	for h, n := range units {
		r.Units += n
		present += float64(n) * d.UnitHa * populations[h].PerHa
	}
	r.Hours = d.Hours(units)
	r.errors(d.CV(thinned, units), o.varianceOfLog(c, present))
	return r
}

// errors puts the variance between units and that of the chance together.
func (r *Row) errors(between, chance float64) {
	v := between*between + chance
	r.CV, r.Bias = math.Sqrt(v), 0
	if v > 0 {
		r.FromChance = chance / v
	}
	if r.Information == Uncorrected {
		r.Bias = r.Found - 1
	}
	r.RMSE = math.Hypot(r.Bias, (1+r.Bias)*r.CV)
}

// effective is what the mean of a unit is multiplied by in the Poisson part of its
// relative variance.
func (o Option) effective(p float64) float64 {
	if o.Information == Uncorrected {
		// Counts of unequal p* are added up as they are.
		return o.Share*sightedBy(p, o.Looks) + (1-o.Share)*p
	}
	return 1 / (o.Share/sightedBy(p, o.Looks) + (1-o.Share)/p)
}

// priced has the costs of all looks.
func (o Option) priced(d samplesize.Design) samplesize.Design {
	strata := make([]samplesize.Stratum, len(d.Strata))
	times := 1 + o.Share*float64(o.Looks-1)
	for h, s := range d.Strata {
		s.Cost.PerHa *= times
		if !o.SameWalk {
			s.Cost.PerKm *= times
		}
		strata[h] = s
	}
	d.Strata = strata
	return d
}

// varianceOfLog is the part of the variance of the log density that comes from p,
// with so many present in the units.
func (o Option) varianceOfLog(c Chance, present float64) float64 {
	p, q, m := c.P, 1-c.P, float64(o.Looks)
	slope := o.Share*m*math.Pow(q, m-1)/sightedBy(p, o.Looks) + (1-o.Share)/p
	switch o.Information {
	case Uncorrected:
		return 0
	case Elsewhere:
		return slope * slope * c.SE * c.SE
	}
	if q == 0 {
		return 0
	}
	return slope * slope / (o.Share * present * sightedBy(p, o.Looks) * o.information(p))
}

// information of p in one find that was made with all looks.
func (o Option) information(p float64) float64 {
	q, m, found := 1-p, float64(o.Looks), sightedBy(p, o.Looks)
	if o.Information == Observers {
		mean := m * p / found
		return ((m*p*q+m*m*p*p)/found - mean*mean) / (p * p * q * q)
	}
	var mean, square float64
	for j := 1.0; j <= m; j++ {
		weight := p * math.Pow(q, j-1) / found
		mean += j * weight
		square += j * j * weight
	}
	return (square - mean*mean) / (q * q)
}

// sightedBy is the chance that one of some looks finds what is there.
func sightedBy(p float64, looks int) float64 { return 1 - math.Pow(1-p, float64(looks)) }

// Present is what is there where a pilot found only a share of it: its densities
// divided by the chance to be found.
type Present struct {
	planning.Drawer
	Found float64 // by the pilot, in (0, 1]
}

// Draw returns the populations of what is there.
func (p Present) Draw(r *rand.Rand) []planning.Population { return p.raised(p.Drawer.Draw(r)) }

// Typical returns those in the middle of what is known.
func (p Present) Typical() []planning.Population { return p.raised(p.Drawer.Typical()) }

func (p Present) raised(found []planning.Population) []planning.Population {
	out := make([]planning.Population, len(found))
	for h, f := range found {
		f.PerHa /= p.Found
		out[h] = f
	}
	return out
}
