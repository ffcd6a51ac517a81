package coverage

import "fmt"

const pageHead = `# Calibration of the intervals

Made from the top of the checkout by

    go run ./cmd/calibrate -samples %d -seed %d OUT

with %d samples of each world and size and seed %d, fewer where a sample costs more, as said of each figure below. The same
numbers are in calibration.csv and calibration.parquet, with the number of samples and the standard error of each.

In the tables, a cell is the share of samples whose 95 %% interval held the truth; in brackets, per thousand samples, how
often the lower limit lay above the truth and how often the upper limit lay below it (25 and 25 are wanted); then the
median width over the truth, open if most samples left the upper limit so. n is the number of independent pieces of a
sample: units, sites where there are sites, or lines; finds is how many are expected; warned is the share of samples whose
figure said that its interval may not keep its level, said wide the share whose figure said that it is on the safe side.
The standard error of a coverage of 0.95 is 0.004 from 3000 samples, 0.007 from 1000 and 0.010 from 500.
`

var aboutPlots = fmt.Sprintf(`The bootstraps have every %dth sample and %d replicates each.

![Coverage of the default interval by world](coverage-by-world.png)

![Coverage of each method](coverage-by-method.png)

Samples without finds have the exact Poisson limits, whatever the method. Plots have 100 m2 unless said; "clumped" worlds
have clumps with a Poisson number of fruit bodies scattered normally about their middle, cut by the edges of the plots;
"unequal areas" are strips that differ up to tenfold; NB2 is a clumping that does not depend on a unit's area, NB1 one that
averages out in larger units; "mapped" worlds are real populations of trees, of which every member was mapped, and stand
for no fungus: they show how the intervals do on patterns that no formula made.
`, BootstrapEvery, BootstrapReplicates)

var aboutAreas = fmt.Sprintf(`Every %drd sample is drawn. n is the number of units, or sites, in each stratum; strata differ in share up to threefold and in
density up to sevenfold. The default rests on the counts of all strata together; "of-stratum" are the limits that it gives to one
of the strata, each in turn; "log-t" is D exp(-+ t sqrt(log(1 + cv^2))) about the stratified estimate with Satterthwaite's degrees
of freedom; "nb-profile-mover", for one in %d of the samples, puts limits together from those of the strata, each by its own profile likelihood.

After the median width, x is that over the shortest that could be had: in negative binomial worlds the likelihood
interval with k known, elsewhere the middle 95 %% of the estimates. Open is the share of samples of %d finds or more whose upper
limit is not there, or over a hundred times the estimate. A coverage may leave the goal by two standard errors.

![Coverage of the default interval of areas by world](areas-by-world.png)

![The same, further worlds](areas-by-world-2.png)

![The same, further worlds](areas-by-world-3.png)

Ground of two kinds, rates that are log-normal with a standard deviation of 1.6 or more, and strata of which the denser
clumps far more than the others, are not told from milder ones by a few dozen units: there no interval of a width that says something reaches 0.93.
The figure then comes with the coverage to expect in the least favourable of these worlds.
`, AreasEvery, MoverEvery, openFromFinds)

var aboutLines = fmt.Sprintf(`With 14 lines every %drd sample is walked, with 28 every %dth, where covariates are tried half of these, and with 7 every
%dth; each with %d samples of the lines.

![Coverage of the default interval by world of lines](lines-by-world.png)

![Coverage of each method along lines](lines-by-method.png)

"averaged" draws the lines again and takes the mean over the detection functions by their Akaike weights, with log-normal
limits; "bootstrap" takes the function that is best in each draw; "delta" takes the function chosen for the only one
thought of; "percentile" reads quantiles off the draws of "averaged". Functions are chosen from the half-normal, the
hazard-rate and the uniform by AIC, as a survey that asks for nothing does, but where one is named; where a covariate is
tried, it is chosen with and without.

Lines have 200 to 540 m and are searched 20 m to either side. The half-normal has a scale of 7 m, the hazard-rate 7 m and a
shape of 3. Objects lie at random, or "clumped" by a gamma factor of variance 0.25 from line to line. Two observers on
alternate lines see with scales of 9 and 5 m. Groups have 1 to about 20 members. Across the trend the density goes from 0.3 to
1.7 of its mean; the variance “random” is as wide there as if lines lay at random, and is not held to the goal. The pines are those of the plots.

Where lines are walked by observers who see unequally far and nobody tries that as a covariate, lines with more finds are those
seen farther, and their density differs less than their finds: the limits take the two for independent, and hold the truth
0.975 of the time; a run says so by observers-untried, which the columns here do not count. "delta" of a function that was chosen holds it 0.87 to 0.94 of the time, and most of its
figures carry the warning model-chosen.
`, LinesEvery, 2*LinesEvery, 4*LinesEvery, LineReplicates)

const aboutRatios = `![Coverage of the interval of ratios by world](ratios-by-world.png)

The ratio of the densities of two kinds of finds, as host-associated over saprotrophic; finds are those of the scarcer kind.
Samples in which one kind was not found have no interval, or one that is open to one side, which holds nothing where it is not there.
On plots both kinds share the ground of a unit by a gamma of shape 0.5, and differ by site or unit as said; where they
differ by kind, the luck of each is its own. Along lines the kinds share lines and sight, and the detection function is chosen by AIC.
Each stratum beyond the first takes one from the pieces that are called few.
[CALIBRATION.md](../../compare/CALIBRATION.md) holds other ways to the degrees of freedom against that of the default.
`

const aboutAdaptive = `![Coverage of the intervals of adaptive cluster plots by world](adaptive-by-world.png)

Grids of 40 by 40 plots, each filled anew, with clumps of fruit bodies about random middles. n is the number of plots drawn;
those beside a plot that meets the threshold are searched too. The truth is the mean of the grid of each sample. Where fewer than
five networks hold finds the figure says so, and where five to twelve do, that its interval is on the safe side. [SIMULATION.md](../../adaptive/SIMULATION.md) has the errors of both estimators too.
`

const aboutChanges = `![Coverage of the interval of changes by world](changes-by-world.png)

The ratio of the density of a latter season to that of an earlier one; the truth is 0.5. n is the number of units in each season, finds
are those of the latter. A place has a factor for both seasons and one for each, drawn as said; of the units of the earlier
season a share was visited again, and the others of the latter season are new ones.
`

const aboutCrops = `![Coverage of the interval of crops by world](crops-by-world.png)

Every second plot was weighed. Fruit bodies differ in mass by a log-normal with a standard deviation of 0.6, plots by one of 0.3; "smaller
where crowded" has masses that fall with the plot's factor to the power 0.3. "share-taken" is the share that a harvest of a
quarter of the true crop takes, which has the coverage of the crop; "most-taken" is how often the harvest
that is to keep under a quarter with a chance of 0.95 does so.
`

const aboutCorrected = `![Coverage of the interval of corrected densities by world](corrected-by-world.png)

Two observers search every plot independently and see each fruit body with the probabilities said. finds are those that one of them saw.
[stats/chain/SIMULATION.md](../../../stats/chain/SIMULATION.md) has chains of detection and season.
`
