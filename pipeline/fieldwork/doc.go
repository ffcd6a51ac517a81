// Package fieldwork holds the season as data: strata, units, visits, counts by
// group, masses, finds along lines, detection histories, host trees and
// temperatures. [Season.Take] collects them from the Arrow batches of the input
// tables. The package estimates nothing.
//
// The sampled unit-season of every estimate is a [UnitSeason]: all that was counted
// in one plot or transect in one calendar year, by the survey's counting rule.
// Two visits are never two unit-seasons. Two seasons of one unit are two unit-seasons of
// one cluster. A [Domain] is the unit-seasons that an estimate rests on, and a
// [Subgroup] is a combination of mode, tree and taxon. A domain carries the
// warnings that follow from its design.
package fieldwork
