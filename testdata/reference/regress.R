# Reference values for stats/regress: count models with a log link, their
# standard errors, cluster-robust covariances and tests. Writes
# regress_expected.csv and regress_units.csv beside itself.
#
#   cd testdata/reference && Rscript regress.R
#
# R 4.2.2, MASS 7.3-58.2, sandwich 3.0-2, clubSandwich 0.5.8, lmtest. The data
# sets quine and epil are MASS's (Venables & Ripley 2002), warpbreaks and
# InsectSprays R's own, dobson that of ?glm (Dobson 1990); regress_units.csv is
# made up by the seed below: units in sites, by mode, tree and years.
suppressMessages({library(MASS); library(sandwich); library(clubSandwich)})
options(digits = 15)

set.seed(905)
units <- do.call(rbind, lapply(1:14, function(s) {
  n <- sample(2:4, 1); years <- if (s <= 8) c("1", "2") else "4"
  soil <- exp(0.6 * rnorm(1))
  do.call(rbind, lapply(seq_len(n), function(u) {
    area <- round(runif(1, 0.01, 0.06), 4)
    d <- expand.grid(mode = c("saprotrophic", "host-associated"), tree = c("birch", "fir", "pine"), years = years)
    mu <- area * 90 * soil * c(1, 0.6)[as.integer(d$mode)] * c(1, 0.5, 1.6)[as.integer(d$tree)] * c("1" = 1, "2" = 0.5, "4" = 0.15)[as.character(d$years)]
    d$count <- rnegbin(nrow(d), mu, 0.8); d$area <- area; d$site <- s; d
  }))
}))
units$years <- factor(units$years, levels = c("1", "2", "4"))
write.csv(units, "regress_units.csv", row.names = FALSE, quote = FALSE)

out <- list()
say <- function(case, quantity, name, value) out[[length(out) + 1]] <<- data.frame(case = case, quantity = quantity, name = name, value = format(value, digits = 14))

# whitened is the last step of iterated weighted least squares as a linear
# model with errors of equal variance: what the package takes CR2 of.
whitened <- function(fit, offset) {
  w <- fit$weights; mu <- fitted(fit); z <- fit$linear.predictors - offset + (fit$y - mu) / mu
  zw <- sqrt(w) * z; Xw <- sqrt(w) * model.matrix(fit)
  lm(zw ~ 0 + Xw)
}

robust <- function(case, fit, cluster, offset = 0, tests = list()) {
  names <- names(coef(fit))
  cl <- sqrt(diag(vcovCL(fit, cluster = cluster, type = "HC0", cadjust = TRUE)))
  c1 <- sqrt(diag(vcovCR(fit, cluster = cluster, type = "CR1")))
  g2 <- sqrt(diag(vcovCR(fit, cluster = cluster, type = "CR2")))
  lin <- whitened(fit, offset)
  v2 <- vcovCR(lin, cluster = cluster, type = "CR2")
  ct <- coef_test(lin, vcov = v2, test = "Satterthwaite")
  df <- if (!is.null(ct$df_Satt)) ct$df_Satt else ct$df
  for (i in seq_along(names)) {
    say(case, "sandwich", names[i], cl[i]); say(case, "CR1", names[i], c1[i]); say(case, "CR2glm", names[i], g2[i])
    say(case, "CR2", names[i], sqrt(diag(v2))[i]); say(case, "df", names[i], df[i])
  }
  for (term in base::names(tests)) {
    at <- which(names %in% grep(tests[[term]], names, value = TRUE))
    w <- Wald_test(lin, constraints = constrain_zero(at), vcov = v2, test = "HTZ")
    say(case, "HTZ F", term, w$Fstat); say(case, "HTZ df", term, w$df_denom); say(case, "HTZ p", term, w$p_val)
  }
}

plain <- function(case, fit) {
  s <- summary(fit)$coefficients
  for (i in rownames(s)) { say(case, "coef", i, s[i, 1]); say(case, "se", i, s[i, 2]) }
  say(case, "deviance", "", deviance(fit)); say(case, "aic", "", AIC(fit)); say(case, "logLik", "", as.numeric(logLik(fit)))
  if (!is.null(fit$theta)) { say(case, "theta", "", fit$theta); say(case, "theta se", "", fit$SE.theta) }
}

lr <- function(case, term, full, less) say(case, "LR", term, 2 * as.numeric(logLik(full) - logLik(less)))

tight <- glm.control(epsilon = 1e-14, maxit = 100)
nb <- function(formula, data) { environment(formula) <- environment(); f <- glm.nb(formula, data = data, control = tight); f }

q <- nb(Days ~ Eth + Sex + Age + Lrn, quine); plain("quine", q)
robust("quine", q, rep(1:16, length.out = nrow(quine)), tests = list(Age = "^Age"))
lr("quine", "Age", q, nb(Days ~ Eth + Sex + Lrn, quine)); lr("quine", "Eth", q, nb(Days ~ Sex + Age + Lrn, quine))
plain("quine nested", nb(Days ~ Sex/(Age + Eth*Lrn), quine))

w <- glm(breaks ~ wool + tension, poisson, warpbreaks, control = tight); plain("warpbreaks", w)
robust("warpbreaks", w, rep(1:9, 6), tests = list(tension = "^tension"))
plain("warpbreaks crossed", glm(breaks ~ wool * tension, poisson, warpbreaks, control = tight))
i <- glm(count ~ spray, poisson, InsectSprays, control = tight); plain("insectsprays", i)
robust("insectsprays", i, rep(1:12, 6), tests = list(spray = "^spray"))

e <- read.csv("regress_epil.csv"); e$trt <- factor(e$trt, levels = c("placebo", "progabide"))
p <- glm(y ~ lbase*trt + lage + V4, poisson, e, control = tight); plain("epil", p); robust("epil", p, e$subject)
n <- nb(y ~ lbase*trt + lage + V4, e); plain("epil nb", n); robust("epil nb", n, e$subject)

counts <- c(18, 17, 15, 20, 10, 20, 25, 13, 12)
dobson <- data.frame(counts, outcome = gl(3, 1, 9), treatment = gl(3, 3))
plain("dobson", glm(counts ~ outcome + treatment, poisson, dobson, control = tight))

u <- nb(count ~ mode + tree + years + mode:tree + offset(log(area)), units); plain("units", u)
robust("units", u, units$site, log(units$area), list(years = "^years", tree = "^tree(fir|pine)$", "mode:tree" = ":"))
lr("units", "years", u, nb(count ~ mode + tree + mode:tree + offset(log(area)), units))
# A mean that is the same within each cluster, where the two forms of CR2 agree.
flat <- aggregate(count ~ site + years, units[units$years != "2", ], sum)
flat <- flat[rep(seq_len(nrow(flat)), each = 2), ]; flat$count <- flat$count %/% 3 + rep(0:1, length.out = nrow(flat))
write.csv(flat, "regress_flat.csv", row.names = FALSE, quote = FALSE)
f <- glm(count ~ years, poisson, flat, control = tight); plain("flat", f); robust("flat", f, flat$site)

write.csv(do.call(rbind, out), "regress_expected.csv", row.names = FALSE, quote = TRUE)
