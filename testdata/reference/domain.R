# Reference values for stats/domain: densities of domains (classes of units) and their
# shares of the survey area, under stratified cluster sampling. Writes domain_units.csv
# (the units of each case) and domain.csv beside itself.
#
#   cd testdata/reference && Rscript domain.R
#
# R 4.2.2, survey 4.1-1. In case equal all sites are of one area, and svyby with
# svyratio gives the densities; in case unequal the strata's densities are ratios of
# their own, for which svycontrast takes the delta method over their totals. The counts
# are made up by the seeds below.
suppressMessages(library(survey))
options(digits = 15)

made <- function(seed, sites, land, equal) {
  set.seed(seed)
  rows <- list()
  for (h in seq_along(sites)) for (s in seq_len(sites[h])) {
    n <- if (equal) 3 else sample(1:4, 1)
    area <- if (equal) rep(0.02, n) else round(runif(n, 0.01, 0.05), 4)
    class <- sample(0:2, n, replace = TRUE, prob = c(0.5, 0.3, 0.2))
    rows[[length(rows) + 1]] <- data.frame(stratum = h, cluster = s, land = land[h], area = area, class = class,
      count = rnbinom(n, mu = area * 400 / (1 + class) / h, size = 0.8))
  }
  do.call(rbind, rows)
}

cases <- list(equal = made(1, c(9, 7), c(120, 300), TRUE), unequal = made(2, c(8, 6, 5), c(80, 40, 200), FALSE))
out <- NULL
add <- function(case, class, what, value) out <<- rbind(out, data.frame(case = case, class = class, what = what, value = format(value, digits = 17)))

d <- cases$equal
d$weight <- d$land / ave(d$area, d$stratum, FUN = sum)
design <- svydesign(ids = ~cluster, strata = ~stratum, weights = ~weight, data = d, nest = TRUE)
by <- svyby(~count, ~class, design, svyratio, denominator = ~area)
for (i in seq_len(nrow(by))) {
  add("equal", by$class[i], "density", by[i, 2])
  add("equal", by$class[i], "se", SE(by)[i])
}
shares <- svyratio(~I(area * (class == 0)) + I(area * (class == 1)) + I(area * (class == 2)), ~area, design)
for (k in 0:2) {
  add("equal", k, "share", coef(shares)[k + 1])
  add("equal", k, "share_se", SE(shares)[k + 1])
}

d <- cases$unequal
for (h in 1:3) for (k in 0:2) {
  d[[paste0("y", h, k)]] <- d$count * (d$stratum == h & d$class == k)
  d[[paste0("z", h, k)]] <- d$area * (d$stratum == h & d$class == k)
}
for (h in 1:3) d[[paste0("a", h)]] <- d$area * (d$stratum == h)
names <- grep("^[yza][0-9]", names(d), value = TRUE)
design <- svydesign(ids = ~cluster, strata = ~stratum, weights = ~1, data = d, nest = TRUE)
total <- svytotal(as.formula(paste("~", paste(names, collapse = "+"))), design)
land <- tapply(d$land, d$stratum, mean)
for (k in 0:2) {
  sum_of <- function(v) paste0("(", paste0(land, "*", v, 1:3, k, "/a", 1:3, collapse = "+"), ")")
  density <- svycontrast(total, parse(text = paste0(sum_of("y"), "/", sum_of("z")))[[1]])
  add("unequal", k, "density", as.numeric(coef(density)))
  add("unequal", k, "se", as.numeric(sqrt(vcov(density))))
  share <- svycontrast(total, parse(text = paste0(sum_of("z"), "/", sum(land)))[[1]])
  add("unequal", k, "share", as.numeric(coef(share)))
  add("unequal", k, "share_se", as.numeric(sqrt(vcov(share))))
}

write.csv(do.call(rbind, Map(function(name, d) cbind(case = name, d[c("stratum", "cluster", "land", "area", "class", "count")]), names(cases), cases)),
  "domain_units.csv", row.names = FALSE, quote = FALSE)
write.csv(out, "domain.csv", row.names = FALSE, quote = FALSE)
