# Reference values for stats/negbin: maximum likelihood and profile likelihood
# of the negative binomial. Writes density_negbin.csv beside itself.
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
