package lines

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Portion is a part of a replayed survey: some of its lines, in strata of their
// own, with the replicates of all. It is read-only once made, so it may be used
// by many goroutines.
type Portion struct {
	replay *Replay
	part   Survey
	tally  tally
	piece  []int // in the replay, of each transect of the part
	// effort is what each replicate walked in each stratum of the part, m.
	effort [][]float64
	asIs   []float64
}

// Portion makes a portion of the survey's lines: from has the place in the
// survey of each transect of the part. Detections are those of the survey; On
// of the part says which of its transects each lies on, any place for those
// elsewhere.
//
// Errors are those of [Survey.Density]. It panics on places out of range and
// slices of unequal length.
func (r *Replay) Portion(part Survey, from []int) (*Portion, error) {
	if len(from) != len(part.Transects) {
		panic("lines: slice length mismatch")
	}
	if err := part.check(r.fits[0].Sample()); err != nil {
		return nil, err
	}
	p := &Portion{replay: r, part: part, tally: part.tally(r.fits[0])}
	for _, i := range from {
		p.piece = append(p.piece, r.of[i])
	}
	for _, d := range r.draws {
		p.effort = append(p.effort, p.walked(d))
	}
	p.asIs = p.walked(r.asIs)
	return p, nil
}

// walked is the effort of a draw by stratum of the part.
func (p *Portion) walked(d draw) []float64 {
	effort := make([]float64, len(p.part.Strata))
	for i, t := range p.part.Transects {
		effort[t.Stratum] += d.times[p.piece[i]] * t.effort()
	}
	return effort
}

// Counted is [Survey.Counted] of the part, with the standard error and
// the limits of the replicates in place of the delta method's. The detection
// function is refitted to all lines of the survey in each. Where nothing of the
// kind was found the limits are those of Survey.Counted.
//
// Replicates that drew no line of a stratum of the part are left out; more than a
// tenth of them gives a warning. The variance has no parts. Errors and panics
// are those of Survey.Counted.
func (p *Portion) Counted(counted []float64) (Counting, error) {
	r := p.replay
	c, err := p.part.Counted(r.fits[0], counted, r.o.Options)
	if err != nil || c.N == 0 {
		return c, err
	}
	finds := p.finds(counted)
	asIs := r.reading(r.asIs).inverse
	replicates, rates := make([]float64, len(r.draws)), make([]float64, len(r.draws))
	for i, d := range r.draws {
		replicates[i], rates[i] = p.density(d, p.effort[i], finds, asIs)
	}
	value := c.Density.Value
	if r.o.Averaged {
		value, _ = p.density(r.asIs, p.asIs, finds, asIs)
	}
	of := func(d draw) float64 {
		v, _ := p.density(d, p.walked(d), finds, asIs)
		return v
	}
	c.Density = r.estimate(c.Density, value, between(c.Parts, rates), replicates, of)
	c.Density.Warnings = slices.Concat(p.lost(replicates), r.carried(c.Density.Warnings))
	c.Parts = nil
	return c, nil
}

// find is what a detection adds to a stratum of the part.
type find struct {
	stratum, piece, class int
	objects               float64
}

func (p *Portion) finds(counted []float64) []find {
	var list []find
	t := p.tally
	for j, i := range t.used {
		if counted[i] > 0 {
			stratum := p.part.Transects[p.part.On[i]].Stratum
			list = append(list, find{stratum, p.replay.row[j], p.replay.class[j], counted[i]})
		}
	}
	return list
}

// density is that of a kind in one draw, and what it would be with the inverse
// half-widths of the survey as it is; NaN where they cannot be had.
func (p *Portion) density(d draw, effort []float64, finds []find, asIs []float64) (value, rate float64) {
	if d.selected < 0 {
		return math.NaN(), math.NaN()
	}
	for h, w := range p.tally.weights {
		if w > 0 && effort[h] == 0 {
			return math.NaN(), math.NaN()
		}
	}
	inverse := p.replay.reading(d).inverse
	for _, f := range finds {
		if w := p.tally.weights[f.stratum]; w > 0 {
			objects := w * d.times[f.piece] * f.objects / effort[f.stratum]
			value += objects * inverse[f.class]
			rate += objects * asIs[f.class]
		}
	}
	return value, rate
}

// lost tells of replicates left out.
func (p *Portion) lost(replicates []float64) []stats.Warning {
	const many = 10 // one in so many
	lost := 0
	for _, v := range replicates {
		if math.IsNaN(v) {
			lost++
		}
	}
	if lost*many <= len(replicates) && p.replay.failed == 0 {
		return nil
	}
	return []stats.Warning{warn(FailedRefits, "%d of %d bootstrap samples could not be fitted or drew no line of some stratum, and were left out",
		lost, len(replicates))}
}
