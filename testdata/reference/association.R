# Reference values for stats/association: risk ratios within a distance, medians
# of censored distances, kappa. Writes association_spots.csv and association.csv
# beside itself.
#
#   cd testdata/reference && Rscript association.R
#
# R 4.2.2, survey 4.1-1, survival 3.5-3. The spots are made up by the seed below;
# the table for kappa, 20 5 10 15, is one that many texts reprint (from memory).
suppressMessages({library(survey); library(survival)})
options(digits = 15)
out <- NULL
add <- function(case, what, value) out <<- rbind(out, data.frame(case = case, what = what, value = format(value, digits = 17)))

set.seed(55)
spots <- NULL
for (unit in 1:14) for (kind in c("find", "point")) {
  n <- if (kind == "find") sample(1:6, 1) else sample(2:3, 1)
  host <- rexp(n, if (kind == "find") 0.7 else 0.35); other <- rexp(n, 0.3)
  spots <- rbind(spots, data.frame(unit = unit, site = (unit + 1) %/% 2, kind = kind,
    distance = round(pmin(host, other), 1), host = as.integer(host <= other), count = if (kind == "find") sample(1:3, n, TRUE) else 1))
}
n <- tapply(spots$count * (spots$kind == "find"), spots$unit, sum)
r <- tapply(spots$kind == "point", spots$unit, sum)
spots$w <- ifelse(spots$kind == "find", spots$count, (n / r)[spots$unit])
apart <- both <- NULL # of sites, a column a distance; finds and points there together
for (d in c(0.5, 1, 2, 4)) {
  within <- spots$host == 1 & spots$distance <= d
  x <- tapply(spots$w * (within & spots$kind == "find"), spots$unit, sum)
  e <- tapply(spots$w * (within & spots$kind == "point"), spots$unit, sum)
  units <- data.frame(site = (1:14 + 1) %/% 2, x = x, e = e)
  t <- svytotal(~x + e, svydesign(ids = ~site, weights = ~1, data = units))
  l <- svycontrast(t, quote(log(x / e)))
  add(paste("within", d), "share", sum(x) / sum(n)); add(paste("within", d), "point_share", sum(e) / sum(n))
  add(paste("within", d), "ratio", as.numeric(exp(coef(l)))); add(paste("within", d), "log_se", as.numeric(sqrt(vcov(l))))
  # every swap of finds and points of the seven sites
  s <- as.matrix(expand.grid(rep(list(c(1, -1)), 7))) %*% as.numeric(rowsum(x - e, units$site))
  add(paste("within", d), "p", mean(abs(s) >= abs(sum(x - e)) - 1e-9))
  apart <- cbind(apart, as.numeric(rowsum(x - e, units$site))); both <- c(both, sum(x + e))
}
# over the range: the largest difference in units of what a swap does, its root of the sum of squares
size <- sqrt(colSums(apart^2))
worst <- apply(abs(as.matrix(expand.grid(rep(list(c(1, -1)), 7))) %*% apart) / rep(size, each = 128), 1, max)
seen <- max(abs(colSums(apart)) / size)
add("range", "p", mean(worst >= seen - 1e-9))
half <- sort(worst)[ceiling(0.95 * 128)] * size # 95 of 100 swaps stay within it at every distance
for (i in 1:4) add(paste("within", c(0.5, 1, 2, 4)[i]), "envelope", if (half[i] < both[i]) (both[i] + half[i]) / (both[i] - half[i]) else NaN)
for (kind in c("find", "point")) {
  k <- spots[spots$kind == kind, ]
  add("median", kind, unname(quantile(survfit(Surv(distance, host) ~ 1, data = k, weights = k$w), 0.5)$quantile))
}

cells <- c(20, 5, 10, 15); N <- sum(cells)
kappa <- function(p) { r <- p[1] + p[2]; c <- p[1] + p[3]; e <- r * c + (1 - r) * (1 - c); (p[1] + p[4] - e) / (1 - e) }
p <- cells / N
# Fleiss, Cohen & Everitt (1969): the delta method on the multinomial, with numeric derivatives
g <- sapply(1:4, function(i) { h <- 1e-6; q <- p; q[i] <- q[i] + h; l <- p; l[i] <- l[i] - h; (kappa(q) - kappa(l)) / (2 * h) })
add("kappa", "value", kappa(p)); add("kappa", "se", sqrt((sum(g^2 * p) - sum(g * p)^2) / N))

write.csv(spots[, names(spots) != "w"], "association_spots.csv", row.names = FALSE, quote = FALSE)
write.csv(out, "association.csv", row.names = FALSE, quote = FALSE)
