# Reference values for stats/change: densities of two seasons, the same units or
# others. Writes change_units.csv and change.csv beside itself.
#
#   cd testdata/reference && Rscript change.R
#
# R 4.2.2, survey 4.1-1. The counts are made up by the seeds below.
suppressMessages(library(survey))
options(digits = 15)

made <- function(case, seed, sites, again, decline) {
  set.seed(seed)
  rows <- list()
  for (s in seq_len(sites)) for (u in 1:3) {
    soil <- rgamma(1, 0.8, 0.8); area <- round(runif(1, 0.01, 0.04), 3)
    rows[[length(rows) + 1]] <- data.frame(case, season = 1, cluster = s, area, count = rpois(1, 300 * area * soil))
    id <- if (again) s else 100 + s
    if (!again) { soil <- rgamma(1, 0.8, 0.8); area <- round(runif(1, 0.01, 0.04), 3) }
    rows[[length(rows) + 1]] <- data.frame(case, season = 2, cluster = id, area, count = rpois(1, decline * 300 * area * soil))
  }
  do.call(rbind, rows)
}
units <- rbind(made("same units", 21, 12, TRUE, 0.4), made("other units", 22, 12, FALSE, 0.4))
write.csv(units, "change_units.csv", row.names = FALSE)

answers <- list()
for (case in unique(units$case)) {
  d <- units[units$case == case, ]
  for (s in 1:2) { d[[paste0("y", s)]] <- d$count * (d$season == s); d[[paste0("a", s)]] <- d$area * (d$season == s) }
  # Units seen twice are one cluster of one sample; others are two samples.
  d$sample <- if (case == "same units") 1 else d$season
  total <- svytotal(~ y1 + a1 + y2 + a2, svydesign(ids = ~cluster, strata = ~sample, weights = ~1, data = d, nest = TRUE))
  ratio <- svycontrast(total, quote(log((y2 / a2) / (y1 / a1))))
  difference <- svycontrast(total, quote(y2 / a2 - y1 / a1))
  answers[[case]] <- data.frame(case, ratio = exp(coef(ratio)), log_variance = as.numeric(vcov(ratio)),
    difference = coef(difference), difference_variance = as.numeric(vcov(difference)))
}
write.csv(do.call(rbind, answers), "change.csv", row.names = FALSE, quote = FALSE)
