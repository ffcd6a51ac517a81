# Crop in mass of two strata, by sites: the answers that stats/crop is held to.
# The counts and masses are made up. Run in the folder of the repository:
#   Rscript testdata/reference/crop.R
# R survey (Lumley 2004): totals of a stratified cluster sample and nonlinear
# functions of them by linearisation (svycontrast).
suppressMessages(library(survey))
set.seed(4127)
units <- do.call(rbind, lapply(1:2, function(h) {
  n <- c(18, 12)[h]
  site <- rep(seq_len(n / 2), each = 2)
  rich <- rgamma(n / 2, 0.6)[site] * c(6, 3)[h]
  a <- round(runif(n, 0.008, 0.014), 4)
  y1 <- rnbinom(n, size = 0.8, mu = 0.7 * rich + 0.05)
  y2 <- rnbinom(n, size = 0.8, mu = 0.3 * rich + 0.05)
  w1 <- rbinom(n, y1, 0.7); w2 <- rbinom(n, y2, 0.7)
  data.frame(stratum = h, site = site, area = a, y1, y2, w1, w2,
             g1 = round(w1 * (14 - pmin(rich, 8) * 0.6) + sqrt(w1) * rnorm(n), 1),
             g2 = round(w2 * (9 - pmin(rich, 8) * 0.3) + sqrt(w2) * rnorm(n), 1))
}))
land <- c(30, 10)
d <- units
for (h in 1:2) for (v in c("area", "y1", "y2")) d[[paste0(v, "_", h)]] <- units[[v]] * (units$stratum == h)
design <- svydesign(ids = ~site, strata = ~stratum, nest = TRUE, weights = ~rep(1, nrow(d)), data = d)
totals <- svytotal(~area_1 + area_2 + y1_1 + y1_2 + y2_1 + y2_2 + w1 + w2 + g1 + g2, design)
kg <- svycontrast(totals, quote((30 * (y1_1 * g1 / w1 + y2_1 * g2 / w2) / area_1 + 10 * (y1_2 * g1 / w1 + y2_2 * g2 / w2) / area_2) / 1000))
bodies <- svycontrast(totals, quote(30 * (y1_1 + y2_1) / area_1 + 10 * (y1_2 + y2_2) / area_2))
grams <- svycontrast(totals, quote((30 * (y1_1 * g1 / w1 + y2_1 * g2 / w2) / area_1 + 10 * (y1_2 * g1 / w1 + y2_2 * g2 / w2) / area_2) /
                                   (30 * (y1_1 + y2_1) / area_1 + 10 * (y1_2 + y2_2) / area_2)))
mass1 <- svycontrast(totals, quote(g1 / w1))
out <- data.frame(what = c("kg", "bodies", "grams", "mass1"),
  value = c(coef(kg), coef(bodies), coef(grams), coef(mass1)),
  se = c(SE(kg), SE(bodies), SE(grams), SE(mass1)))
write.csv(units, "testdata/reference/crop_units.csv", row.names = FALSE)
write.csv(format(out, digits = 15), "testdata/reference/crop.csv", row.names = FALSE, quote = FALSE)
