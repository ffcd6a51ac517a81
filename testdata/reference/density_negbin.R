# Reference values for stats/negbin: maximum likelihood and profile likelihood
# of the negative binomial, plain and with extra zeros. Writes density_negbin.csv
# and density_inflated.csv beside itself.
#
#   cd testdata/reference && Rscript density_negbin.R
#
# R 4.2.2, MASS 7.3-58.2. Log-likelihoods are sums of R's own dnbinom; the
# maxima are sharpened with optim/optimize to the tolerances given.
suppressMessages(library(MASS))

loglik <- function(y, a, m, k) {
  if (is.infinite(k)) sum(dpois(y, m * a, log = TRUE)) else sum(dnbinom(y, size = k, mu = m * a, log = TRUE))
}
profile_mean <- function(y, a, m) {
  o <- optimize(function(lk) loglik(y, a, m, exp(lk)), c(-12, 15), maximum = TRUE, tol = 1e-10)
  if (o$maximum > 14) loglik(y, a, m, Inf) else o$objective
}
profile_k <- function(y, a, k) {
  optimize(function(lm) loglik(y, a, exp(lm), k), log(sum(y) / sum(a)) + c(-4, 4), maximum = TRUE, tol = 1e-10)$objective
}
crossing <- function(f, a, b) uniroot(f, c(a, b), tol = 1e-11)$root

case <- function(name, y, a = rep(1, length(y))) {
  fit <- suppressWarnings(glm.nb(y ~ 1 + offset(log(a)), control = glm.control(epsilon = 1e-13, maxit = 200)))
  m <- exp(coef(fit)[[1]]); k <- fit$theta
  o <- optim(c(log(m), log(k)), function(p) -loglik(y, a, exp(p[1]), exp(p[2])), method = "BFGS",
             control = list(reltol = 1e-15, maxit = 500))
  m <- exp(o$par[1]); k <- exp(o$par[2]); top <- -o$value
  drop <- qchisq(.95, 1) / 2
  fm <- function(lm) top - profile_mean(y, a, exp(lm)) - drop
  fk <- function(lk) top - profile_k(y, a, exp(lk)) - drop
  klower <- exp(crossing(fk, log(k) - 5, log(k)))
  kupper <- if (top - profile_k(y, a, 1e12) < drop) Inf else exp(crossing(fk, log(k), log(k) + 20))
  data.frame(case = name, y = paste(y, collapse = " "), a = paste(format(a, digits = 15, trim = TRUE), collapse = " "),
             mean = m, k = k, loglik = top, glmnb_theta = fit$theta, glmnb_twologlik = fit$twologlik,
             mean_lower = exp(crossing(fm, log(m) - 8, log(m))), mean_upper = exp(crossing(fm, log(m), log(m) + 12)),
             k_lower = klower, k_upper = kupper)
}

mites <- rep(0:8, c(70, 38, 17, 10, 9, 3, 2, 1, 0))
set.seed(20)
unequal_a <- round(runif(24, 0.5, 3), 2)
unequal_y <- rnbinom(24, size = 0.4, mu = 3 * unequal_a)
sparse <- c(rep(0, 17), 1, 9, 30)
big_a <- c(1, 1, 2, 2, 3, 3, 1, 2, 3, 1)
big_y <- c(812, 70, 1500, 64, 65, 4000, 0, 913, 128, 63)

out <- rbind(case("mites", mites), case("quine", quine$Days), case("discoveries", as.numeric(discoveries)),
             case("unequal", unequal_y, unequal_a), case("sparse", sparse), case("large", big_y, big_a))
write.csv(format(out, digits = 15), "density_negbin.csv", row.names = FALSE, quote = FALSE)

# With extra zeros: a share q of the units can hold finds, with mean lambda a.
# The limits are those of the model that Akaike's criterion prefers at each mean:
# extra zeros must earn one unit of log-likelihood. Writes density_inflated.csv.
inflated <- function(y, a, lambda, q, k) {
  p <- q * (if (k > 1e8) dpois(y, lambda * a) else dnbinom(y, size = k, mu = lambda * a))
  sum(log(p + (1 - q) * (y == 0)))
}
best <- function(f, starts) {
  all <- lapply(starts, function(s) {
    o <- optim(s, f, control = list(reltol = 1e-14, maxit = 5000, fnscale = -1))
    optim(o$par, f, control = list(reltol = 1e-15, maxit = 5000, fnscale = -1))
  })
  all[[which.max(sapply(all, function(o) o$value))]]
}
inflated_case <- function(name, y, a = rep(1, length(y))) {
  q0 <- qlogis(mean(y > 0)); m0 <- log(sum(y) / sum(a))
  starts <- list(c(m0, q0, 1), c(m0, q0, -1), c(m0, q0 + 1, 0))
  # A clumping over e^12 is Poisson; held there, so that the search ends.
  free <- function(p) inflated(y, a, exp(p[1]) / plogis(p[2]), plogis(p[2]), exp(min(p[3], 12)))
  o <- best(free, starts)
  top <- o$value - 1; drop <- qchisq(.95, 1) / 2
  fall <- function(lm) {
    at <- best(function(p) free(c(lm, p)), lapply(starts, function(s) s[-1]))$value - 1
    top - max(at, profile_mean(y, a, exp(lm))) - drop
  }
  data.frame(case = name, y = paste(y, collapse = " "), a = paste(format(a, digits = 15, trim = TRUE), collapse = " "),
             mean = exp(o$par[1]), holding = plogis(o$par[2]), k = exp(o$par[3]), loglik = o$value,
             mean_lower = exp(crossing(fall, o$par[1] - 3, o$par[1])), mean_upper = exp(crossing(fall, o$par[1], o$par[1] + 5)))
}
set.seed(21)
zi_y <- rbinom(40, 1, 0.35) * rnbinom(40, size = 4, mu = 9)
zi_a <- round(runif(40, 0.5, 2), 1)
zi_unequal <- rbinom(40, 1, 0.4) * rnbinom(40, size = 3, mu = 8 * zi_a)
out <- rbind(inflated_case("inflated", zi_y), inflated_case("inflated_unequal", zi_unequal, zi_a))
write.csv(format(out, digits = 12), "density_inflated.csv", row.names = FALSE, quote = FALSE)
