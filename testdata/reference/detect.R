# Reference values for stats/detect: detection functions by maximum likelihood,
# maximised here with optim and nlm on likelihoods written out anew, integrals by
# integrate. Writes detect_stakes.csv, detect_sim.csv, detect_fits.csv,
# detect_gof.csv and detect_size.csv beside itself.
#
#   cd testdata/reference && Rscript detect.R
#
# R 4.2.2, no packages. Stakes in sagebrush: Burnham, Anderson & Laake (1980),
# Wildlife Monographs 72; distances from memory, checked by n = 68 and the
# largest, 31.31 m. detect_sim is invented: distances drawn from half-normal curves whose
# scale depends on observer and cover.

stakes <- c(2.02,0.45,10.40,3.61,0.92,1.00,3.40,2.90,8.16,6.47,5.66,2.95,3.96,0.09,11.82,14.23,2.44,1.61,31.31,6.50,
  8.27,4.85,1.47,18.60,0.41,0.40,0.20,11.59,3.17,7.10,10.71,3.86,6.05,6.42,3.79,15.24,3.47,3.05,7.93,18.15,10.05,4.41,
  1.27,13.72,6.25,3.59,9.04,7.68,4.89,9.10,3.25,8.49,6.08,0.40,9.33,0.53,1.23,1.67,4.53,3.12,3.05,6.60,4.40,4.97,3.17,
  7.67,18.16,4.08)
write.csv(data.frame(distance_m = stakes), "detect_stakes.csv", row.names = FALSE)

set.seed(1980)
n <- 160
observer <- sample(c("ash", "birch", "cedar"), n, replace = TRUE, prob = c(.45, .35, .2))
cover <- round(runif(n, 0, 90))
sigma <- exp(2.2 + c(ash = 0, birch = -.35, cedar = .3)[observer] - .006 * cover)
distance <- round(abs(rnorm(n, 0, sigma)), 2)
sim <- data.frame(distance_m = distance, observer, cover_percent = cover)
write.csv(sim, "detect_sim.csv", row.names = FALSE, quote = FALSE)

hermite <- function(n, x) switch(as.character(n), "2" = x^2 - 1, "4" = x^4 - 6*x^2 + 3, "6" = x^6 - 15*x^4 + 45*x^2 - 15)
keyfun <- list(
  uniform = function(x, s, b) rep(1, length(x)),
  "half-normal" = function(x, s, b) exp(-x^2 / (2 * s^2)),
  "hazard-rate" = function(x, s, b) ifelse(x == 0, 1, 1 - exp(-(x / s)^(-b))))

# A case: parameters are log scale coefficients, log shape, then the c_j of
#   g = key (1 + sum c_j p_j) / (1 + sum c_j p_j(0)).
make <- function(key, series = "", orders = c(), w, left = 0, x, bins = NULL, Z = matrix(1, length(x), 1)) {
  nz <- if (key == "uniform") 0 else ncol(Z)
  nb <- if (key == "hazard-rate") 1 else 0
  p <- function(j, x, s) switch(series, cosine = cos(j * pi * x / w), polynomial = (x / w)^(2 * j),
                                hermite = hermite(2 * j, if (key == "uniform") x / w else x / s))
  g <- function(x, par, z) {
    s <- if (nz > 0) exp(sum(par[1:nz] * z)) else 1
    b <- if (nb > 0) exp(par[nz + 1]) else 1
    S <- 1; S0 <- 1
    for (i in seq_along(orders)) {
      S <- S + par[nz + nb + i] * p(orders[i], x, s); S0 <- S0 + par[nz + nb + i] * p(orders[i], 0, s)
    }
    keyfun[[key]](x, s, b) * S / S0
  }
  int <- function(a, b, par, z) integrate(g, a, b, par = par, z = z, rel.tol = 1e-11, subdivisions = 2000)$value
  rows <- unique(Z); id <- match(apply(Z, 1, paste, collapse = " "), apply(rows, 1, paste, collapse = " "))
  mu <- function(par) sapply(seq_len(nrow(rows)), function(r) int(left, w, par, rows[r, ]))
  nll <- function(par) {
    m <- tryCatch(mu(par), error = function(e) NA)
    if (any(!is.finite(m)) || any(m <= 0)) return(1e10)
    if (is.null(bins)) {
      d <- sapply(seq_along(x), function(i) g(x[i], par, Z[i, ]))
      if (any(!is.finite(d)) || any(d <= 0)) return(1e10)
      return(-sum(log(d) - log(m[id])))
    }
    k <- findInterval(x, bins, rightmost.closed = TRUE)
    tab <- table(factor(id, seq_len(nrow(rows))), factor(k, seq_len(length(bins) - 1)))
    v <- 0
    for (r in seq_len(nrow(rows))) for (j in which(tab[r, ] > 0)) v <- v - tab[r, j] * log(int(bins[j], bins[j + 1], par, rows[r, ]) / m[r])
    v
  }
  width <- function(par) length(x) / sum(1 / mu(par)[id])
  list(nll = nll, width = width, size = nz + nb + length(orders), nz = nz, nb = nb, x = x)
}
gradient <- function(f, p, h = 1e-3) sapply(seq_along(p), function(i) { # fourth order
  e <- replace(0 * p, i, h); (8 * (f(p + e) - f(p - e)) - (f(p + 2*e) - f(p - 2*e))) / (12 * h) })
