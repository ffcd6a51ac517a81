# Reference answers for stats/poissonlognormal: probabilities of single counts by
# adaptive quadrature (stats::integrate) and fits by optimize and optim over it.
# Rscript testdata/reference/poissonlognormal.R, from the top of the checkout; R
# alone is enough. Writes poissonlognormal.csv and poissonlognormal_fits.csv.

logp <- function(y, mu, s) {
  f <- function(z) dpois(y, mu * exp(s * z - s^2 / 2), log = TRUE) + dnorm(z, log = TRUE)
  top <- optimize(f, c(-40, 40), maximum = TRUE, tol = 1e-10)$maximum
  width <- 1 / sqrt(1 + s^2 * mu * exp(s * top - s^2 / 2))
  g <- function(z) exp(f(z) - f(top))
  f(top) + log(integrate(g, top - 40 * width, top, rel.tol = 1e-11, subdivisions = 2000)$value +
               integrate(g, top, top + 40 * width, rel.tol = 1e-11, subdivisions = 2000)$value)
}

rows <- expand.grid(y = c(0, 1, 5, 40, 900), mu = c(0.1, 2, 30), s = c(0.3, 1, 2.1))
rows$logp <- mapply(logp, rows$y, rows$mu, rows$s)
rows$logp <- sprintf("%.12g", rows$logp)
write.csv(rows, "testdata/reference/poissonlognormal.csv", row.names = FALSE, quote = FALSE)

samples <- list(
  list(y = c(0, 0, 3, 1, 12, 0, 45, 2), a = rep(1, 8)),
  list(y = c(0, 7, 1, 0, 0, 130, 4, 9, 2), a = c(1, 2, 1, 0.5, 1.5, 3, 1, 2, 1)))
fits <- NULL
for (i in seq_along(samples)) for (s in c(0.6, 1.5, 2.1)) {
  d <- samples[[i]]
  l <- function(x) sum(mapply(logp, d$y, exp(x) * d$a, s))
  o <- optimize(l, c(-5, 8), maximum = TRUE, tol = 1e-9)
  h <- 1e-3
  info <- -(l(o$maximum + h) - 2 * l(o$maximum) + l(o$maximum - h)) / h^2
  fits <- rbind(fits, data.frame(counts = paste(d$y, collapse = " "), areas = paste(d$a, collapse = " "), s = s,
    loglik = sprintf("%.12g", o$objective), mean = sprintf("%.10g", exp(o$maximum)), information = sprintf("%.6g", info)))
}
write.csv(fits, "testdata/reference/poissonlognormal_fits.csv", row.names = FALSE, quote = FALSE)
