# Reference values for stats/permute: p-values of permutation tests with every
# arrangement written out. Writes permute.csv beside itself.
#
#   cd testdata/reference && Rscript permute.R
#
# R 4.2.2, base alone. Darwin's plants are those of Fisher (1935), The Design of
# Experiments, section 17 (from memory); the other counts are made up.
options(digits = 15)
out <- NULL
add <- function(case, arrangements, statistic, p) out <<- rbind(out, data.frame(case = case,
  arrangements = arrangements, statistic = format(statistic, digits = 17), p = format(p, digits = 17)))
as_extreme <- function(v, seen) v >= seen - 1e-9 * max(abs(seen), 1e-9)

deviance <- function(y, a) { e <- sum(y) * a / sum(a); 2 * sum(ifelse(y > 0, y * log(y / e), 0)) }
# a thousandth of the same for square roots tells apart arrangements that tie
densities <- function(class, finds, area) {
  of <- function(y) deviance(tapply(y, class, sum), tapply(area, class, sum))
  of(finds) + 1e-3 * of(sqrt(finds))
}
ratios <- function(class, a, b) {
  of <- function(a, b) {
    n <- tapply(a + b, class, sum)
    deviance(tapply(a, class, sum), n) + deviance(tapply(b, class, sum), n)
  }
  of(a, b) + 1e-3 * of(sqrt(a), sqrt(b))
}

# dealt lists every way to deal the labels anew: distinct permutations.
dealt <- function(labels) {
  if (length(unique(labels)) == 1) return(matrix(labels, 1))
  do.call(rbind, lapply(sort(unique(labels)), function(l) {
    rest <- labels[-match(l, labels)]
    cbind(l, dealt(rest), deparse.level = 0)
  }))
}

# Darwin's fifteen pairs of maize, crossed less self-fertilised, in eighths of an inch.
d <- c(49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48)
signs <- as.matrix(expand.grid(rep(list(c(1, -1)), length(d))))
sums <- abs(signs %*% d)
add("darwin", nrow(signs), abs(sum(d)), mean(as_extreme(sums, abs(sum(d)))))

# two kinds on the same units, exchanged in each
first <- c(1, 3, 12, 1, 2, 7, 2, 19, 25, 4); base <- c(4, 2, 6, 3, 5, 9, 1, 3, 8, 0)
signs <- as.matrix(expand.grid(rep(list(c(1, -1)), length(first))))
modes <- function(s) abs(sum(s * (first - base))) + 1e-3 * abs(sum(s * (sqrt(first) - sqrt(base))))
m <- apply(signs, 1, modes)
add("modes", nrow(signs), modes(rep(1, 10)), mean(as_extreme(m, modes(rep(1, 10)))))

# two classes
finds <- c(0, 3, 12, 1, 0, 7, 2, 19, 25, 4, 11); area <- c(3, 3, 3, 2, 3, 3, 3, 3, 2, 3, 3)
class <- c(0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1)
all <- dealt(class)
g <- apply(all, 1, densities, finds = finds, area = area)
add("two", nrow(all), densities(class, finds, area), mean(as_extreme(g, densities(class, finds, area))))

# three classes
class3 <- c(0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2)
all <- dealt(class3)
g <- apply(all, 1, densities, finds = finds, area = area)
add("three", nrow(all), densities(class3, finds, area), mean(as_extreme(g, densities(class3, finds, area))))

# two blocks: every arrangement of the one with every one of the other
block <- c(0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1); classB <- c(0, 1, 0, 1, 1, 0, 0, 1, 1, 1, 0)
one <- dealt(classB[block == 0]); two <- dealt(classB[block == 1])
g <- unlist(lapply(seq_len(nrow(one)), function(i) apply(two, 1, function(t) densities(c(one[i, ], t), finds, area))))
add("blocks", nrow(one) * nrow(two), densities(classB, finds, area), mean(as_extreme(g, densities(classB, finds, area))))

# ratio of two kinds; every item has a find
a <- c(1, 3, 12, 1, 2, 7, 2, 19, 25, 4); b <- c(4, 2, 6, 3, 5, 9, 1, 3, 8, 0)
class <- c(0, 0, 0, 0, 0, 1, 1, 1, 1, 1)
all <- dealt(class)
g <- apply(all, 1, ratios, a = a, b = b)
add("ratio", nrow(all), ratios(class, a, b), mean(as_extreme(g, ratios(class, a, b))))

write.csv(out, "permute.csv", row.names = FALSE, quote = FALSE)
