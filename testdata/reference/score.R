# Reference values for the score test by signs of clusters in stats/regress:
# the model fitted as if the hypothesis held (glm with an offset, and MASS's
# glm.nb for the negative binomial), effective scores, and all 2^m arrangements
# of the signs of m sites, written out in plain matrices. Writes score.csv beside
# itself. Sign flips of effective scores: Hemerik, Goeman & Finos (2020, JRSS B
# 82: 841-864); the variance that a flip leaves: De Santis et al. (2025, JASA).
#
#   cd testdata/reference && Rscript score.R
#
# R 4.2.2, MASS 7.3-58.2. The counts, score_units.csv, are made up by the seed
# below: units in nine sites, five of the first age and four of the second, that
# differ in soil, by mode and tree.
suppressMessages(library(MASS))
options(digits = 15)
set.seed(2012)
d <- do.call(rbind, lapply(1:9, function(s) {
  soil <- exp(0.6 * rnorm(1))
  do.call(rbind, lapply(seq_len(sample(2:4, 1)), function(u) {
    area <- round(runif(1, 0.01, 0.06), 4)
    r <- expand.grid(mode = c("saprotrophic", "host-associated"), tree = c("birch", "fir", "pine"), years = if (s <= 5) "1" else "2")
    r$count <- rnegbin(6, area * 120 * soil * c(1, 0.8)[as.integer(r$mode)] * c(1, 0.8, 1.2)[as.integer(r$tree)], 0.8); r$area <- area; r$site <- s; r
  }))
}))
d$mode <- factor(d$mode, levels = c("saprotrophic", "host-associated"))
d$tree <- factor(d$tree, levels = c("birch", "fir", "pine"))
d$years <- factor(d$years)
write.csv(d, "score_units.csv", row.names = FALSE, quote = FALSE)
whole <- d
tight <- glm.control(epsilon = 1e-14, maxit = 200)

# signed takes the design of the whole model, that of the hypothesis, and the
# means and clumping by the fit of the latter.
signed <- function(full, less, y, mu, alpha, site) {
  w <- mu / (1 + alpha * mu)
  e <- (y - mu) / sqrt(mu * (1 + alpha * mu))
  U <- qr.Q(qr(sqrt(w) * less))                # W^(1/2) X made orthonormal
  A <- sqrt(w) * full
  T <- A - U %*% crossprod(U, A)               # what the whole model has beyond
  s <- svd(T); T <- s$u[, s$d > 1e-8 * s$d[1], drop = FALSE]
  H <- U %*% t(U)
  P <- diag(length(e)) - H
  sites <- unique(site); m <- length(sites)
  statistic <- function(f) {
    F <- f[match(site, sites)]
    b <- crossprod(T, F * e)
    # T'F (I-H) F T: the variance of T'F e where e = (I-H) errors of variance 1
    V <- t(F * T) %*% P %*% (F * T)
    v <- eigen(V, symmetric = TRUE); keep <- v$values > 1e-10
    sum((crossprod(v$vectors[, keep, drop = FALSE], b))^2 / v$values[keep])
  }
  all <- as.matrix(expand.grid(rep(list(c(1, -1)), m)))
  values <- apply(all, 1, statistic)
  seen <- statistic(rep(1, m))
  h <- tapply(rowSums(T^2), site, sum) / ncol(T)
  c(df = ncol(T), statistic = seen, p = mean(values >= seen * (1 - 1e-9)), bear = 1 / sum(h^2), arrangements = nrow(all))
}

out <- NULL
say <- function(case, what) out <<- rbind(out, data.frame(case = case, quantity = names(what), value = format(unname(what), digits = 14)))

X <- function(formula) model.matrix(formula, d)
test <- function(case, full, less, poisson = FALSE) {
  environment(less) <- environment()
  fit <- if (poisson) glm(update(less, count ~ . + offset(log(area))), family = "poisson", data = d, control = tight)
         else glm.nb(update(less, count ~ . + offset(log(area))), data = d, control = tight)
  say(case, signed(X(full), X(less), d$count, fitted(fit), if (poisson) 0 else 1 / fit$theta, d$site))
}
test("mode", ~ mode + tree + years, ~ tree + years)
test("mode Poisson", ~ mode + tree + years, ~ tree + years, TRUE)
test("tree", ~ mode + tree + years, ~ mode + years)
test("years", ~ mode + tree + years, ~ mode + tree)
test("mode:tree", ~ mode * tree + years, ~ mode + tree + years)

# An empty cell: what was found of host-associated by pine is taken away, and
# the hypothesis is that there are as many as of saprotrophic by pine.
d$count[d$mode == "host-associated" & d$tree == "pine"] <- 0
full <- X(~ mode * tree + years)
pine <- d$tree == "pine"
less <- cbind(X(~ tree + years), host_birch = (d$mode == "host-associated") * (d$tree == "birch"), host_fir = (d$mode == "host-associated") * (d$tree == "fir"))
fit <- glm.nb(d$count ~ 0 + less + offset(log(d$area)), control = tight)
say("empty", signed(full, less, d$count, fitted(fit), 1 / fit$theta, d$site))
# The same for all trees, each alike: the ratio of the modes summed over trees
# is 1. The hypothesis is not linear; the top is found by a penalty-free search
# along it: host-associated by birch is what the others leave.
negative <- function(b, k) -sum(dnbinom(d$count, size = exp(k), mu = d$area * exp(drop(full %*% b)), log = TRUE))
cells <- unique(full[d$years == "1", ])
host <- cells[cells[, "modehost-associated"] == 1, ]; sapro <- cells[cells[, "modehost-associated"] == 0, ]
d <- whole
gap <- function(b) log(sum(exp(host %*% b))) - log(sum(exp(sapro %*% b)))
at <- which(colnames(full) == "modehost-associated")
# b[at] raises all host cells alike: the surface is b[at] = -gap with b[at] = 0.
on <- function(p) { b <- append(p[-length(p)], 0, at - 1); b[at] <- -gap(b); b }
start <- glm.nb(count ~ tree + years + offset(log(area)), data = d)
p <- c(coef(start)[1], coef(start)[2:3], coef(start)[4:(ncol(full) - 3)], 0, 0, log(start$theta))
names(p) <- NULL
for (i in 1:30) p <- optim(p, function(p) negative(on(p), p[length(p)]), method = "BFGS", control = list(reltol = 1e-16, maxit = 5000))$par
b <- on(p)
gradient <- colSums(host * c(exp(host %*% b))) / sum(exp(host %*% b)) - colSums(sapro * c(exp(sapro %*% b))) / sum(exp(sapro %*% b))
flat <- full %*% qr.Q(qr(cbind(gradient, diag(length(gradient)))))[, -1]
say("ratio of sums", signed(full, flat, d$count, d$area * exp(drop(full %*% b)), exp(-p[length(p)]), d$site))
write.csv(out, "score.csv", row.names = FALSE)
print(out)
