# Reference values for pipeline/question/ground: density ratios for steps of slope,
# elevation and aspect, adjusted for each other, for strata and for years since fire, by
# a negative binomial model with cluster-robust standard errors. Writes
# gradients_units.csv (made-up plots) and gradients.csv beside itself.
#
#   cd testdata/reference && Rscript gradients.R
#
# R 4.2.2, MASS 7.3-58.2, sandwich 3.0-2. vcovCL with type HC0 and cadjust is the sum over
# sites of the products of their scores, times m/(m-1) for m sites.
suppressMessages({library(MASS); library(sandwich)})
options(digits = 15)
set.seed(11)
sites <- 30
d <- NULL
for (s in seq_len(sites)) {
  stratum <- c("burn", "old", "green")[1 + s %% 3]
  effect <- rgamma(1, 2, 2)
  for (u in 1:3) {
    slope <- sample(0:60, 1); elevation <- sample(seq(900, 1500, 10), 1); aspect <- sample(0:359, 1)
    mu <- 100 * 0.02 * effect * exp(0.2 * slope / 10 - 0.15 * (elevation - 1200) / 100 + 0.4 * cos(aspect * pi / 180)) * c(burn = 3, old = 1, green = 0.5)[[stratum]]
    d <- rbind(d, data.frame(site = s, unit = paste0("u", s, "-", u), stratum = stratum, slope = slope, elevation = elevation, aspect = aspect, count = rnbinom(1, mu = mu, size = 1)))
  }
}
fit <- glm.nb(count ~ factor(stratum) + I(cos(aspect * pi / 180) / 2) + I(slope / 10) + I(elevation / 100) + offset(log(rep(0.02, nrow(d)))),
  data = d, control = glm.control(epsilon = 1e-13, maxit = 100))
se <- sqrt(diag(vcovCL(fit, cluster = d$site, type = "HC0", cadjust = TRUE)))
names <- c("north-facing", "slope", "elevation")
write.csv(d, "gradients_units.csv", row.names = FALSE, quote = FALSE)
write.csv(data.frame(attribute = names, ratio = format(exp(coef(fit)[4:6]), digits = 17), se_log = format(se[4:6], digits = 17)), "gradients.csv", row.names = FALSE, quote = FALSE)
