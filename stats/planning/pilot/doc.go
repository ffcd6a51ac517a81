// Package pilot estimates the density and the clumping of strata from a pilot survey,
// as a posterior distribution.
//
// # The model
//
// Counts are those of [planning.Population]: negative binomial, with a density D_h and
// clumping k_h for each stratum and one power b by which k grows with the area of a
// unit. A stratum of eight units hardly estimates its k. So the parameters of the
// strata come from common distributions,
//
//	log k_h ~ N(kappa, s^2),  kappa ~ N(log k_0, s_0^2)
//	log D_h ~ N(log D_0, s_D^2)
//
// with D_0 the density of all pilot units together. With few units k_h is drawn
// towards that of the other strata, and in their absence towards k_0, which is assumed;
// with many units the data dominate. A stratum without a pilot has a wide distribution.
//
// Units are taken as independent.
//
// # Computation
//
// The likelihood is evaluated on a grid of log D and log k for each b. [Posterior.Draw]
// samples the grid, and evenly within a cell. The same generator gives the same
// populations.
//
// References: Gelman, Carlin, Stern & Rubin (1995), Bayesian Data Analysis, chapter
// 5, on hierarchical models and on sampling from a grid.
package pilot
