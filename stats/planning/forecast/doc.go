// Package forecast gives the distribution of when the flush of the next season
// comes, from the curves of past seasons.
//
// # The model
//
// The peak of a season lies at the peak of the mean year and a deviation of its own,
// which all places share,
//
//	y_s ~ N(alpha, sigma^2 + e_s^2)
//
// e_s the standard error of the curve of season s, inflated for its degrees of
// freedom, and sigma the standard deviation between years. The next peak is drawn
// from N(alpha, sigma^2), with alpha and sigma drawn from what the seasons tell of
// them: the predictive distribution of a random-effects model (Higgins, Thompson &
// Spiegelhalter 2009, Journal of the Royal Statistical Society A 172: 137-159).
// The logarithm of the width has the same model, with deviations of its own.
//
// One season tells nothing of sigma, and a few tell little. Its prior is that of nu_0
// years in which the peak varied by s_0: sigma^2 ~ nu_0 s_0^2 / chi-square(nu_0). The
// default of 8 days and four years is common practice without a source; with S
// seasons it counts as 4 degrees of freedom beside S - 1. The peak of the next season
// differs from that of the only one known by the deviations of both.
//
// Elevation moves the peak by the delay of the curves, or, where they have none, by
// that of Hopkins (1920) with an error of 1 day per 100 m (common practice, no
// source); roads by their lead. The shape of the curve is that of the latest season.
//
// # Degree days
//
// Curves fitted on a clock of degree days are forecast on it, and dates follow from a
// [Calendar]: the degree days of this year so far, and from then on those of former
// years, each of which is as likely to come again.
//
// # In the season
//
// [Forecast.Update] weighs the draws by the likelihood of the counts of this year's
// visits so far, the height of the flush being unknown.
package forecast