hessian <- function(f, p, h = 1e-3) { H <- sapply(seq_along(p), function(i) {
  e <- replace(0 * p, i, h); (8 * (gradient(f, p + e) - gradient(f, p - e)) - (gradient(f, p + 2*e) - gradient(f, p - 2*e))) / (12 * h) })
  H <- matrix(H, length(p)); (H + t(H)) / 2 }
fit <- function(name, c, start) {
  o <- if (length(start) == 1) list(par = optimize(c$nll, start + c(-2, 2), tol = 1e-12)$minimum) else {
    a <- optim(start, c$nll, method = "Nelder-Mead", control = list(maxit = 5000, reltol = 1e-14))
    optim(a$par, c$nll, method = "BFGS", control = list(maxit = 500, reltol = 1e-15)) }
  for (k in 1:3) { H <- hessian(c$nll, o$par); o$par <- o$par - solve(H, gradient(c$nll, o$par)) }
  H <- hessian(c$nll, o$par); G <- gradient(c$width, o$par)
  par <- rep(NA, 5); par[seq_along(o$par)] <- o$par
  cat(name, -c$nll(o$par), "\n")
  data.frame(case = name, n = length(c$x), loglik = -c$nll(o$par), width_m = c$width(o$par), se_width_m = sqrt(drop(G %*% solve(H) %*% G)),
             p1 = par[1], p2 = par[2], p3 = par[3], p4 = par[4], p5 = par[5])
}
cut15 <- stakes[stakes <= 15]; cut20 <- stakes[stakes <= 20]
out <- list()
add <- function(name, start, ...) out[[length(out) + 1]] <<- fit(name, make(...), start)
for (w in c(15, 20, 31.31)) {
  x <- stakes[stakes <= w]
  add(paste("half-normal", w), 2, "half-normal", w = w, x = x)
  add(paste("hazard-rate", w), c(2, 1), "hazard-rate", w = w, x = x)
}
add("uniform cosine 1", .9, "uniform", "cosine", 1, w = 20, x = cut20)
add("uniform cosine 2", c(1, .3), "uniform", "cosine", 1:2, w = 20, x = cut20)
add("uniform cosine 3", c(1, .3, 0), "uniform", "cosine", 1:3, w = 20, x = cut20)
add("uniform polynomial 2", c(-2, 1), "uniform", "polynomial", 1:2, w = 20, x = cut20)
add("half-normal cosine 1", c(2, .2), "half-normal", "cosine", 2, w = 20, x = cut20)
add("half-normal cosine 2", c(2, .2, 0), "half-normal", "cosine", 2:3, w = 20, x = cut20)
add("half-normal hermite 1", c(2.1, .07), "half-normal", "hermite", 2, w = 20, x = cut20)
add("half-normal polynomial 1", c(2, 0), "half-normal", "polynomial", 2, w = 20, x = cut20)
add("hazard-rate cosine 1", c(1.9, .8, 0), "hazard-rate", "cosine", 2, w = 20, x = cut20)
add("half-normal left 2", 2, "half-normal", w = 20, left = 2, x = cut20[cut20 >= 2])
add("hazard-rate left 2", c(2, 1), "hazard-rate", w = 20, left = 2, x = cut20[cut20 >= 2])
bins <- c(0, 2.5, 5, 7.5, 10, 15, 20)
add("half-normal grouped", 2, "half-normal", w = 20, x = cut20, bins = bins)
add("hazard-rate grouped", c(2, 1), "hazard-rate", w = 20, x = cut20, bins = bins)
add("uniform cosine 1 grouped", .9, "uniform", "cosine", 1, w = 20, x = cut20, bins = bins)
u <- sim[sim$distance_m <= 18, ]
Zo <- model.matrix(~ observer, u); Zc <- model.matrix(~ I(cover_percent / 100), u); Zb <- model.matrix(~ observer + I(cover_percent / 100), u)
add("sim half-normal observer", c(2, 0, 0), "half-normal", w = 18, x = u$distance_m, Z = Zo)
add("sim half-normal cover", c(2, -.5), "half-normal", w = 18, x = u$distance_m, Z = Zc)
add("sim half-normal observer cover", c(2.2, -.3, .3, -.5), "half-normal", w = 18, x = u$distance_m, Z = Zb)
add("sim hazard-rate observer", c(1.8, -.3, .3, 1), "hazard-rate", w = 18, x = u$distance_m, Z = Zo)
add("sim half-normal observer grouped", c(2, 0, 0), "half-normal", w = 18, x = u$distance_m, Z = Zo, bins = c(0, 2, 4, 7, 11, 18))

