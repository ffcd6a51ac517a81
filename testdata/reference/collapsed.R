# Reference values for collapsed strata: two strata with several sites and two
# with one, which are estimated together with the stratum nearest in density.
# Writes collapsed_units.csv and collapsed.csv beside itself.
#
#   cd testdata/reference && Rscript collapsed.R
#
# R 4.2.2, survey 4.1-1. The counts are made up by the seed below. Every unit keeps
# the weight of its own stratum, its area over what was searched of it; the design
# has the collapsed strata, and within each the ratio of counts to area is one.
suppressMessages(library(survey))
options(digits = 15, survey.lonely.psu = "fail")

set.seed(24)
made <- function(stratum, land, sites, mean) do.call(rbind, lapply(seq_len(sites), function(s) {
  n <- sample(1:3, 1)
  area <- round(runif(n, 0.01, 0.04), 3)
  soil <- mean * area * rgamma(1, 3, 3) * rgamma(n, 1, 1)
  data.frame(stratum, land, site = s, area, a = rpois(n, soil), b = rpois(n, 1.5 * soil * rgamma(n, 3, 3)), later = rpois(n, 0.5 * soil))
}))
units <- rbind(made("ash", 120, 6, 200), made("birch", 60, 5, 900), made("cedar", 2, 1, 300), made("dogwood", 8, 1, 1500))
write.csv(units, "collapsed_units.csv", row.names = FALSE, quote = FALSE)
densities <- tapply(units$a, units$stratum, sum) / tapply(units$area, units$stratum, sum)
nearest <- function(h) { d <- abs(densities[names(densities) != h] - densities[[h]]); names(d)[which.min(d)] }
stopifnot(nearest("cedar") == "ash", nearest("dogwood") == "birch")

units$weight <- units$land / ave(units$area, units$stratum, FUN = sum)
out <- NULL
add <- function(collapsed, what, value) out <<- rbind(out, data.frame(collapsed, what, value = format(value, digits = 17)))

for (collapsed in c("nearest", "named")) {
  d <- units
  # cedar lies nearest to ash and dogwood to birch; the settings may name others.
  d$group <- c(ash = "ash", birch = "birch", cedar = if (collapsed == "nearest") "ash" else "birch", dogwood = "birch")[d$stratum]
  d$psu <- paste(d$stratum, d$site)
  design <- svydesign(ids = ~psu, strata = ~group, weights = ~weight, data = d)
  area <- tapply(d$weight * d$area, d$group, sum) # of the strata of a group, ha
  v <- 0
  for (g in names(area)) {
    r <- svyratio(~a, ~area, subset(design, group == g))
    add(collapsed, paste("density", g), coef(r)[[1]]); add(collapsed, paste("se", g), SE(r)[[1]])
    v <- v + (area[[g]] / sum(area))^2 * SE(r)[[1]]^2
  }
  for (h in names(densities)) add(collapsed, paste("mean", h), densities[[h]])
  add(collapsed, "density", sum(d$weight * d$a) / sum(area)); add(collapsed, "se", sqrt(v))
  # Ratios of densities: totals by group, whose density is a ratio to its area.
  for (g in names(area)) for (x in c("a", "b", "later", "area")) d[[paste0(x, g)]] <- d[[x]] * (d$group == g)
  names <- as.vector(outer(c("a", "b", "later", "area"), names(area), paste0))
  totals <- svytotal(as.formula(paste("~", paste(names, collapse = "+"))), svydesign(ids = ~psu, strata = ~group, weights = ~weight, data = d))
  density <- function(x) paste0("(", paste0(area, " * ", x, names(area), " / area", names(area), collapse = " + "), ")")
  for (x in c("b", "later")) {
    l <- svycontrast(totals, parse(text = paste0("log(", density("a"), " / ", density(x), ")"))[[1]])
    add(collapsed, paste("log a to", x), as.numeric(coef(l))); add(collapsed, paste("variance of log a to", x), as.numeric(vcov(l)))
  }
  l <- svycontrast(totals, parse(text = paste0("(", density("later"), "-", density("a"), ") / ", sum(area)))[[1]])
  add(collapsed, "later less a", as.numeric(coef(l))); add(collapsed, "variance of later less a", as.numeric(vcov(l)))
}
write.csv(out, "collapsed.csv", row.names = FALSE, quote = FALSE)
