# Reference values for stats/observers: the conditional likelihood of Huggins
# (1989), and for stats/removal: the multinomial of removal passes, both by R's
# own optimisers. Writes observers_finds.csv (the finds of each case) and
# observers.csv beside itself.
#
#   cd testdata/reference && Rscript observers.R
#
# R 4.2.2, base only. The finds are made up by the seeds below.
options(digits = 15)
all_finds <- NULL; out <- NULL
add <- function(case, model, what, value) out <<- rbind(out,
  data.frame(case = case, model = model, what = what, value = paste(format(value, digits = 17, trim = TRUE), collapse = " ")))

# made draws finds that each of the observers sees or not; the unseen are lost.
made <- function(seed, n, level, size_slope = 0, distance_slope = 0, damp = 0) {
  set.seed(seed)
  size <- 1 + rgeom(n, 0.5); distance <- round(runif(n, 0, 4), 3); ground <- sample(c("moss", "duff"), n, TRUE)
  eta <- outer(size_slope * log(size) + distance_slope * distance + damp * (ground == "duff"), level, "+")
  y <- matrix(rbinom(length(eta), 1, plogis(eta)), n)
  seen <- rowSums(y) > 0
  data.frame(size, distance, ground, y)[seen, ]
}

# fit maximises the conditional likelihood by Newton steps on top of BFGS,
# with design(d) a list of one matrix for each observer.
fit <- function(case, model, d, design) {
  x <- design(d); y <- as.matrix(d[, grep("^X", names(d))]); k <- ncol(x[[1]])
  nll <- function(b) {
    eta <- sapply(x, function(m) m %*% b); p <- plogis(eta)
    -sum(y * eta + plogis(eta, lower.tail = FALSE, log.p = TRUE)) + sum(log1p(-apply(1 - p, 1, prod)))
  }
  score <- function(b) {
    p <- plogis(sapply(x, function(m) m %*% b)); star <- 1 - apply(1 - p, 1, prod)
    -Reduce("+", lapply(seq_along(x), function(j) crossprod(x[[j]], y[, j] - p[, j] / star)))[, 1]
  }
  o <- optim(rep(0, k), nll, score, method = "BFGS", control = list(reltol = 1e-15, maxit = 1000))
  h <- optimHess(o$par, nll, score, control = list(ndeps = rep(1e-5, k)))
  b <- o$par - solve(h, score(o$par)); b <- b - solve(h, score(b))
  h <- optimHess(b, nll, score, control = list(ndeps = rep(1e-4, k))); v <- solve(h)
  star <- function(b) 1 - apply(1 - plogis(sapply(x, function(m) m %*% b)), 1, prod)
  there <- function(b) sum(d$size / star(b))
  slope <- sapply(seq_len(k), function(a) { e <- replace(rep(0, k), a, 1e-5); (there(b + e) - there(b - e)) / 2e-5 })
  var <- sum(d$size^2 * (1 - star(b)) / star(b)^2) + drop(slope %*% v %*% slope)
  add(case, model, "loglik", -nll(b)); add(case, model, "beta", b); add(case, model, "se", sqrt(diag(v)))
  add(case, model, "present", there(b)); add(case, model, "present_se", sqrt(var))
  line <- function(b) nrow(d) / sum(1 / (1 - apply(1 - plogis(sapply(design(transform(d, distance = 0)), function(m) m %*% b)), 1, prod)))
  g <- sapply(seq_len(k), function(a) { e <- replace(rep(0, k), a, 1e-5); (line(b + e) - line(b - e)) / 2e-5 })
  add(case, model, "on_line", line(b)); add(case, model, "on_line_se", sqrt(drop(g %*% v %*% g)))
}
keep <- function(case, d) {
  y <- as.matrix(d[, grep("^X", names(d))])
  all_finds <<- rbind(all_finds, data.frame(case = case, size = d$size, distance = d$distance, ground = d$ground,
    saw = apply(y, 1, paste, collapse = "")))
  d
}
one <- function(n, j, m) { e <- matrix(0, n, m); e[, j] <- 1; e }
levels_by <- function(m, ...) function(d) lapply(seq_len(m), function(j) cbind(one(nrow(d), j, m), ...(d)))
nothing <- function(d) NULL
same <- function(m, f) function(d) { z <- cbind(rep(1, nrow(d)), f(d)); rep(list(z), m) }
by <- function(m, f) function(d) lapply(seq_len(m), function(j) cbind(one(nrow(d), j, m), f(d)))
apart <- function(m, f) function(d) lapply(seq_len(m), function(j) cbind(one(nrow(d), j, m), one(nrow(d), j, m) * f(d)[, 1]))
size <- function(d) cbind(log(d$size)); both <- function(d) cbind(log(d$size), d$ground == "moss"); far <- function(d) cbind(d$distance)

