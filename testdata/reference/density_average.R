# Reference answers for the model-averaged interval of stats/density, by another way
# to the same definition: likelihoods by dnbinom, dpois and integrate, their maxima
# by optimize, likelihood ratios of the Katz family by dnbinom, dpois and
# log-binomials, limits by uniroot.
# Rscript testdata/reference/density_average.R, from the top of the checkout; R alone
# is enough. Writes density_average.csv.

ks <- c(0.05 * exp(0.3 * 0:22), Inf)
z <- log(ks[1:23] / 0.2) / 1.2
prior <- ifelse(z > 0, 1 / (1 + z^2 / 2), exp(-z^2 / 2))
prior <- c(0.9 * prior / sum(prior), 0.1)
tied <- t(sapply(1:24, function(c) if (c == 24) c(rep(0, 23), 1) else {
  w <- exp(-(log(ks[1:23] / ks[c]) / 0.7)^2 / 2)
  c(w / sum(w), 0)
}))
holding <- expand.grid(k = c(0.5, 1, 2.5, 10), q = c(0.15, 0.3, 0.5, 0.7))
sigmas <- c(0.5, 0.9, 1.3, 1.7, 2.1)

lnb <- function(y, mu, k) if (is.infinite(k)) dpois(y, mu, log = TRUE) else dnbinom(y, size = k, mu = mu, log = TRUE)
lzi <- function(y, mu, k, q) ifelse(y == 0, log(1 - q + q * dnbinom(0, size = k, mu = mu / q)), log(q) + dnbinom(y, size = k, mu = mu / q, log = TRUE))
lpl <- function(y, mu, s) mapply(function(y, mu) {
  f <- function(z) dpois(y, mu * exp(s * z - s^2 / 2), log = TRUE) + dnorm(z, log = TRUE)
  top <- optimize(f, c(-40, 40), maximum = TRUE, tol = 1e-10)$maximum
  g <- function(z) exp(f(z) - f(top))
  f(top) + log(integrate(g, top - 12, top, rel.tol = 1e-9)$value + integrate(g, top, top + 12, rel.tol = 1e-9)$value)
}, y, mu)

