// Package calibrate measures how often the intervals of densities hold what
// they promise: it surveys worlds whose density is known, again and again, and
// counts.
//
// The flow:
//
//  1. A [World] can be surveyed with any number of units: counts that are
//     Poisson, negative binomial or zero-inflated, clumps cut by the edges of
//     plots, sites, strips of unequal length, layouts across a trend, and real
//     populations that were mapped tree by tree.
//  2. A [Cell] is a world at one size and, for a layout, with one variance.
//     [Grid] lists the cells of the published table.
//  3. [Cell.Run] draws the cell's samples and scores every interval method on
//     the same ones.
//
// Sample i of a cell draws from rand.NewPCG(seed, i), and its result has a place
// of its own, so that the scores are the same on one core or many.
//
// The table that is made of the whole grid is published/README.md in this folder.
package calibrate
