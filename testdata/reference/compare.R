# Reference values for stats/compare: ratios of two densities counted on the
# same units, shares and contrasts, under stratified cluster sampling. Writes
# compare_units.csv (the units of each case) and compare.csv beside itself.
#
#   cd testdata/reference && Rscript compare.R
#
# R 4.2.2, survey 4.1-1, boot 1.3-28.1. The counts of all cases but bigcity are
# made up by the seeds below.
suppressMessages({library(survey); library(boot)})
options(digits = 15)

# made draws counts that share a soil within a unit and differ by site.
made <- function(seed, sites, land, k = 0.6) {
  set.seed(seed)
  rows <- list()
  for (h in seq_along(sites)) for (s in seq_len(sites[h])) {
    n <- sample(1:4, 1)
    area <- round(runif(n, 0.02, 0.1), 4)
    soil <- rgamma(n, k, k) * exp(0.5 * rnorm(1)) * 60 * area
    rows[[length(rows) + 1]] <- data.frame(stratum = h, cluster = s, land = land[h], area = area,
      a = rpois(n, soil * exp(0.4 * rnorm(1))), b = rpois(n, 1.8 * soil * exp(0.4 * rnorm(1))))
  }
  do.call(rbind, rows)
}

# linear is the log ratio (or logit share) with its variance by linearisation of
# the stratum totals: svycontrast's delta method on svytotal.
totals <- function(d) {
  for (h in unique(d$stratum)) for (v in c("a", "b", "area")) d[[paste0(v, h)]] <- d[[v]] * (d$stratum == h)
  names <- as.vector(outer(c("a", "b", "area"), unique(d$stratum), paste0))
  design <- svydesign(ids = ~cluster, strata = ~stratum, weights = ~1, data = d, nest = TRUE)
  svytotal(as.formula(paste("~", paste(names, collapse = "+"))), design)
}
density <- function(d, v) paste0("(", paste0(tapply(d$land, d$stratum, mean), " * ", v, unique(d$stratum), " / area", unique(d$stratum), collapse = " + "), ")")
linear <- function(d, expression) {
  est <- svycontrast(totals(d), parse(text = expression)[[1]])
  c(value = as.numeric(coef(est)), variance = as.numeric(vcov(est)))
}
log_ratio <- function(d) paste0("log(", density(d, "a"), " / ", density(d, "b"), ")")

# residual totals by cluster, for the degrees of freedom alone.
satterthwaite <- function(d) {
  land <- tapply(d$land, d$stratum, mean)[as.character(d$stratum)] # one per unit
  searched <- ave(d$area, d$stratum, FUN = sum)
  w <- land / searched
  da <- sum(w * d$a); db <- sum(w * d$b)
  z <- w * ((d$a - ave(d$a, d$stratum, FUN = sum) / searched * d$area) / da -
            (d$b - ave(d$b, d$stratum, FUN = sum) / searched * d$area) / db)
  cl <- rowsum(z, interaction(d$stratum, d$cluster, drop = TRUE))
  of <- sub("\\..*", "", rownames(cl))
  m <- table(of)[of]
  v <- as.numeric(m / (m - 1)) * cl[, 1]^2
  byStrata <- sum(v)^2 / sum(tapply(v, of, sum)^2 / (table(of) - 1))
  min(max(2, sum(v)^2 / sum(v^2)), byStrata)
}

all_units <- NULL; out <- NULL
keep <- function(case, d) all_units <<- rbind(all_units, cbind(case = case, d))
add <- function(case, what, value) out <<- rbind(out, data.frame(case = case, what = what, value = format(value, digits = 17)))

ratio_case <- function(case, d) {
  keep(case, d)
  l <- linear(d, log_ratio(d)); df <- satterthwaite(d)
  add(case, "log", l[["value"]]); add(case, "variance", l[["variance"]]); add(case, "df", df)
  half <- qt(0.975, df) * sqrt(l[["variance"]])
  add(case, "lower", exp(l[["value"]] - half)); add(case, "upper", exp(l[["value"]] + half))
  add(case, "p", 2 * pt(-abs(l[["value"]]) / sqrt(l[["variance"]]), df))
  if (length(unique(d$stratum)) == 1) { # the same by svyratio, which knows no log
    r <- svyratio(~a, ~b, svydesign(ids = ~cluster, weights = ~1, data = d))
    add(case, "svyratio", coef(r)); add(case, "svyratio_se", SE(r))
  }
  share <- linear(d, paste0("log(", density(d, "a"), " / ", density(d, "b"), ")"))
  add(case, "share", plogis(share[["value"]]))
  add(case, "share_lower", plogis(share[["value"]] - half)); add(case, "share_upper", plogis(share[["value"]] + half))
  # The standard error of the share itself, by its own delta method.
  p <- linear(d, paste0(density(d, "a"), " / (", density(d, "a"), " + ", density(d, "b"), ")"))
  add(case, "share_se", sqrt(p[["variance"]]))
}

plain <- made(1, 18, 1); plain$cluster <- seq_len(nrow(plain)); plain$area <- 0.05
ratio_case("plain", plain)
ratio_case("sites", made(2, 14, 1))
strata <- made(3, c(6, 9, 12), c(120, 45, 300))
ratio_case("strata", strata)
big <- data.frame(stratum = 1, cluster = seq_len(nrow(bigcity)), land = 1, area = 1, a = bigcity$x, b = bigcity$u)
ratio_case("bigcity", big)

# Contrasts between groups without a unit in common: one design, strata apart.
first <- made(5, c(7, 8), c(60, 40)); second <- made(6, 10, 100); second$stratum <- 3
third <- made(7, 9, 100); third$stratum <- 4
keep("contrast1", first); keep("contrast2", second); keep("contrast3", third)
every <- rbind(first, second, third)
both <- linear(every, paste(log_ratio(first), "-", log_ratio(second)))
add("contrast", "log", both[["value"]]); add("contrast", "variance", both[["variance"]])
trend <- linear(every, paste("-1.5 *", log_ratio(first), "+ 0.5 *", log_ratio(second), "+ 1 *", log_ratio(third)))
add("contrast", "trend_log", trend[["value"]]); add("contrast", "trend_variance", trend[["variance"]])

# Exact limits of a ratio by binom.test, p / (1 - p).
for (x in list(c(0, 1), c(0, 12), c(3, 0), c(40, 0), c(5, 9), c(812, 4))) {
  ci <- binom.test(x[1], sum(x))$conf.int
  case <- paste0("exact_", x[1], "_", x[2])
  add(case, "a", x[1]); add(case, "b", x[2])
  add(case, "p_lower", ci[1]); add(case, "p_upper", ci[2])
  add(case, "lower", ci[1] / (1 - ci[1])); add(case, "upper", ci[2] / (1 - ci[2]))
}

# The family of Benjamini & Hochberg (1995), and one with ties and gaps.
families <- list(bh1995 = c(.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1),
                 gaps = c(0.04, NA, 0.01, 0.01, 1, NA, 0.03, 0.5, 0))
for (f in names(families)) for (method in c("holm", "BH"))
  add(paste0("adjust_", f), method, paste(sub("NA", "NaN", format(p.adjust(families[[f]], method), digits = 17, trim = TRUE)), collapse = " "))

write.csv(all_units, "compare_units.csv", row.names = FALSE, quote = FALSE)
write.csv(out, "compare.csv", row.names = FALSE, quote = FALSE)
