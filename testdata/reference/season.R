# Reference values for stats/season: a log-quadratic negative binomial fitted to
# counts over the days of a season. Writes season_visits.csv (the visits of each
# case) and season.csv beside itself.
#
#   cd testdata/reference && Rscript season.R
#
# R 4.2.2, MASS 7.3-58.2. The counts are made up by the seeds below.
suppressMessages(library(MASS))
options(digits = 15)

# made draws visits of units that come up late where they lie high and early by
# roads, each unit with a soil of its own. window 0 draws what stands on a day,
# else what came up in the days of the window before it.
made <- function(case, seed, units, visits, gap, window, roads, height) {
  set.seed(seed)
  rows <- list()
  for (u in seq_len(units)) {
    e <- if (height > 0) round(900 + height * runif(1)) else 1000
    road <- as.numeric(u <= roads)
    peak <- 131 + 3.2 * (e - 900 - height / 2) / 100 - 9 * road
    soil <- rgamma(1, 1.2, 1.2); area <- round(runif(1, 0.01, 0.05), 3)
    day <- round(118 - 6 * road + 5 * rnorm(1)) + gap * (seq_len(visits) - 1)
    from <- if (window > 0) pmax(day - window, c(-Inf, head(day, -1))) else day
    rate <- if (window > 0) pnorm(day, peak, 7) - pnorm(from, peak, 7) else dnorm(day, peak, 7) * 12
    rows[[u]] <- data.frame(case, unit = u, from, to = day, area, elevation = e, roadside = road,
      count = rpois(visits, 280 * area * soil * rate * (1 + 0.5 * road)))
  }
  do.call(rbind, rows)
}
visits <- rbind(made("standing", 11, 24, 5, 7, 0, 0, 0), made("new", 12, 40, 4, 8, 10, 12, 500))

# Flushes of other shapes, by the share that has come up by a day: the log-gamma of
# Prentice (1974) as a gamma distribution of its exponential, with a = 1/q^2 and
# a exp(q (x - mode) / sd) the gamma, from below where q > 0; and a sum of two
# normal ones, of heights 1 and exp(ratio).
skewed <- function(x, mode, sd, q) pgamma(exp(q * (x - mode) / sd) / q^2, 1 / q^2, lower.tail = q > 0)
bimodal <- function(x, m1, s1, m2, s2, ratio) {
  w <- s2 * exp(ratio) / (s1 + s2 * exp(ratio))
  (1 - w) * pnorm(x, m1, s1) + w * pnorm(x, m2, s2)
}
weekly <- function(case, seed, share) {
  set.seed(seed)
  rows <- list()
  for (u in seq_len(30)) {
    e <- round(900 + 300 * runif(1)); late <- 3.2 * (e - 1050) / 100
    soil <- rgamma(1, 1.5, 1.5); area <- round(runif(1, 0.01, 0.05), 3)
    day <- 100 + 7 * (0:9); from <- pmax(day - 10, c(-Inf, head(day, -1)))
    rows[[u]] <- data.frame(case, unit = u, from, to = day, area, elevation = e, roadside = 0,
      count = rpois(10, 600 * area * soil * (share(day - late) - share(from - late))))
  }
  do.call(rbind, rows)
}
visits <- rbind(visits, weekly("skewed", 13, function(x) skewed(x, 118, 6, -1.2)),
  weekly("bimodal", 14, function(x) bimodal(x, 116, 5, 144, 7, -0.6)))
write.csv(visits, "season_visits.csv", row.names = FALSE)

answers <- list()
say <- function(case, figure, value) answers[[length(answers) + 1]] <<- data.frame(case, figure, value = as.numeric(value))

# Counts of all that stand, by glm.nb with a quadratic in the day.
s <- subset(visits, case == "standing")
s$d <- s$to - 130
g <- glm.nb(count ~ d + I(d^2) + offset(log(area)), data = s, control = glm.control(epsilon = 1e-14, maxit = 200))
b <- coef(g)
say("standing", "peak", 130 - b[2] / (2 * b[3]))
say("standing", "sd", 1 / sqrt(-2 * b[3]))
say("standing", "k", g$theta)
say("standing", "loglik", logLik(g))
say("standing", "aic", AIC(g))

