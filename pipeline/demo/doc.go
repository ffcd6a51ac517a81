// Package demo makes up a survey, so that every later stage has something to
// read and something known to estimate. Nothing in it was observed: the fires,
// the names, the crew and the coordinates are invented, and every survey.toml
// it writes says so. The coordinates are rounded points in the open ocean, at
// a latitude where such forests grow, so that nobody takes one for a place to go.
//
// [Survey] gives the demonstration as files in memory, the same bytes always.
// [Scaled] streams the same world at any size, for benchmarks. [Expected] and
// the constants beside it say what is true of that world, for tests to hold
// estimates against.
//
// # How the data are drawn
//
//  1. Places. A site, or the place of a unit without a site, gets an elevation,
//     an aspect, the days of its two visits and, where it is a site, a
//     log-normal effect with mean 1 and logarithmic SD [SiteSD] that all its
//     units share, whatever the fungus.
//  2. Units. A plot or transect gets its size and slope. The horizontal area
//     counts; lengths taped along the slope shrink by its cosine, once.
//  3. Forest. Stems of each species are Poisson at the stratum's density, each
//     alive with the stratum's share.
//  4. Groups. For each population of fungi (morels that live on the burn's dead
//     matter, morels that live with a host, false morels, cup fungi), the
//     number of groups that come up in a unit in the season is negative
//     binomial: Poisson, its mean multiplied by a gamma of mean 1 and shape
//     k = [ClumpingPer100M2] x area / 100 m2, drawn for each population and unit.
//     A group has 1 + geometric fruit bodies, [GroupMean] on average, and is
//     found or missed as a whole.
//  5. Season. A group comes up on a day drawn from a normal distribution and
//     stands for [StandDays] days, never longer than the time between two
//     visits. What stands on a day therefore follows a nearly Gaussian flush
//     that is highest [PeakDay] at [PeakElevationM], [DaysPer100M] later for
//     each 100 m above it and [RoadsideLeadDays] earlier beside a road. Aspect
//     changes nothing. The crew comes by elevation, low ground first.
//  6. Search. In plots and strips each observer, in each pass, sees a standing
//     group with a chance of their own, [Observer]. On lines a group lies at a
//     uniform distance x from the line and is seen with chance
//     exp(-x^2/(2 [LineSigmaM]^2)): on the line itself nothing is missed. Each
//     find is recorded once, as the counting rule "new" asks.
//  7. Trees. The nearest tree of a host-associated find is a live host, drawn
//     by its stems in the unit times the preference of [Hosts], at a Rayleigh
//     distance of mean [HostDistanceM]. For any other find, and for reference
//     points, it is any stem, at the distance that stems scattered at random
//     would have. The crew calls the mode right or, for a share
//     [UndeterminedShare] of the target finds, not at all.
//
// Adaptive cluster plots lie in a grid over one small stratum; see [GridDrawn].
// Systematic strips also run along a trend, see [TrendSpan].
package demo
