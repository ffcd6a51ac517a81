package detect

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "write SPIKES.md anew")

const (
	spikeSeed  = 2031
	spikeTimes = 200
	spikeCells = 400 // of the distances within spikeWidth
	bestTimes  = 4000
	soundTold  = 0.06
)

// profile is the share of the detections in each of cells of equal width.
type profile []float64

// cellsOf are those of a detection function.
func cellsOf(g func(x float64) float64) profile {
	c := make(profile, spikeCells)
	var sum float64
	for i := range c {
		c[i] = g((float64(i) + 0.5) * spikeWidth / spikeCells)
		sum += c[i]
	}
	for i := range c {
		c[i] /= sum
	}
	return c
}

func halfNormalCells(scale float64) profile {
	return cellsOf(func(x float64) float64 { return math.Exp(-x * x / (2 * scale * scale)) })
}

func hazardCells(scale, shape float64) profile {
	return cellsOf(func(x float64) float64 { return -math.Expm1(-math.Pow(x/scale, -shape)) })
}

// and has a share of the detections from c and the others from the other.
func (c profile) and(share float64, other profile) profile {
	sum := make(profile, len(c))
	for i := range sum {
		sum[i] = share*c[i] + (1-share)*other[i]
	}
	return sum
}

// told is the share of surveys of n detections that tell of a spike.
func (c profile) told(n int) float64 {
	draw := statstest.Sampler(c)
	w := distancesFrom{"", func(r *rand.Rand) float64 { return (float64(draw(r)) + r.Float64()) * spikeWidth / spikeCells }}
	return w.told(n, spikeTimes)
}

// nearestShoulder is that of the shoulders of [spike] from which c is hardest to tell.
func (c profile) nearestShoulder() (nearest profile, name string) {
	least := math.Inf(1)
	try := func(s profile, text string, args ...any) {
		if d := statstest.Divergence(c, s); d < least {
			least, nearest, name = d, s, fmt.Sprintf(text, args...)
		}
	}
	for scale := 1.0; scale < 20; scale *= 1.05 {
		wide := halfNormalCells(scale)
		try(wide, "half-normal of %.1f m", scale)
		narrow := halfNormalCells(leastLevel * scale)
		for share := 0.1; share < 0.95; share += 0.1 {
			try(narrow.and(share, wide), "half-normals of %.1f and %.1f m", leastLevel*scale, scale)
		}
		for _, shape := range []float64{leastHazard, 3, 4} {
			try(hazardCells(scale, shape), "hazard-rate of %.1f m, shape %g", scale, shape)
		}
	}
	return nearest, name
}

// TestSpikes holds SPIKES.md to the program, and the program to its purpose: told of
// at most 6 of 100 surveys with a shoulder and, at 150 detections, of at least 90
// with a spike of half of them, at most a fifth as wide as the rest.
func TestSpikes(t *testing.T) {
	wide := halfNormalCells(7)
	half := func(narrow float64, rest profile) profile { return halfNormalCells(narrow).and(0.5, rest) }
	kinds := []struct {
		name   string
		spiked bool // half of the detections, at most a fifth as wide
		profile
	}{
		{"half-normal of 7 m", false, wide},
		{"half-normal that reaches the edge, 20 m", false, halfNormalCells(20)},
		{"uniform", false, cellsOf(func(float64) float64 { return 1 })},
		{"two observers, half-normals of 5 and 9 m", false, half(5, halfNormalCells(9))},
		{"hazard-rate of 7 m, shape 3", false, hazardCells(7, 3)},
		{"hazard-rate of 5 m, shape 2.5", false, hazardCells(5, 2.5)},
		{"hazard-rate of 2.7 m, shape 2.5", false, hazardCells(2.7, 2.5)},
		{"half in a spike a tenth as wide, 0.7 m", true, half(0.7, wide)},
		{"half in a spike a fifth as wide, 1.4 m", true, half(1.4, wide)},
		{"half in a spike a fifth as wide, 2 m beside 10 m", true, half(2, halfNormalCells(10))},
	}
	borders := []struct {
		name string
		profile
	}{
		{"a third in a spike a fifth as wide, 1.4 m", halfNormalCells(1.4).and(1.0/3, wide)},
		{"half in a spike of 1.4 m beside a hazard-rate of 7 m, shape 3", half(1.4, hazardCells(7, 3))},
		{"half in a spike a quarter as wide, 1.75 m", half(1.75, wide)},
		{"half in one a third as wide, 2.3 m", half(7.0/3, wide)},
		{"hazard-rate of 4 m, shape 2", hazardCells(4, 2)},
		{"hazard-rate of 4 m, shape 1.5", hazardCells(4, 1.5)},
		{"exponential of 4 m", cellsOf(func(x float64) float64 { return math.Exp(-x / 4) })},
	}
	table := statstest.MadeTable{Path: "SPIKES.md", Again: []int{6, 8}, Head: fmt.Sprintf(spikesHead, spikeSeed, spikeTimes, bestTimes)}
	for _, k := range kinds {
		table.Rows = append(table.Rows, func() string {
			row, told := k.row(k.spiked)
			for i, p := range told {
				if !k.spiked && p > soundTold || k.spiked && spikeSizes[i] >= 150 && p < 0.9 {
					t.Errorf("%s, %d detections: a spike in %.3f", k.name, spikeSizes[i], p)
				}
			}
			return fmt.Sprintf("| %s%s", k.name, row)
		})
	}
	for _, k := range borders {
		table.Rows = append(table.Rows, func() string {
			row, _ := k.row(true)
			return fmt.Sprintf("| %s%s", k.name, row)
		})
	}
	table.Hold(t, *update)
}

var spikeSizes = []int{30, 60, 150, 600}

// row is what follows the name in SPIKES.md.
func (c profile) row(spiked bool) (row string, told []float64) {
	var b strings.Builder
	for _, n := range spikeSizes {
		told = append(told, c.told(n))
		fmt.Fprintf(&b, " | %.3f", told[len(told)-1])
	}
	if !spiked {
		return b.String() + " | | | | |\n", told
	}
	nearest, name := c.nearestShoulder()
	for _, n := range spikeSizes[:3] {
		best := statstest.Best{Sound: nearest, Other: c, Level: soundTold, Of: func(*rand.Rand) int { return n }, Times: bestTimes, Seed: spikeSeed}
		fmt.Fprintf(&b, " | %.3f", best.Power())
	}
	fmt.Fprintf(&b, " | %s |\n", name)
	return b.String(), told
}

const spikesHead = `# How often a spike beside the line is told of

Made by

    nice go test ./stats/detect -run TestSpikes -update

with seed %d and %d surveys of each kind and number of detections, within 20 m of the line. The
first rows have a shoulder and should not be told of; then come spikes, which hold half
of the detections in a half-normal a fifth as wide as the rest or less; the last rows lie between.

- **30, 60, 150, 600**: share of surveys with so many detections that are told of.
- **best at**: the power of the likelihood-ratio test that knows both the kind and the shoulder
  nearest to it, **nearest** (the least divergence of Kullback and Leibler), at 6 %% told with
  that shoulder, from %d surveys. By the lemma of Neyman and Pearson no test that
  keeps to 6 %% there tells of more.

| distances | 30 | 60 | 150 | 600 | best at 30 | best at 60 | best at 150 | nearest |
|---|---|---|---|---|---|---|---|---|
`