two <- keep("two", made(1, 160, c(0.3, -0.4), size_slope = 0.8, damp = -0.7))
fit("two", "one chance for all", two, same(2, nothing))
fit("two", "by observer", two, by(2, nothing))
fit("two", "by observer + size", two, by(2, size))
fit("two", "by observer + size + ground", two, by(2, both))
fit("two", "one chance for all + size + ground", two, same(2, both))
three <- keep("three", made(2, 220, c(0.5, -0.2, -0.9)))
fit("three", "by observer", three, by(3, nothing))
fit("three", "by observer + size", three, by(3, size))
lines <- keep("lines", made(3, 300, c(1.6, 0.9), distance_slope = -0.7))
fit("lines", "by observer + distance", lines, by(2, far))
fit("lines", "by observer + distance by observer", lines, apart(2, far))

# Of two observers without covariates one's chance is a binomial of the other's
# finds: logistic regression by glm, given that the other saw it.
for (j in 1:2) {
  other <- two[two[[paste0("X", 3 - j)]] == 1, ]
  g <- glm(other[[paste0("X", j)]] ~ 1, family = binomial, control = list(epsilon = 1e-14))
  add("two", paste0("glm", j), "beta", coef(g)); add("two", paste0("glm", j), "se", summary(g)$coefficients[2])
}

# Removal: catches of passes, conditional on having been caught, over units that
# differ in their number of passes and share the chance of a pass.
removal <- function(case, units) {
  nll <- function(eta) { q <- 1 - plogis(eta)
    -sum(sapply(units, function(c) sum(c * (log(1 - q) + (seq_along(c) - 1) * log(q))) - sum(c) * log(1 - q^length(c)))) }
  o <- optimize(nll, c(-6, 6), tol = 1e-12)$minimum
  h <- (nll(o + 1e-4) - 2 * nll(o) + nll(o - 1e-4)) / 1e-8
  p <- plogis(o); q <- 1 - p
  there <- function(eta) sum(sapply(units, function(c) sum(c) / (1 - plogis(eta, lower.tail = FALSE)^length(c))))
  slope <- (there(o + 1e-5) - there(o - 1e-5)) / 2e-5
  var <- sum(sapply(units, function(c) sum(c) * q^length(c) / (1 - q^length(c))^2)) + slope^2 / h
  add(case, "removal", "catches", sapply(units, paste, collapse = "|"))
  add(case, "removal", "chance", p); add(case, "removal", "chance_se", p * q / sqrt(h))
  add(case, "removal", "present", there(o)); add(case, "removal", "present_se", sqrt(var))
  lr <- function(eta) 2 * (nll(eta) - nll(o)) - qchisq(0.95, 1)
  add(case, "removal", "chance_lower", plogis(uniroot(lr, c(o - 8, o), tol = 1e-12)$root))
  add(case, "removal", "chance_upper", plogis(uniroot(lr, c(o, o + 8), tol = 1e-12)$root))
}
removal("one", list(c(165, 101, 54)))
removal("several", list(c(12, 5, 2), c(30, 11), c(0, 0, 0), c(7, 6, 1, 1), c(4, 0), c(9)))

write.csv(all_finds, "observers_finds.csv", row.names = FALSE, quote = FALSE)
write.csv(out, "observers.csv", row.names = FALSE, quote = FALSE)
