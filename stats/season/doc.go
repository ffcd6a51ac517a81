// Package season fits the flush of a fungus to repeat visits: when it begins,
// peaks and ends, how much later it comes with elevation, how much earlier
// beside roads, and what share of it a plan of visits could see.
//
// # The curve
//
// Fruit bodies come up at a rate whose logarithm is quadratic in time, so that
// the flush is a Gaussian curve (ter Braak & Looman 1986). On a unit of cell c
// at elevation e, in 100 m above the reference, with r = 1 beside a road,
//
//	log rate(x) = a_c + g e + b1 z + b2 z^2
//	z           = (x - d e + l r - x0) / s
//
// with x the time in days of the year, x0 and s fixed to centre and scale it.
// The peak lies at z = -b1 / (2 b2), so that d is the delay of the peak by
// 100 m of elevation and l the lead of a roadside. The height a_c is free for
// each cell (a stratum, a method, roadside or not) and may drift with elevation
// by g: where there are more fruit bodies says nothing of when they come.
//
// # Other shapes
//
// A flush may rise more steeply than it falls, and there may be two. [Choose]
// tests the Gaussian curve by what it leaves of the counts by date, with whole
// clusters kept together ([Misfit]), and where it is rejected takes a skewed or a
// bimodal curve, by AIC, if that fits. The former is the log-gamma curve of Prentice
// (1974), of which the Gaussian is the case q = 0,
//
//	log rate(x) = a_c + g e + (w - exp(w) + 1) / q^2,   w = q (z - mode) / sd
//
// and the latter the sum of two Gaussian ones with delay and lead in common.
// Whatever the shape, z, heights and counts are the same.
//
// # Visits
//
// A visit that records only what is new since the last one is a window (from,
// to] of time, and its mean count is the area times the integral of the rate
// over the window. A visit that records all that stand is a moment, from = to,
// and the curve is that of the standing crop. The counts are negative binomial,
// variance mu + mu^2/k, fitted by maximum likelihood (Lawless 1987).
//
// How long a fruit body stands sets the windows. If all stand for as many days,
// those longer ago than that are left out of a window; if the days vary, the rate is
// weighted by the share that still stands at the end of it. The visits tell neither:
// [Total.Across] gives a total limits under several such assumptions.
//
// # Uncertainty
//
// Visits of one unit or site share their soil and are not independent. The
// covariance of the parameters is that of leaving out one cluster at a time,
// each approximated by one Newton step from the fit of all,
//
//	V = (m-1)/m sum_c d_c d_c',   d_c = (A - A_c)^-1 s_c
//
// with s_c the score of cluster c, A_c its part of the observed information and
// m the clusters (the form of Bell & McCaffrey 2002 for few clusters). Student's
// t takes m less the parameters of the curve as degrees of freedom. The peak has
// Fieller's limits (Fieller 1954), the width those of b2 carried over, and the
// rest the delta method.
//
// That variance is too wide for a figure that a few clusters bear: one roadside
// of twelve has a sixth of what tells their peak from that of the rest, and
// leaving it out counts its residual a fifth too high. The delay by elevation and
// the lead of roadsides are single parameters, for which Bell & McCaffrey give
// the correction without that bias, the square root, with degrees of freedom by
// Satterthwaite from the same leverages,
//
//	V = sum_c e_c e_c',   e_c = A^-1 (I - A_c A^-1)^-1/2 s_c
//
// (their bias reduced linearisation; Imbens & Kolesár 2016). The leverage is by
// the observed information, in which a rich cluster weighs by what was found in
// it; by the expected one, where all count alike, the intervals came out too
// narrow. The figures of the curve keep the wide variance: those of onset, end
// and width are skew, and with the narrow one do not reach their level.
//
// SIMULATION.md says how often the intervals hold the truth.
//
// # No curve
//
// A curve is never forced: [Fit] says why there is none where nothing was
// found, visits fell on fewer than four dates or on one unit or site, the finds
// do not clearly rise and fall, or the peak lies outside of the visits. [Choose] gives none either
// where no shape fits.
//
// # Speed
//
// Of visits at one time to units that lie alike, in one cell and of one exposure,
// only the number and the sum of the counts come into the likelihood. Its
// derivatives are exact, and the maximum is found by Newton's method: over many
// visits first with elevations in classes, then over all for the last steps. It
// ends where the gradient does, so that the figures have some twelve digits.
//
// # Time by warmth
//
// With a [Sample.Clock] the x above is degree days instead of days; [DegreeDays]
// sums them. The rate stays one per day, so that both fits have the same counts
// to explain and their AIC can be compared.
//
// References, with volumes and pages from memory: ter Braak & Looman (1986), Vegetatio
// 65: 3-11; Lawless (1987), Canadian Journal of Statistics 15: 209-225; Fieller
// (1954), Journal of the Royal Statistical Society B 16: 175-185; Bell & McCaffrey
// (2002), Survey Methodology 28: 169-181; Prentice (1974), Biometrika 61: 539-544;
// Imbens & Kolesár (2016), Review of Economics and Statistics 98: 701-712; Hopkins (1920),
// Journal of the Washington Academy of Sciences 10: 34-40 on elevation.
package season
