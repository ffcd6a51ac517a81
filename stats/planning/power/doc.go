// Package power computes the probability that a survey detects a stated ratio of two
// densities, by simulation with the tests that the survey itself uses.
//
// Two kinds of comparison differ in what the two counts share:
//
//   - Two groups of finds counted on the same units, as two modes or finds near two
//     trees: part of what makes a unit rich is common to both.
//   - The same finds on two sets of units, as burns of two ages, or two years with
//     units of their own.
//
// A [Scenario] is one of them with its number of units and its ratio. [Simulate] draws
// surveys of it, each with populations from the posterior distribution, and counts the
// rejections of each test at the level: the mean of the power over what is uncertain
// (assurance: O'Hagan, Stevens & Campbell 2005, Pharmaceutical Statistics 4: 187-201),
// or, of populations that are known, the power itself.
//
// The formulas [TwoSamples] and [SameUnits] hold for many units. With under twenty
// units, or k under 0.3, tests have less power than they say.
package power
