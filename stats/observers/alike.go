package observers

import (
	"encoding/binary"
	"math"
	"slices"
)

// alike is which finds the model does not tell apart: those of the same observers with the
// same covariates.
type alike struct {
	of      []int        // of each find
	factors []correction // of each of these
}

// correction is an inverse probability of detection with its gradient by the parameters.
type correction struct {
	factor   float64
	gradient []float64
}

// findAlike finds the corrections of all finds.
func (f *Fit) findAlike() alike {
	d := f.design.data
	a := alike{of: make([]int, d.len())}
	at := map[string]int{}
	var key []byte
	for i := range a.of {
		key = key[:0]
		for _, j := range d.over(i) {
			key = binary.AppendUvarint(key, uint64(j))
		}
		for _, c := range f.design.columns {
			if c.covariate >= 0 {
				key = binary.LittleEndian.AppendUint64(key, math.Float64bits(d.Covariates[c.covariate].Values[i]))
			}
		}
		k, known := at[string(key)]
		if !known {
			k = len(a.factors)
			at[string(key)] = k
			a.factors = append(a.factors, f.correctionOf(i))
		}
		a.of[i] = k
	}
	return a
}

func (f *Fit) correctionOf(i int) correction {
	p, gradient := f.Chance(i)
	for k := range gradient {
		gradient[k] /= -p * p
	}
	return correction{1 / p, gradient}
}

// CorrectionFactor is the inverse probability of detection, 1/p*_i of find i,
// with its gradient by the parameters, -p*_i'/p*_i^2.
func (f *Fit) CorrectionFactor(i int) (factor float64, gradient []float64) {
	a := f.alike()
	c := a.factors[a.of[i]]
	return c.factor, slices.Clone(c.gradient)
}