# The adjusted maximum over the log mean: c(adjusted log-likelihood, mean, information).
adjusted <- function(l) {
  o <- optimize(l, c(-12, 12), maximum = TRUE, tol = 1e-9)
  h <- 1e-3
  info <- -(l(o$maximum + h) - 2 * l(o$maximum) + l(o$maximum - h)) / h^2
  c(o$objective - log(info) / 2, exp(o$maximum), info)
}
total <- function(d, w, sampled) {
  # Weighted models of a sum over strata: list(katz = rows of weight, scale, size; heavy = rows of weight, mean, cv).
  m <- sapply(d, function(s) (sum(s$y) + 0.5) / sum(s$a))
  A <- sapply(d, function(s) sum(s$a)); s2 <- sapply(d, function(s) sum(s$a^2)) / A^2; s3 <- sapply(d, function(s) sum(s$a^3)) / A^3
  D <- sum(w * m); pois <- sum(w^2 * m / A); clump <- w^2 * m^2 * s2
  est <- sum(w * sapply(d, function(s) sum(s$y) / sum(s$a)))
  fits <- lapply(d, function(s) if (sum(s$y) == 0) NULL else list(
    nb = sapply(ks, function(k) adjusted(function(x) sum(lnb(s$y, exp(x) * s$a, k)))[1]),
    zi = mapply(function(k, q) adjusted(function(x) sum(lzi(s$y, exp(x) * s$a, k, q)))[1], holding$k, holding$q),
    pl = sapply(sigmas, function(g) adjusted(function(x) sum(lpl(s$y, exp(x) * s$a, g))))))
  nb <- lapply(fits, function(f) if (is.null(f)) rep(0, 24) else f$nb)
  lse <- function(x) max(x) + log(sum(exp(x - max(x))))
  logs <- list(); katz <- list(); per.k <- c()
  size <- function(extra) D^2 / extra
  add <- function(lw, scale, size, one.over.k = NA) {
    logs[[length(logs) + 1]] <<- lw; katz[[length(katz) + 1]] <<- c(scale, size); per.k[length(logs)] <<- one.over.k
  }
  several <- length(d) > 1
  shares <- if (several) c(0.5, 0.25, 0.25) else c(1, 0, 0)
  for (g in 1:24) add(log(0.65 * shares[1] * prior[g]) + sum(sapply(nb, function(p) p[g])), pois / D, size(sum(clump) / ks[g]), 1 / ks[g])
  unequal <- function(lw, pr) {
    post <- lapply(nb, function(p) { w <- log(pr) + p; exp(w - lse(w)) })
    mean <- sum(clump * sapply(post, function(p) sum(p / ks)))
    var <- sum(clump^2 * sapply(post, function(p) sum(p / ks^2) - sum(p / ks)^2))
    v <- if (mean > 0) log(1 + var / mean^2) else 0
    lw <- lw + sum(sapply(nb, function(p) lse(log(pr) + p)))
    z <- c(-sqrt(3), 0, sqrt(3)); p <- c(1, 4, 1) / 6
    one.over.k <- sum(w * sapply(post, function(p) sum(p / ks))) / sum(w)
    for (i in 1:3) add(lw + log(p[i]), pois / D, size(mean * exp(z[i] * sqrt(v) - v / 2)), one.over.k)
  }
  if (several) {
    for (c in 1:24) unequal(log(0.65 * shares[2] * prior[c]), tied[c, ])
    unequal(log(0.65 * shares[3]), prior)
  }
  n.nb <- length(logs)
  for (i in seq_len(nrow(holding))) {
    a <- (1 + 1 / holding$k[i]) / holding$q[i]; b <- a * (1 + 2 / holding$k[i]) / holding$q[i]
    k2 <- sum(w^2 * (m / A + m^2 * s2 * (a - 1)))
    k3 <- sum(w^3 * (m / A^2 + 3 * m^2 * s2 / A * (a - 1) + m^3 * s3 * (b - 3 * a + 2)))
    u <- max(2 * k2 / D - k3 / k2, pois / D)
    r <- k2 / (u * D) - 1
    add(log(0.27 / nrow(holding)) + sum(sapply(fits, function(f) if (is.null(f)) 0 else f$zi[i])), u, D / (u * r))
  }
  heavy <- t(sapply(seq_along(sigmas), function(i) {
    m <- mapply(function(f, w) if (is.null(f)) 0 else w * f$pl[2, i] * exp(-1 / (2 * f$pl[3, i])), fits, w)
    mean <- sum(m)
    var <- sum(mapply(function(f, m) if (is.null(f)) 0 else m^2 / f$pl[3, i], fits, m))
    c(log(0.08 / length(sigmas)) + sum(sapply(fits, function(f) if (is.null(f)) 0 else f$pl[1, i])), max(mean, est), sqrt(var) / mean)
  }))
  all <- lse(c(unlist(logs), heavy[, 1]))
  kz <- cbind(exp(unlist(logs) - all), do.call(rbind, katz))
  heavy[, 1] <- exp(heavy[, 1] - all)
  lin <- sum(w^2 * sapply(d, function(s) { n <- length(s$y); r <- sum(s$y) / sum(s$a); n / (n - 1) * sum((s$y - r * s$a)^2) / sum(s$a)^2 }))
  i <- seq_len(n.nb)
  model <- sum(kz[i, 1] * (est * kz[i, 2] + est^2 / kz[i, 3])) / sum(kz[i, 1])
  infl <- max(1, lin / model)
  # log-likelihood of a Katz total T with mean M, up to what holds no M
  lik <- function(T, M, K) if (is.infinite(K)) T * log(M) - M else if (K > 0) T * log(M / (M + K)) - K * log(1 + M / K) else
    if (M >= -K) -Inf else T * log(M / -K) + (-K - T) * log(1 - M / -K)
  tail <- function(x, upper) {
    q <- mapply(function(wt, u, K) {
      T <- est / u; M <- x / u; r <- T / K
      bart <- 1 + (1 + r + r^2) / (6 * T * (1 + r))
      z <- sqrt(max(0, 2 * (lik(T, T, K) - lik(T, M, K)) / bart / infl))
      wt * pnorm(if (upper == (M > T)) -z else z)
    }, kz[, 1], kz[, 2], kz[, 3])
    if (upper) sum(q) + sum(heavy[, 1] * pnorm(-log(x / heavy[, 2]) / heavy[, 3])) else sum(q) / sum(kz[, 1])
  }
  # The tails at which the limits stand: odds of 0.025 by what the sample looks like.
  root <- sqrt(mean(sapply(d, function(s) length(s$y))))
  k <- sum(kz[i, 1]) / sum(kz[i, 1] * per.k[i])
  looks <- log(min(max(k, 0.05), 5) / 0.3)
  few <- max(0, log(30 / sum(sapply(d, function(s) sum(s$y)))))
  target <- function(c) { odds <- 0.025 / 0.975 * min(max(exp(c / root), 0.4), 2.5); odds / (1 + odds) }
  below <- target(2.3 - 2.6 * max(0, -looks) + 2.4 * sum(kz[-i, 1]))
  above <- target(1 + 1.7 * max(0, -looks) - 3.2 * max(0, looks) - 1.6 * few - 5.8 * sum(heavy[, 1]))
  c(uniroot(function(l) tail(est * exp(l), FALSE) - below, c(-9, 0), tol = 1e-10)$root,
    uniroot(function(l) tail(est * exp(l), TRUE) - above, c(0, log(100)), tol = 1e-10)$root) |> exp() * est
}

cases <- list(
  list(list(y = c(0, 0, 3, 1, 12, 0, 5, 2, 0, 1, 7, 0), a = rep(0.01, 12))),
  list(list(y = c(0, 2, 9, 4, 0, 21), a = c(0.01, 0.02, 0.02, 0.01, 0.03, 0.04))),
  list(list(y = c(4, 0, 1, 0, 9, 2), a = rep(0.01, 6)), list(y = c(0, 0, 13, 1, 0, 3), a = rep(0.02, 6))),
  list(list(y = c(4, 6, 5, 3, 7), a = rep(0.01, 5)), list(y = c(0, 0, 30, 2, 0, 1), a = c(0.01, 0.02, 0.01, 0.01, 0.02, 0.01)), list(y = rep(0, 5), a = rep(0.01, 5))))
weights <- list(1, 1, c(0.3, 0.7), c(0.5, 0.3, 0.2))
out <- NULL
for (i in seq_along(cases)) {
  l <- total(cases[[i]], weights[[i]])
  out <- rbind(out, data.frame(
    counts = paste(sapply(cases[[i]], function(s) paste(s$y, collapse = " ")), collapse = " | "),
    areas = paste(sapply(cases[[i]], function(s) paste(s$a, collapse = " ")), collapse = " | "),
    weights = paste(weights[[i]], collapse = " | "), lower = sprintf("%.8g", l[1]), upper = sprintf("%.8g", l[2])))
}
write.csv(out, "testdata/reference/density_average.csv", row.names = FALSE, quote = FALSE)