# The covariance from leaving out one unit at a time, by one Newton step: score
# and observed information of each unit, written out.
x <- model.matrix(g); mu <- fitted(g); k <- g$theta
score <- x * ((s$count - mu) / (1 + mu / k))
weight <- mu * (1 + s$count / k) / (1 + mu / k)^2
information <- t(x) %*% (x * weight)
change <- sapply(unique(s$unit), function(u) {
  i <- s$unit == u
  solve(information - t(x[i, , drop = FALSE]) %*% (x[i, , drop = FALSE] * weight[i]), colSums(score[i, , drop = FALSE]))
})
m <- ncol(change)
v <- (m - 1) / m * change %*% t(change)
se <- function(gradient) sqrt(drop(t(gradient) %*% v %*% gradient))
say("standing", "peak_se", se(c(0, -1 / (2 * b[3]), b[2] / (2 * b[3]^2))))
say("standing", "width_se", se(c(0, 0, 2 * qnorm(0.975) * (-2 * b[3])^-1.5)))

# Fieller's limits as the p at which b1 + 2 b2 p is just t of its standard
# errors from 0, by root search. Two parameters make the curve.
t <- qt(0.975, m - 2)
off <- function(p) (b[2] + 2 * b[3] * p)^2 - t^2 * (v[2, 2] + 4 * p * v[2, 3] + 4 * p^2 * v[3, 3])
p <- -b[2] / (2 * b[3])
say("standing", "peak_lower", 130 + uniroot(off, c(p - 30, p), tol = 1e-12)$root)
say("standing", "peak_upper", 130 + uniroot(off, c(p, p + 30), tol = 1e-12)$root)
half <- t * sqrt(v[3, 3])
say("standing", "width_lower", 2 * qnorm(0.975) / sqrt(-2 * (b[3] - half)))
say("standing", "width_upper", 2 * qnorm(0.975) / sqrt(-2 * (b[3] + half)))

# How near the one step comes to leaving each unit out and fitting again.
again <- sapply(unique(s$unit), function(u) {
  h <- glm(count ~ d + I(d^2) + offset(log(area)), data = s[s$unit != u, ], family = negative.binomial(g$theta))
  -coef(h)[2] / (2 * coef(h)[3])
})
say("standing", "peak_se_refitted", sqrt((m - 1) / m * sum((again - p)^2)))

# What came up since the last visit, with elevation and roads, in the form of a
# Gaussian and integrated by pnorm.
n <- subset(visits, case == "new")
n$e <- (n$elevation - mean(n$elevation)) / 100
minus <- function(par) {
  peak <- par[1] + par[3] * n$e - par[4] * n$roadside; sd <- exp(par[2])
  mu <- n$area * exp(par[5] + par[6] * n$e + par[7] * n$roadside) * (pnorm(n$to, peak, sd) - pnorm(n$from, peak, sd))
  -sum(dnbinom(n$count, size = exp(par[8]), mu = pmax(mu, 1e-300), log = TRUE))
}
o <- list(par = c(130, log(7), 3, 8, log(280), 0, 0.3, 0))
for (i in 1:20) o <- optim(o$par, minus, method = "BFGS", control = list(maxit = 5000, reltol = 1e-15))
say("new", "peak", o$par[1]); say("new", "sd", exp(o$par[2])); say("new", "delay", o$par[3]); say("new", "lead", o$par[4])
say("new", "grade", o$par[6]); say("new", "k", exp(o$par[8])); say("new", "loglik", -o$value)

# The share of the flush that the visits of each unit could see, and what the
# whole season would come to with it.
peak <- o$par[1] + o$par[3] * n$e - o$par[4] * n$roadside
seen <- tapply(pnorm(n$to, peak, exp(o$par[2])) - pnorm(n$from, peak, exp(o$par[2])), n$unit, sum)
area <- tapply(n$area, n$unit, mean)
say("new", "seen_first", seen[1]); say("new", "seen_last", seen[length(seen)])
say("new", "seen_all", sum(seen * area) / sum(area))
say("new", "total", sum(n$count) / sum(seen * area))

