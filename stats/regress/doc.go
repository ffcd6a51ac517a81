// Package regress fits count models with a log link: what a density depends
// on, term by term, when counts are clumped and units of a site are alike.
//
// The count of row i on exposure a_i (searched area) has mean
//
//	mu_i = a_i exp(x_i' b)
//
// and variance mu_i + mu_i^2/k, the negative binomial NB2 of Lawless (1987),
// Canadian Journal of Statistics 15: 209-225, with the Poisson for k = +Inf.
// [NegativeBinomial] finds b and k together by maximum likelihood, [Poisson]
// b alone. Package terms writes the rows x_i.
//
//   - [Fit.Covariance] is the covariance of the coefficients: by the model, or
//     cluster-robust.
//   - [Covariance.Effect], [Covariance.Density] and [Covariance.Ratio] are
//     coefficients, densities and their ratios with intervals.
//   - [Fit.TestEffect], [Fit.TestRatio] and [Compare] test effects, ratios and
//     terms by cluster-level sign-flip score tests (see [Score]); Compare by
//     likelihood ratio and by Wald's test as well.
//   - [Covariance.Decline] is a log-linear trend and its time to a tenth.
//
// # What cannot be fitted
//
// Where a level has no finds at all, the likelihood has no maximum: its
// coefficient goes to minus infinity and would be printed as -20 or -30 with a
// standard error of thousands. A direction d along which it goes on rising, a
// direction of recession, is one with x_i'd = 0 in every row with finds and
// x_i'd <= 0, somewhere < 0, in those without (Haberman 1974, The Analysis of
// Frequency Data, appendix B). All rows that can so be sent to 0 are found
// beforehand (recession.go), their fitted density is 0, and the model is
// fitted to the others, which is the limit that the likelihood approaches. The
// warning "no-finds-in-cell" names the levels. Columns that repeat others are
// left out and named by "aliased-term".
//
// All computation is in an orthonormal basis of the column space, so that no
// density depends on names, order and base of levels.
//
// # Few clusters
//
// The cluster-robust covariance of few clusters is biased downwards and, being a
// variance from few squares, too variable for a normal quantile. [CR2] corrects its bias
// (Bell & McCaffrey 2002, Survey Methodology 28: 169-181) and gives each
// effect Satterthwaite's degrees of freedom (Pustejovsky & Tipton 2018,
// Journal of Business & Economic Statistics 36: 672-683), which have an upper
// bound by a rule of our own. Limits rest on that. The test of whether there is an
// effect at all does not: [Score] needs neither variance nor degrees of freedom.
// ERRORS.md tells how often each rejects what is true.
package regress
