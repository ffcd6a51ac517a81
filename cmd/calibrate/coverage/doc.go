// Package coverage measures how often the intervals of the project hold what
// they promise: it surveys worlds whose truth is known, again and again, and
// counts.
//
// The flow:
//
//  1. A [Figure] is what is estimated: the density from plots, from lines or from
//     adaptive cluster plots, or the ratio of two kinds. It names its methods, and
//     the sizes from which its default has a goal.
//  2. A [World] can be surveyed with any number of pieces. Of plots: counts that
//     are Poisson, negative binomial or zero-inflated, clumps cut by the edges of
//     plots, sites, strips of unequal length, layouts across a trend, and real
//     populations that were mapped tree by tree. Of lines: sight of several shapes,
//     by observer and by size of group, on lines that differ, in sites, in strata,
//     or across a trend.
//  3. A [Cell] is a world at one size and, for a layout, with one variance.
//     [Grid] lists the cells of the published table.
//  4. [Cell.Run] draws the cell's samples and scores every interval method on
//     the same ones.
//
// Sample i of a cell draws from rand.NewPCG(seed, i), and its result has a place
// of its own, so that the scores are the same on one core or many.
//
// The table that is made of the whole grid is published/README.md beside this folder.
package coverage
