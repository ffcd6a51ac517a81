package report

import (
	"slices"

	"ashtally/pipeline/analyze"
)

// intervalKind explains one way of finding limits.
type intervalKind struct {
	code  string
	title string // within a sentence
	says  string
	cites []string // keys of sources
}

// Title and Says open an interval to the template.
func (k intervalKind) Title() string { return capital(k.title) }

// Says explains how the limits are found.
func (k intervalKind) Says() string { return k.says }

// intervalKinds are the intervals of one kind of figure by the names they
// carry. A name that is missing is printed as it is.
type intervalKinds []intervalKind

var densityIntervals = intervalKinds{
	{"model-averaged", "average over models of clumping",
		"Each model of the counts (negative binomial, with a share of ground that holds nothing, Poisson-lognormal; each with its clumping on a grid) gives the probability of an estimate as far off as the one made, for every density. The limits are the densities at which the average of these probabilities, weighted by how well the models fit the counts of all strata together, is half of what the confidence leaves out. Strata share what their counts tell of clumping, so that a few units in each set limits to all; the limits of several strata together are those of their weighted mean itself, not put together from theirs.",
		[]string{"turek", "fletcher"}},
	{"nb-profile", "profile likelihood of the negative binomial",
		"The limits are the densities at which the likelihood of the counts, with the clumping fitted anew for each density (and a share of ground that holds nothing, where the counts ask for one), has fallen too far below its height. How far is set by Student’s t, and by the sample’s own variance where that is larger than the fitted one. Because the likelihood knows that counts are clumped and cannot fall below 0, the limits lie unevenly about the estimate, the upper one farther off.",
		[]string{"lambert", "lawless", "venzon"}},
	{"log-t", "Student’s t on the log scale",
		"The limits are the estimate divided and multiplied by exp(t √(log(1 + cv²))), where cv is the standard error over the estimate: exact if estimates were log-normal.",
		[]string{"burnham1987"}},
	{"t", "Student’s t",
		"The limits are the estimate less and plus t standard errors, cut off at 0. They suppose that estimates are normal about the truth; for clumped counts the upper limit is too low.",
		[]string{"cochran"}},
	{"bca", "bias-corrected and accelerated bootstrap",
		"Sites are drawn again at random, as many as there were, over and over; the limits are percentiles of the densities so found, corrected for bias and for a spread that grows with the density.",
		[]string{"efron"}},
	{"bootstrap-t", "studentised bootstrap",
		"Sites are drawn again at random, as many as there were, over and over; the spread of (density − estimate) / standard error so found takes the place of Student’s t.",
		[]string{"davison"}},
	{"empirical-likelihood", "empirical likelihood",
		"The limits are the densities that the counts themselves, reweighted as little as possible, can still support. No distribution is supposed, but few units give limits that are too near.",
		[]string{"owen"}},
	{"poisson-exact", "exact Poisson limits",
		"Where no fruit body was found, or all units hold the same, the limits are the exact ones of a Poisson count. They suppose that finds are scattered at random, and are too near for a fungus that grows in clumps.",
		[]string{"garwood"}},
	{"log-t-networks", "Student’s t on the log scale, by networks",
		"Of adaptive cluster plots: the limits are the estimate divided and multiplied by exp(t √(log(1 + cv²))), with the degrees of freedom of the networks with finds, one less than there are. Where fewer than five hold finds they do not keep their level.",
		[]string{"burnham1987"}},
	{"log-normal", "log-normal limits",
		"Of densities along lines: the limits are the estimate divided and multiplied by exp(t √(log(1 + cv²))), with cv² the sum of those between lines and of the detection function, and degrees of freedom by Satterthwaite’s rule.",
		[]string{"buckland", "burnham1987", "satterthwaite"}},
	{"bootstrap-log-normal", "lines drawn again, with the detection function chosen anew",
		"Of densities along lines: the lines of each stratum (or its sites) are drawn again at random, one fewer than there are, over and over; the detection functions are fitted to what those lines hold, and the best of them gives a density. The limits are the estimate divided and multiplied by exp(t √(log(1 + cv²))), with cv² the sum of that between lines and of what these densities add to the finds per length they are made of: the spread that comes of the function, its choice among it, and of the sizes of groups. Logs of these that lie far from the others count as no more than twice the spread of the middle half; where even that is over 1, there are no limits. t has the degrees of freedom of log-normal limits.",
		[]string{"augustin", "buckland", "rao"}},
	{"averaged-log-normal", "lines drawn again, detection functions averaged",
		"Of densities along lines: the estimate is the mean over the detection functions fitted, each weighed by its share of the evidence, exp(−Δ/2) with Δ its AIC above the best. The lines of each stratum (or its sites) are drawn again at random, one fewer than there are, over and over, all functions fitted to what those lines hold, and averaged anew. The limits are the estimate divided and multiplied by exp(t √(log(1 + cv²))), with cv² the sum of that between lines and of what these densities add to the finds per length they are made of: the spread that comes of the functions, their weights among it, and of the sizes of groups. Logs of these that lie far from the others count as no more than twice the spread of the middle half; where even that is over 1, there are no limits. t has the degrees of freedom of log-normal limits.",
		[]string{"augustin", "buckland", "burnham2002", "rao"}},
	{"poisson", "exact Poisson limits along lines",
		"Where nothing was found along lines, the upper limit is that of a Poisson count of 0 in the strip that the crew’s sight is worth. It takes the detection function as known and finds as scattered at random, and is too near for a fungus that grows in clumps.",
		[]string{"garwood"}},
	{"mover", "limits carried over from the strata",
		"The limits of the strata, uneven as they are, are carried over to the land: the distance from estimate to limit is √(Σ W² d²), with d the same distance in each stratum and W its share of the land. Strata without finds carry their upper limit with them.",
		[]string{"zou"}},
}

var comparisonIntervals = intervalKinds{
	{"log-t", "Student’s t on the log scale",
		"The limits are the ratio divided and multiplied by exp(t s), with s the standard error of its logarithm.", nil},
	{"logit-t", "Student’s t on the logit scale",
		"The limits of a share are found on the scale log(share / (1 − share)) and turned back, so that they stay between 0 and 1.",
		[]string{"korn"}},
	{"binomial-exact", "exact binomial limits",
		"Where one kind was not found, or the units tell nothing of the spread, the limits are the exact ones of a binomial count. They suppose that finds are scattered at random, and are too near for a fungus that grows in clumps.",
		[]string{"clopper"}},
}

func (kinds intervalKinds) find(code string) (intervalKind, bool) {
	i := slices.IndexFunc(kinds, func(k intervalKind) bool { return k.code == code })
	if i < 0 {
		return intervalKind{}, false
	}
	return kinds[i], true
}

// name says an interval's name in words.
func (kinds intervalKinds) name(code string) string {
	if k, ok := kinds.find(code); ok {
		return k.title
	}
	return words(code)
}

// used are the kinds behind the limits of some figures, in the order of the
// list, and the codes that no kind explains.
func (kinds intervalKinds) used(figures []analyze.Estimate) (used intervalKinds, unknown []string) {
	codes := map[string]bool{}
	for _, e := range figures {
		if (e.Lower.Known || e.Upper.Known) && e.Interval != "" && !codes[e.Interval] {
			codes[e.Interval] = true
			if _, ok := kinds.find(e.Interval); !ok {
				unknown = append(unknown, words(e.Interval))
			}
		}
	}
	for _, k := range kinds {
		if codes[k.code] {
			used = append(used, k)
		}
	}
	return used, unknown
}
