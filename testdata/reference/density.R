# Reference values for stats/density from the R package survey: ratio
# estimates of finds per area, by stratum and for the land, with and without
# sites. Writes density_units.csv (the made-up sample) and density_expected.csv.
#
#   cd testdata/reference && Rscript density.R
#
# R 4.2.2, survey 4.1.1. density_bigcity.csv beside it is boot::bigcity,
# not made here.
suppressMessages(library(survey))
options(survey.lonely.psu = "fail")

set.seed(7)
units <- do.call(rbind, lapply(1:3, function(h) {
  sites <- c(9, 6, 12)[h]
  do.call(rbind, lapply(seq_len(sites), function(s) {
    n <- sample(1:5, 1)
    area <- round(runif(n, 0.004, 0.03), 4)
    y <- rnbinom(n, size = 0.8, mu = c(300, 90, 30)[h] * area * rgamma(1, 2, 2))
    data.frame(stratum = paste0("h", h), site = 100 * h + s, area_ha = area, count = y)
  }))
}))
land <- c(h1 = 12, h2 = 40, h3 = 3) # ha; more than 5 % of h3 was searched
units$land_ha <- land[units$stratum]
write.csv(units, "density_units.csv", row.names = FALSE, quote = FALSE)

# With unequal areas the finite population factor is 1 - (area searched)/land;
# survey takes it as a sampling fraction.
searched <- tapply(units$area_ha, units$stratum, sum)
fraction <- ifelse(searched / land > 0.05, searched / land, 0)
units$fraction <- fraction[units$stratum]
units$one <- 1

out <- NULL
add <- function(what, stratum, fit) {
  out <<- rbind(out, data.frame(what = what, stratum = stratum, density = coef(fit)[[1]], se = SE(fit)[[1]], df = NA))
}
for (h in names(land)) {
  d <- units[units$stratum == h, ]
  add("units", h, svyratio(~count, ~area_ha, svydesign(ids = ~1, weights = ~one, data = d, fpc = if (fraction[h] > 0) ~fraction)))
  add("sites", h, svyratio(~count, ~area_ha, svydesign(ids = ~site, weights = ~one, data = d, fpc = if (fraction[h] > 0) ~fraction)))
}
# The same by svyby, which makes the strata domains of one design: equal
# figures, and equal errors where the design is stratified alike.
by <- svyby(~count, ~stratum, denominator = ~area_ha, svyratio,
            design = svydesign(ids = ~site, strata = ~stratum, weights = ~one, data = units, fpc = ~fraction))
for (i in seq_len(nrow(by))) {
  out <- rbind(out, data.frame(what = "svyby", stratum = by$stratum[i], density = coef(by)[[i]], se = SE(by)[[i]], df = NA))
}
# The land: separate ratios, each times the land of its stratum.
for (what in c("units", "sites")) {
  ids <- if (what == "units") ~1 else ~site
  design <- svydesign(ids = ids, strata = ~stratum, weights = ~one, data = units, fpc = ~fraction)
  total <- predict(svyratio(~count, ~area_ha, design, separate = TRUE), total = as.list(land))
  v <- out[out$what == what, ]
  part <- (land * v$se)^2
  m <- if (what == "units") table(units$stratum) else tapply(units$site, units$stratum, function(s) length(unique(s)))
  out <- rbind(out, data.frame(what = what, stratum = "all", density = total$total[[1]] / sum(land), se = total$se[[1]] / sum(land),
                               df = sum(part)^2 / sum(part^2 / (as.numeric(m) - 1))))
}
write.csv(format(out, digits = 15), "density_expected.csv", row.names = FALSE, quote = FALSE)
