# Reference values for stats/dispersion: tests of chance, the negative binomial
# k, expected counts and goodness of fit. Writes dispersion.csv beside itself.
#
#   cd testdata/reference && Rscript dispersion.R
#
# R 4.2.2, MASS 7.3-58.2. Counts are those of the sources named below or made up
# by the seeds.
suppressMessages(library(MASS))
options(digits = 15)

loglik <- function(y, a, m, k) if (is.infinite(k)) sum(dpois(y, m * a, log = TRUE)) else sum(dnbinom(y, size = k, mu = m * a, log = TRUE))
profile <- function(y, a, lk) optimize(function(lm) loglik(y, a, exp(lm), exp(lk)), log(sum(y) / sum(a)) + c(-4, 4), maximum = TRUE, tol = 1e-11)$objective

# classes joined from 0 upwards until each expects one unit, the rest in the last.
goodness <- function(y, expected, parameters) {
  n <- length(y); sums <- NULL; seen <- NULL; e <- 0; o <- 0; left <- n
  for (i in seq_along(expected)) {
    e <- e + expected[i]; o <- o + sum(y == i - 1)
    if (e >= 1 && left - e >= 1) { sums <- c(sums, e); seen <- c(seen, o); left <- left - e; e <- 0; o <- 0 }
  }
  sums <- c(sums, left); seen <- c(seen, n - sum(seen))
  x <- sum((seen - sums)^2 / sums); df <- length(sums) - 1 - parameters
  c(x, df, pchisq(x, df, lower.tail = FALSE))
}

out <- NULL
case <- function(name, y, a = rep(1, length(y))) {
  add <- function(what, value) out <<- rbind(out, data.frame(case = name, what = what, value = paste(format(value, digits = 16, trim = TRUE), collapse = " ")))
  n <- length(y); mu <- sum(y) / sum(a) * a
  add("count", y); add("area", a)
  x <- sum((y - mu)^2 / mu)
  add("chisq", x); add("p", pchisq(x, n - 1, lower.tail = FALSE))
  add("morisita", sum(y * (y - 1)) / (sum(y) * (sum(y) - 1)) / sum((a / sum(a))^2))
  add("pois_loglik", loglik(y, a, sum(y) / sum(a), Inf))
  epois <- sapply(0:max(y), function(j) sum(dpois(j, mu)))
  add("pois_expected", epois); add("pois_goodness", goodness(y, epois, 1))
  fit <- tryCatch(suppressWarnings(glm.nb(y ~ 1 + offset(log(a)), control = glm.control(epsilon = 1e-14, maxit = 300))), error = function(e) NULL)
  if (x < n - 1) return(invisible()) # no more than chance: glm.nb runs off to infinity
  k <- fit$theta; m <- exp(coef(fit)[[1]])
  add("k", k); add("loglik", loglik(y, a, m, k))
  if (all(a == 1)) { # MASS::fitdistr agrees, without exposures
    f <- fitdistr(y, "negative binomial", control = list(reltol = 1e-14))
    add("fitdistr_k", f$estimate[["size"]]); add("fitdistr_se", f$sd[["size"]])
    # With equal exposures the mean is orthogonal to k. glm.nb's SE.theta is of
    # the last step but one, and theta.ml stops at 1e-4, so it is kept apart.
    info <- n * trigamma(k) - sum(trigamma(k + y)) - n / k + 2 * n / (k + m) - sum((y + k) / (k + m)^2)
    add("se", 1 / sqrt(info)); add("glmnb_se", fit$SE.theta)
  } else { # the observed information of both, for glm.nb takes the mean for known
    h <- optimHess(c(log(m), k), function(p) -loglik(y, a, exp(p[1]), p[2]), control = list(ndeps = c(1e-4, 1e-4)))
    add("se_numeric", sqrt(solve(h)[2, 2]))
  }
  top <- profile(y, a, log(k)); drop <- qchisq(.95, 1) / 2
  f <- function(lk) top - profile(y, a, lk) - drop
  add("k_lower", exp(uniroot(f, log(k) - c(6, 0), tol = 1e-12)$root))
  add("k_upper", if (top - profile(y, a, 25) < drop) NaN else exp(uniroot(f, log(k) + c(0, 20), tol = 1e-12)$root))
  enb <- sapply(0:max(y), function(j) sum(dnbinom(j, size = k, mu = m * a)))
  add("nb_expected", enb); add("nb_goodness", goodness(y, enb, 2))
  add("moments_k", sum(mu^2) / (n / (n - 1) * sum((y - mu)^2) - sum(y)))
  zeros <- function(lk) sum((1 + mu / exp(lk))^-exp(lk)) - sum(y == 0)
  if (any(y == 0) && sum(exp(-mu)) < sum(y == 0)) add("zeros_k", exp(uniroot(zeros, c(-15, 15), tol = 1e-13)$root))
}

# Bliss & Fisher (1953), Biometrics 9: 176-200: red mites on 150 apple leaves.
case("mites", rep(0:8, c(70, 38, 17, 10, 9, 3, 2, 1, 0)))
# Truffles per plot, from memory of Waters et al. (1997), Forest Ecology and
# Management 96: 155-166; the last class is 4 or more there, and 4 here.
case("truffles", rep(0:4, c(203, 39, 18, 13, 15)))
case("discoveries", as.numeric(discoveries))
set.seed(31); a <- round(runif(60, 0.005, 0.03), 4)
case("unequal", rnbinom(60, size = 0.45, mu = 250 * a), a)
set.seed(32); a <- c(rep(0.0314, 25), rep(0.0628, 15))
case("two sizes", rnbinom(40, size = 1.5, mu = 120 * a), a)
case("large", c(812, 70, 1500, 64, 65, 4000, 0, 913, 128, 63), c(1, 1, 2, 2, 3, 3, 1, 2, 3, 1))
case("weak", c(0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 4, 4, 5, 6, 1, 2, 0, 3, 2, 7, 1, 2))
case("even", c(2, 3, 2, 2, 3, 2, 3, 2, 2, 1, 2, 3, 2, 2, 3, 2))
write.csv(out, "dispersion.csv", row.names = FALSE, quote = FALSE)
