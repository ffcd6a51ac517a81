package lines

import (
	"fmt"
	"math"
)

// standardError of a share of 0.95.
func standardError(surveys float64) float64 { return math.Sqrt(0.95 * 0.05 / surveys) }

var simulationHead = fmt.Sprintf(`# How often the intervals hold the truth

Surveys of land whose density is known, and the share of their 95 %% intervals
that held it. Made by

    go test ./stats/detect/lines -run TestSimulationTable -simulate -timeout 3h

with seed %d: survey i draws with PCG(seed, i), so that the table comes out the
same on any machine. A share of 0.95 out of %d surveys has a standard error of
%.4f, out of %d one of %.4f, out of %d one of %.4f. The tests run a short form with the same seed.

`, seed, surveysByDelta, standardError(surveysByDelta), surveysByReplay, standardError(surveysByReplay), surveysByChoice, standardError(surveysByChoice)) + `| world | method | surveys | finds | held | truth below | truth above | bias | log width | no interval |
|---|---|---|---|---|---|---|---|---|---|
`

const simulationFoot = `
- **held**: share of intervals with the truth inside; *truth below* and *above*: shares of the misses on either side.
- **bias**: mean of estimate over truth, less 1. **log width**: mean of log(upper / lower). **no interval**: surveys
  that gave none, left out of the shares.
- **delta** is Survey.Density with the model named, or chosen. **bootstrap** is Survey.Bootstrap with 199 samples of the lines,
  where the model is chosen again in every sample if it was chosen from several, and **averaged** the same with the mean over the
  models by their Akaike weights.

## The worlds

14 lines of 200 to 540 m, 20 m to either side, 7.8 objects per ha: 60 to 80 finds in a survey. Objects lie at random
(Poisson), or, *clumped*, with a density that varies from line to line by a gamma factor of variance 0.25.

- *half-normal*: scale 7 m. *hazard-rate*: scale 7 m, shape 3. *covariate*: two observers on alternate lines, half-normal with scales of 9
  and 5 m, fitted with the observer as covariate.
- *groups*: 1 to about 20 objects, seen from farther the larger they are; sizes regressed on the chance to be seen, or their log
  as a covariate of the scale.
- *trend*: the density rises from 0.3 to 1.7 of its mean along the layout.
- *few*: 6 lines with about 30 finds, fewer than advised.
- *in classes*: distances recorded as one of five, with borders at 2, 5, 9, 14 and 20 m.
- *chosen among the keys*: by AIC from half-normal, hazard-rate and uniform, as a survey that asks for nothing does.
- *chosen with and without*: by AIC from the keys, and the half-normal and hazard-rate with the observer too.
- *chosen by AIC* from half-normal, half-normal + cosine(2), hazard-rate and uniform + cosine(1).
- *longleaf pines*: the 584 trees mapped on 4 ha by Platt, Evans & Rathbun (1988), American Naturalist 131: 491-525, with 14
  lines of 100 m at random; half-normal with a scale of 1.5 m within 5 m.

## What follows

- With the model known, the delta method holds 0.935 to 0.955 in the half-normal, hazard-rate and covariate worlds, clumped or
  not, in classes and among the pines. The bootstrap with log-normal limits holds 0.93 to 0.96 there. Its percentiles hold 0.92 to
  0.95, for which log-normal limits are the default.
- A model chosen by AIC is not known: the delta method then holds 0.88 to 0.925, and its result carries the warning
  model-chosen. The bootstrap that chooses again in every sample holds 0.96 to 0.985, the average over the models 0.96 to 0.965
  with limits nearer by a twentieth to a tenth. Either is to be preferred; both err on the wide side.
- Sizes that decide how far a group is seen belong in the model as a covariate (0.93 to 0.945). The regression finds 8 % too few
  objects and holds 0.90, for it takes sizes to be log-normal and straight in the chance to be seen; its warning, size-bias, says so.
- Along a trend R2 holds too much, being as wide as if lines lay at random. O2 takes the trend out, by the delta method (0.945) and,
  as the difference to R2, in log-normal limits of the bootstrap (0.92, from 400 surveys); its percentiles know nothing of the layout.
- Six lines and 30 finds are too few for the bootstrap (0.92 and less), and carry the warnings few-transects and few-detections.
`
