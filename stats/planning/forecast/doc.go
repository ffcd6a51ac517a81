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
// One season tells nothing of sigma, and its prior is that of nu_0 years in which the
// peak varied by s_0: sigma^2 ~ nu_0 s_0^2 / chi-square(nu_0). The default, four years
// that differ by 8 days, is common practice without a source, and is said to be assumed.
// From two seasons on sigma is estimated from them alone, with a prior that is all but
// even in its logarithm, so that a window holds what it states however much years
// differ. The peak of the next season differs from that of the only one known by the
// deviations of both.
//
// Elevation moves the peak by the delay of the curves, or, where they have none, by
// that of Hopkins (1920) with an error of 1 day per 100 m (common practice, no
// source); roads by their lead. The shape of the curve is that of the latest season.
//
// # Degree days
//
// Curves over degree days ([Thermal]) are forecast on them, and dates follow from a
// [Calendar]: the degree days of this year so far, and for the days to come the mean of
// former years times a factor. Its logarithm is drawn from what the former years tell of
// it by the model of the peak; with one former year its spread is assumed. The sum at
// the peak is assumed to differ between years by the warmth of 5 days, where dates differ
// by 8.
//
// # In the season
//
// [Forecast.Update] weighs the draws by the likelihood of the counts of this year's
// visits so far, the height of the flush being unknown.
package forecast