# Held shapes of the uniform key with cosines, where the constraints are linear
# in the c_j: s'(t) <= 0 at 40 points and s(1) >= 0.
held <- function(name, orders, start) {
  c <- make("uniform", "cosine", orders, w = 20, x = cut20)
  t <- (1:40 - .5) / 40
  ui <- rbind(sapply(orders, function(j) j * pi * sin(j * pi * t)), cos(orders * pi)); ci <- c(rep(0, 40), -1)

  o <- list(par = start)
  for (k in 1:6) o <- constrOptim(o$par * (1 - 1e-9), c$nll, NULL, ui, ci - 1e-12, mu = 1e-8, control = list(reltol = 1e-15, maxit = 5000), outer.eps = 1e-12)
  cat(name, -o$value, "\n")
  par <- rep(NA, 5); par[seq_along(o$par)] <- o$par
  data.frame(case = name, n = length(cut20), loglik = -o$value, width_m = c$width(o$par), se_width_m = NA, p1 = par[1], p2 = par[2], p3 = par[3], p4 = NA, p5 = NA)
}
out[[length(out) + 1]] <- held("uniform cosine 2 held", 1:2, c(1, .1))
out[[length(out) + 1]] <- held("uniform cosine 3 held", 1:3, c(1, .1, .01))
out <- do.call(rbind, out)
for (v in names(out)[-(1:2)]) out[[v]] <- ifelse(is.na(out[[v]]), "", trimws(formatC(out[[v]], digits = 12, format = "g")))
write.csv(out, "detect_fits.csv", row.names = FALSE, quote = FALSE)

# Tests of fit. Kolmogorov-Smirnov p-values are R's exact ones; the limit
# distribution of W2 is Anderson & Darling (1952), equation 4.35, with R's
# besselK.
cramer <- function(x) { j <- 0:30; b <- cumprod(c(1, (2*(1:30) - 1) / (2*(1:30))))
  z <- (4*j + 1)^2 / (16 * x); sum(b * sqrt(4*j + 1) * exp(-z) * besselK(z, .25)) / (pi * sqrt(x)) }
gof <- list()
note <- function(what, value) gof[[length(gof) + 1]] <<- data.frame(what = what, value = trimws(formatC(value, digits = 12, format = "g")))
for (x in c(.03, .05, .1, .2, .34730, .46136, .74346, 1.2)) note(paste("cramer", x), cramer(x))
sd20 <- 7.544791; F20 <- function(x) (pnorm(x / sd20) - .5) / (pnorm(20 / sd20) - .5)
ties <- suppressWarnings(ks.test(cut20, F20, exact = TRUE)); note("ks statistic", ties$statistic); note("ks p", ties$p.value)
uu <- sort(F20(cut20)); m <- length(uu); note("cvm statistic", 1 / (12 * m) + sum((uu - (2 * seq_len(m) - 1) / (2 * m))^2))
for (k in 1:4) { n <- c(8, 20, 50, 90)[k]; v <- ((seq_len(n) - .3) / (n + .2))^(c(.6, 1.4, .8, 1.2)[k]) # no ties, known by formula
  note(paste("ks power D", n), ks.test(v, "punif")$statistic); note(paste("ks power p", n), ks.test(v, "punif", exact = TRUE)$p.value) }
note("chisq 7.3 df 4", pchisq(7.3, 4, lower.tail = FALSE))
write.csv(do.call(rbind, gof), "detect_gof.csv", row.names = FALSE, quote = FALSE)

# Mean group size by regression of log size on g, for stats/detect/lines.
s <- c(1, 2, 1, 3, 1, 2, 4, 2, 6, 3, 5, 8); g <- c(.99, .97, .9, .85, .8, .7, .62, .55, .4, .35, .2, .1)
m <- lm(log(s) ~ g); v <- summary(m)$sigma^2; at <- c(1, 1)
E <- exp(sum(coef(m) * at) + v / 2); varlog <- drop(at %*% vcov(m) %*% at) + v^2 / (2 * m$df.residual)
write.csv(data.frame(what = c("size", "cv", "slope p one-sided"),
  value = c(E, sqrt(varlog), pt(summary(m)$coefficients[2, 3], m$df.residual))), "detect_size.csv", row.names = FALSE, quote = FALSE)
