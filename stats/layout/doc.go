// Package layout places sampling units on a map: at random, on a systematic
// grid with a random start, or spatially balanced by the local pivotal method.
//
//  1. A [Ground] is polygons that may hold units, with distances to keep from
//     their boundary, from other polygons and from lines.
//  2. A [Footprint] is the shape of a unit: a circle, a rectangle or a line
//     with a bearing.
//  3. [NewFrame] makes the sampling frame of them: every centre from which a
//     unit lies wholly on the ground, at its distances.
//  4. A [Design], [Random], [Systematic] or [Balanced], draws centres from the
//     frame. Each has the same chance to place a unit anywhere in the frame.
//
// [VoronoiVariance] measures spatial balance, and [LocalMeanVariance]
// estimates the variance of a total from a balanced sample, for which the
// variance of simple random sampling is conservative.
//
// Because units are kept whole, ground within reach of a boundary is searched
// less than the rest: the frame's area says how much of the ground a centre
// can lie on. An estimate from the sample is of the whole ground only where
// the margin does not differ from it.
//
// Coordinates are metres, X to the east and Y to the north. Randomness is
// passed in, and the same generator gives the same sample.
package layout
