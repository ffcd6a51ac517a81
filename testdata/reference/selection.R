# Reference values for stats/selection: use against availability by tree, under
# stratified cluster sampling. Writes selection_units.csv (the units of each
# case) and selection.csv beside itself.
#
#   cd testdata/reference && Rscript selection.R
#
# R 4.2.2, survey 4.1-1. All counts are made up by the seeds below.
suppressMessages(library(survey))
options(digits = 15, survey.lonely.psu = "adjust")

made <- function(seed, sites, land, taste = c(2.5, 1, 1), stems = c(2, 3, 1.5)) {
  set.seed(seed)
  rows <- list()
  for (h in seq_along(sites)) for (s in seq_len(sites[h])) {
    n <- sample(1:4, 1)
    area <- round(runif(n, 0.02, 0.1), 4)
    a <- sapply(1:3, function(i) 1 + rpois(n, stems[i] * exp(0.5 * rnorm(1)) * area / 0.05))
    a <- matrix(a, n)
    soil <- rgamma(n, 0.6, 0.6)
    u <- matrix(rpois(3 * n, 1.2 * a * rep(taste, each = n) * soil), n)
    rows[[length(rows) + 1]] <- data.frame(stratum = h, cluster = s, land = land[h], area = area,
      u1 = u[, 1], u2 = u[, 2], u3 = u[, 3], a1 = a[, 1], a2 = a[, 2], a3 = a[, 3])
  }
  do.call(rbind, rows)
}

out <- NULL
add <- function(case, what, value) out <<- rbind(out, data.frame(case = case, what = what, value = format(value, digits = 17)))

# totals of each variable and the area, a column for each stratum.
contrast <- function(d, vars, expression) {
  strata <- unique(d$stratum)
  names <- as.vector(outer(c(vars, "area"), strata, paste, sep = "_"))
  for (h in strata) for (v in c(vars, "area")) d[[paste(v, h, sep = "_")]] <- d[[v]] * (d$stratum == h)
  design <- svydesign(ids = ~cluster, strata = ~stratum, weights = ~1, data = d, nest = TRUE)
  total <- svytotal(as.formula(paste("~", paste(names, collapse = "+"))), design)
  est <- svycontrast(total, parse(text = expression)[[1]])
  c(value = as.numeric(coef(est)), variance = as.numeric(vcov(est)))
}
land <- function(d, v) paste0("(", paste0(tapply(d$land, d$stratum, mean), " * ", v, "_", unique(d$stratum), " / area_", unique(d$stratum), collapse = " + "), ")")

# residuals of o - pi, weighed; and their degrees of freedom by cluster, at least
# 2 and at most those by stratum.
weight <- function(d) d$land / ave(d$area, d$stratum, FUN = sum)
residual <- function(d, u, U, a, A) {
  w <- weight(d)
  z <- (u - sum(w * u) / sum(w * U) * U) / sum(w * U) - (a - sum(w * a) / sum(w * A) * A) / sum(w * A)
  w * (z - ave(z, d$stratum, FUN = sum) / ave(d$area, d$stratum, FUN = sum) * d$area)
}
satterthwaite <- function(d, z) {
  cl <- rowsum(z, interaction(d$stratum, d$cluster, drop = TRUE))
  of <- sub("\\..*", "", rownames(cl))
  m <- table(of)[of]
  v <- as.numeric(m / (m - 1)) * cl[, 1]^2
  byStrata <- sum(v)^2 / sum(tapply(v, of, sum)^2 / (table(of) - 1))
  min(max(2, sum(v)^2 / sum(v^2)), byStrata)
}

all_units <- NULL
for (case in c("strata", "one")) {
  d <- if (case == "strata") made(71, c(6, 9), c(400, 900)) else made(72, 12, 100)
  all_units <- rbind(all_units, cbind(case = case, d))
  u <- paste0("u", 1:3)
  # each unit's expected use, from its own availability
  A <- as.matrix(d[, paste0("a", 1:3)]); U <- as.matrix(d[, u])
  E <- A / rowSums(A) * rowSums(U)
  d$e1 <- E[, 1]; d$e2 <- E[, 2]; d$e3 <- E[, 3]
  for (kind in c("a", "e")) {
    a <- paste0(kind, 1:3)
    sumU <- paste0("(", paste(sapply(u, land, d = d), collapse = " + "), ")")
    sumA <- paste0("(", paste(sapply(a, land, d = d), collapse = " + "), ")")
    delta <- df <- 0; o <- pi <- numeric(3)
    for (i in 1:3) {
      share <- contrast(d, c(u, a), paste0(land(d, u[i]), "/", sumU))
      offer <- contrast(d, c(u, a), paste0(land(d, a[i]), "/", sumA))
      logw <- contrast(d, c(u, a), paste0("log(", land(d, u[i]), "/", sumU, "/(", land(d, a[i]), "/", sumA, "))"))
      apart <- contrast(d, c(u, a), paste0(land(d, u[i]), "/", sumU, "-", land(d, a[i]), "/", sumA))
      o[i] <- share["value"]; pi[i] <- offer["value"]
      delta <- delta + sum(U) / 2 * apart["variance"] / pi[i]
      df <- df + sum(U) / 2 * apart["variance"] / pi[i] * satterthwaite(d, residual(d, d[[u[i]]], rowSums(U), d[[a[i]]], rowSums(d[, a])))
      at <- paste0(kind, i)
      add(case, paste(at, "share"), share["value"]); add(case, paste(at, "share_se"), sqrt(share["variance"]))
      add(case, paste(at, "offer"), offer["value"]); add(case, paste(at, "offer_se"), sqrt(offer["variance"]))
      add(case, paste(at, "w"), exp(logw["value"])); add(case, paste(at, "log_w_se"), sqrt(logw["variance"]))
    }
    n <- sum(U)
    chi <- sum((n * o - n * pi)^2 / (n * pi)); g <- 2 * sum(n * o * log(o / pi))
    add(case, paste(kind, "chi"), chi); add(case, paste(kind, "g"), g); add(case, paste(kind, "delta"), delta)
    add(case, paste(kind, "p"), pf(chi / 2 / max(1, delta), 2, 2 * df / delta, lower.tail = FALSE))
  }
}
write.csv(all_units, "selection_units.csv", row.names = FALSE, quote = FALSE)
write.csv(out, "selection.csv", row.names = FALSE, quote = FALSE)