# The covariance of Bell & McCaffrey (2002) with the square root of the leverage,
# Satterthwaite's degrees of freedom and Fieller's limits, of the delay and the
# lead, in the parameters of the curve: rise, bend, delay, grade, lead and a height
# off roads and along them, with the time in days from 130 by 10. The derivatives
# are differences of fifth order; their steps leave some six digits.
scale <- 10
b2 <- -1 / (2 * (exp(o$par[2]) / scale)^2); z0 <- (peak0 <- o$par[1] - 130) / scale
start <- c(-2 * b2 * z0, b2, o$par[3], 0, o$par[4], 0, 0)
logmu <- function(p, d) {
  sd <- 1 / sqrt(-2 * p[2]); top <- -p[1] / (2 * p[2])
  z <- function(x) (x - 130 - p[3] * d$e + p[5] * d$roadside) / scale
  log(d$area * scale) + p[4] * d$e + p[6] + p[7] * d$roadside - p[1]^2 / (4 * p[2]) + log(sd * sqrt(2 * pi)) +
    log(pnorm(z(d$to), top, sd) - pnorm(z(d$from), top, sd))
}
k <- exp(o$par[8])
loglik <- function(p, d) sum(dnbinom(d$count, size = k, mu = exp(logmu(p, d)), log = TRUE))
slope <- function(f, p, h = 1e-3) sapply(seq_along(p), function(i) {
  at <- function(s) { q <- p; q[i] <- q[i] + s * h; f(q) }
  (at(-2) - 8 * at(-1) + 8 * at(1) - at(2)) / (12 * h)
})
gradient <- function(p, d) slope(function(q) loglik(q, d), p)
hessian <- function(p, d) slope(function(q) gradient(q, d), p)
p <- start
p[6] <- log(sum(n$count[n$roadside == 0]) / sum(exp(logmu(p, n))[n$roadside == 0]))
p[7] <- log(sum(n$count[n$roadside == 1]) / sum(exp(logmu(p, n))[n$roadside == 1]))
for (i in 1:30) p <- p - solve(hessian(p, n), gradient(p, n))
units <- split(n, n$unit)
A <- -hessian(p, n); V <- solve(A)
power <- function(a, by) { e <- eigen((a + t(a)) / 2); e$vectors %*% (e$values^by * t(e$vectors)) }
R <- power(V, 0.5)
# A^-1 (I - A_c A^-1)^-1/2 = R (I - R A_c R)^-1/2 R with R = A^-1/2
half <- lapply(units, function(d) R %*% power(diag(7) + R %*% hessian(p, d) %*% R, -0.5) %*% R)
halfway <- sapply(seq_along(units), function(i) half[[i]] %*% gradient(p, units[[i]]))
B <- halfway %*% t(halfway)
fisher <- lapply(units, function(d) {
  x <- slope(function(q) logmu(q, d), p); mu <- exp(logmu(p, d))
  t(x) %*% (x * mu / (1 + mu / k))
})
inverse <- solve(Reduce(`+`, fisher))
shift <- function(name, at) {
  r <- lapply(half, function(h) h[at, ]); m <- length(r)
  u <- sapply(seq_len(m), function(i) fisher[[i]] %*% r[[i]])
  w <- diag(sapply(seq_len(m), function(i) sum(r[[i]] * u[, i]))) - t(u) %*% inverse %*% u
  df <- sum(diag(w))^2 / sum(w^2)
  say("new", paste0(name, "_se"), sqrt(B[at, at])); say("new", paste0(name, "_df"), df)
  # the shifts d for which -2 b2 d is just t of its standard errors from what was found
  off <- function(d) {
    g <- replace(numeric(7), c(2, at), c(2 * (d - p[at]), -2 * p[2]))
    (2 * p[2] * (d - p[at]))^2 - qt(0.975, df)^2 * drop(t(g) %*% B %*% g)
  }
  say("new", paste0(name, "_lower"), uniroot(off, c(p[at] - 40, p[at]), tol = 1e-12)$root)
  say("new", paste0(name, "_upper"), uniroot(off, c(p[at], p[at] + 40), tol = 1e-12)$root)
}
shift("delay", 3); shift("lead", 5)

