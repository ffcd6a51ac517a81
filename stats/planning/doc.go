// Package planning holds what the parts of a survey plan share: the model of the
// counts of units, the hours that units cost, and the reasons why a wanted precision
// is out of reach. Each question has a package below it:
//
//   - pilot: density and clumping estimated from a pilot survey
//   - published: densities and clumping to assume without a pilot
//   - allocation: units over strata
//   - samplesize: units for a wanted coefficient of variation or interval width
//   - unitsize: the area of a plot, or length of a transect, at equal cost
//   - power: the probability that a test detects a stated ratio
//   - detection: the gain from a second observer or a second visit
//   - forecast: when the flush of the next season comes
//   - visits: on which dates to go
//
// # Assurance
//
// A pilot of a dozen units estimates the clumping of counts to a factor of two or
// three, and the survey's own estimate of its precision varies from survey to survey.
// The number of units that gives the wanted precision on average gives it to little
// more than half of the surveys. So a plan is the number of units with which a stated
// share of surveys, 0.8 by default, will report what was wanted, averaged over the
// densities and clumping that the pilot allows (assurance: O'Hagan, Stevens & Campbell
// 2005, Pharmaceutical Statistics 4: 187-201).
package planning
