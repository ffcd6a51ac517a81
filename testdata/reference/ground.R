# Reference values for pooled seasons in stats/density: plots on a fifth of a
# stratum, searched in 1 to 6 seasons. Ground searched again is the same ground:
# a plot is one cluster of its seasons, and the finite population factor counts
# its ground once. Writes ground_units.csv and ground.csv beside itself.
#
#   cd testdata/reference && Rscript ground.R
#
# R 4.2.2, survey 4.1-1. The counts are made up by the seed below.
suppressMessages(library(survey))
options(digits = 15)

set.seed(17)
plots <- 40; land <- 2 # ha; each plot has 0.01 ha
rich <- rgamma(plots, 0.7, 0.7)
units <- do.call(rbind, lapply(1:6, function(season) data.frame(
  season, plot = seq_len(plots), area_ha = 0.01, count = rpois(plots, 4 * rich * rgamma(plots, 2, 2)))))
write.csv(units, "ground_units.csv", row.names = FALSE)

out <- NULL
add <- function(what, seasons, fit) out <<- rbind(out, data.frame(what, seasons, density = coef(fit)[[1]], se = SE(fit)[[1]]))
pooled <- function(d, fraction) svyratio(~count, ~area_ha, svydesign(ids = ~plot, weights = ~1, data = d, fpc = rep(fraction, nrow(d))))

for (s in 1:6) add("same plots", s, pooled(units[units$season <= s, ], 0.2))
# Half of the plots in each of two seasons, none in both: a tenth of the stratum
# was searched in a season.
add("other plots", 2, pooled(units[(units$season == 1) == (units$plot <= 20) & units$season <= 2, ], 0.1))
# All plots in one season, the first 10 again in the next: 0.4 and 0.1 ha, whose
# mean, each season weighted by its area, is (0.4^2 + 0.1^2) / 0.5 = 0.34 ha.
add("some again", 2, pooled(units[units$season == 1 | units$season == 2 & units$plot <= 10, ], 0.34 / land))
write.csv(out, "ground.csv", row.names = FALSE, quote = FALSE)
