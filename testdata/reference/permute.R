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

# A place is a class with a weight: places[[label]] = c(class, weight). Finds per area
# move, areas stay. A thousandth of the same for square roots tells apart arrangements
# that tie.
densities <- function(label, finds, area, places, seen) {
  mean_area <- tapply(area, seen, mean)
  wa <- places[2, label] * mean_area[label]; class <- places[1, label]
  wa_seen <- places[2, seen] * mean_area[seen]; class_seen <- places[1, seen]
  size <- tapply(wa_seen, class_seen, sum)^2 / tapply(places[2, seen] * wa_seen, class_seen, sum)
  apart <- function(y) {
    d <- tapply(wa * y / area, class, sum) / tapply(wa, class, sum)
    first <- tapply(wa_seen * y / area, class_seen, sum) / tapply(wa_seen, class_seen, sum)
    sum(size * (d - weighted.mean(d, size))^2) / weighted.mean(first, size)
  }
  apart(finds) + 1e-3 * apart(sqrt(finds))
}
ratios <- function(label, a, b, places) {
  w <- places[2, label]; class <- places[1, label]
  l <- v <- NULL
  for (k in sort(unique(class))) {
    i <- class == k; n <- sum(i)
    u <- sum(w[i]^2 * (a + b)[i]) / sum(w[i] * (a + b)[i])
    A <- sum(w[i] * a[i]) + u / 2; B <- sum(w[i] * b[i]) + u / 2
    l <- c(l, log(A / B))
    v <- c(v, n / (n - 1) * sum(w[i]^2 * (a[i] / A - b[i] / B)^2) + u^2 / 2 * (1 / A^2 + 1 / B^2))
  }
  sum((l - weighted.mean(l, 1 / v))^2 / v)
}
alike <- function(label) rbind(sort(unique(label)), 1) # places of weight 1, for labels from 1

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
modes <- function(s) {
  a <- ifelse(s > 0, first, base); b <- ifelse(s > 0, base, first)
  abs(log(sum(a) / sum(b))) / sqrt(sum((a / sum(a) - b / sum(b))^2))
}
m <- apply(signs, 1, modes)
add("modes", nrow(signs), modes(rep(1, 10)), mean(as_extreme(m, modes(rep(1, 10)))))

tested <- function(case, label, places, of, all = dealt(label)) {
  g <- apply(all, 1, of, places = places)
  seen <- of(label, places = places)
  add(case, nrow(all), seen, mean(as_extreme(g, seen)))
}

# two and three classes
finds <- c(0, 3, 12, 1, 0, 7, 2, 19, 25, 4, 11); area <- c(3, 3, 3, 2, 3, 3, 3, 3, 2, 3, 3)
two <- c(1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2); three <- c(1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3)
tested("two", two, alike(two), function(l, places) densities(l, finds, area, places, two))
tested("three", three, alike(three), function(l, places) densities(l, finds, area, places, three))

# two classes in three strata of unlike weight, the first class in two of them
places <- rbind(c(1, 1, 2), c(5, 2, 3)); strata <- c(1, 1, 1, 2, 2, 2, 3, 3, 3, 3, 3)
tested("weights", strata, places, function(l, places) densities(l, finds, area, places, strata))

# two blocks: every arrangement of the one with every one of the other
block <- c(0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1); classB <- c(1, 2, 1, 2, 2, 1, 1, 2, 2, 2, 1)
one <- dealt(classB[block == 0]); other <- dealt(classB[block == 1])
all <- do.call(rbind, lapply(seq_len(nrow(one)), function(i) cbind(matrix(one[i, ], nrow(other), 5, byrow = TRUE), other)))
tested("blocks", classB, alike(classB), function(l, places) densities(l, finds, area, places, classB), all)

# ratio of two kinds; every item has a find
a <- c(1, 3, 12, 1, 2, 7, 2, 19, 25, 4); b <- c(4, 2, 6, 3, 5, 9, 1, 3, 8, 0)
ten <- c(1, 1, 1, 1, 1, 2, 2, 2, 2, 2)
tested("ratio", ten, alike(ten), function(l, places) ratios(l, a, b, places))
places <- rbind(c(1, 1, 2), c(5, 2, 3)); strata10 <- c(1, 1, 2, 2, 2, 3, 3, 3, 3, 3)
tested("ratio by weights", strata10, places, function(l, places) ratios(l, a, b, places))

write.csv(out, "permute.csv", row.names = FALSE, quote = FALSE)