# The standard error of the logarithm of the total as it comes out where all is
# fitted again without each unit.
again <- sapply(unique(n$unit), function(u) {
  d <- n[n$unit != u, ]
  minus <- function(par) {
    peak <- par[1] + par[3] * d$e - par[4] * d$roadside; sd <- exp(par[2])
    mu <- d$area * exp(par[5] + par[6] * d$e + par[7] * d$roadside) * (pnorm(d$to, peak, sd) - pnorm(d$from, peak, sd))
    -sum(dnbinom(d$count, size = k, mu = pmax(mu, 1e-300), log = TRUE))
  }
  f <- list(par = o$par[1:7])
  for (i in 1:5) f <- optim(f$par, minus, method = "BFGS", control = list(maxit = 5000, reltol = 1e-14))
  peak <- f$par[1] + f$par[3] * d$e - f$par[4] * d$roadside; sd <- exp(f$par[2])
  log(sum(d$count) / sum(d$area * (pnorm(d$to, peak, sd) - pnorm(d$from, peak, sd))))
})
m <- length(again)
say("new", "total_log_se_refitted", sqrt((m - 1) / m * sum((again - log(sum(n$count) / sum(seen * area)))^2)))

# The skewed and the bimodal curve, the windows by pgamma and pnorm and the maximum
# by optim. Onset and end leave out 2.5 % on either side.
fitted <- function(case, start, share) {
  d <- visits[visits$case == case, ]; e <- (d$elevation - mean(d$elevation)) / 100
  minus <- function(p) {
    n <- length(p); x <- p[seq_len(n - 4)]; late <- p[n - 3] * e
    mu <- d$area * exp(p[n - 2] + p[n - 1] * e) * (share(d$to - late, x) - share(d$from - late, x))
    -sum(dnbinom(d$count, size = exp(p[n]), mu = pmax(mu, 1e-300), log = TRUE))
  }
  o <- list(par = start)
  for (i in 1:30) {
    o <- optim(o$par, minus, method = "Nelder-Mead", control = list(maxit = 20000, reltol = 1e-16))
    o <- optim(o$par, minus, method = "BFGS", control = list(maxit = 5000, reltol = 1e-16))
  }
  o
}
quantile <- function(share, p) uniroot(function(x) share(x) - p, c(60, 250), tol = 1e-12)$root
tell <- function(case, o, share, names) {
  n <- length(o$par); x <- o$par[seq_len(n - 4)]
  for (i in seq_along(x)) say(case, names[i], if (grepl("sd", names[i])) exp(x[i]) else x[i])
  say(case, "delay", o$par[n - 3]); say(case, "grade", o$par[n - 1]); say(case, "k", exp(o$par[n])); say(case, "loglik", -o$value)
  say(case, "onset", quantile(function(d) share(d, x), 0.025)); say(case, "end", quantile(function(d) share(d, x), 0.975))
}
s2 <- function(d, x) skewed(d, x[1], exp(x[2]), x[3])
tell("skewed", fitted("skewed", c(118, log(6), -1.2, 3, log(600), 0, 0.4), s2), s2, c("mode", "sd", "q"))
b2 <- function(d, x) bimodal(d, x[1], exp(x[2]), x[3], exp(x[4]), x[5])
o <- fitted("bimodal", c(116, log(5), 144, log(7), -0.6, 3, log(600), 0, 0.4), b2)
tell("bimodal", o, b2, c("mode1", "sd1", "mode2", "sd2", "ratio"))
x <- o$par
rate <- function(d) dnorm((d - x[1]) / exp(x[2])) + exp(x[5]) * dnorm((d - x[3]) / exp(x[4]))
say("bimodal", "peak", optimize(rate, x[1] + c(-5, 5), maximum = TRUE, tol = 1e-10)$maximum)
say("bimodal", "second_peak", optimize(rate, x[3] + c(-5, 5), maximum = TRUE, tol = 1e-10)$maximum)
write.csv(do.call(rbind, answers), "season.csv", row.names = FALSE, quote = FALSE)
