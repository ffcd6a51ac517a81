# How long the fit of 20,000 counts takes here and in MASS::glm.nb: the same
# data, model and machine, the best of five here and of three there. Writes its
# answer to regress_speed.txt beside itself.
#
#   cd testdata/reference && Rscript regress_speed.R
suppressMessages(library(MASS))
data <- tempfile(fileext = ".csv")
said <- system2("go", c("test", "../../stats/regress", "-run", "TestSpeed", "-count=1", "-speed", data, "-v"), stdout = TRUE)
ours <- strsplit(grep("^go seconds", said, value = TRUE), " ")[[1]]
d <- read.csv(data, stringsAsFactors = TRUE)
d$mode <- relevel(d$mode, "saprotrophic"); d$years <- factor(d$years)
times <- sapply(1:3, function(i) system.time(fit <<- glm.nb(count ~ mode + tree + years + mode:tree + tree:years + offset(log(area)), d))[["elapsed"]])
lines <- c(
  sprintf("rows %d, coefficients %d, R %s, MASS %s", nrow(d), length(coef(fit)), getRversion(), packageVersion("MASS")),
  sprintf("glm.nb %.2f s, logLik %.6f, theta %.6f", min(times), as.numeric(logLik(fit)), fit$theta),
  sprintf("stats/regress %.3f s, logLik %.6f, theta %.6f", as.numeric(ours[3]), as.numeric(ours[5]), as.numeric(ours[7])),
  sprintf("times faster: %.1f", min(times) / as.numeric(ours[3])))
writeLines(lines, "regress_speed.txt"); writeLines(lines)
