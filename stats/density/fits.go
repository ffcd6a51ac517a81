package density

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"sync"
)

// Fits keeps the likelihoods of the models of clumping for samples that were met before,
// so that the same counts on the same areas are fitted once: a stratum that burned
// in one year is the same sample in that year and in all, and a group of finds often
// the same as a wider one. The zero value is ready, for any number of goroutines.
type Fits struct{ byContent sync.Map } // func() *likelihoods by digest

// likelihoods are those of the models in one stratum, adjusted as profileK: of kGrid,
// inflatedGrid and sigmaGrid.
type likelihoods struct {
	profile, inflated []float64
	lognormal         []*heavyTail

	once     sync.Once
	clumping []clumping // under each of logPriors
}

// noLikelihoods are those of a stratum that tells nothing.
var noLikelihoods = newLikelihoods()

func newLikelihoods() *likelihoods {
	l := &likelihoods{profile: make([]float64, len(kGrid)), inflated: make([]float64, len(inflatedGrid)), lognormal: make([]*heavyTail, len(sigmaGrid))}
	for g := range l.lognormal {
		l.lognormal[g] = &heavyTail{}
	}
	return l
}

// of are the likelihoods of counts and areas; fit finds them where they are not known.
// Without Fits they are found each time.
func (f *Fits) of(t totals, fit func() *likelihoods) *likelihoods {
	if f == nil {
		return fit()
	}
	kept, _ := f.byContent.LoadOrStore(t.digest(), sync.OnceValue(fit))
	return kept.(func() *likelihoods)()
}

// digest tells samples apart by what they hold, in the order of totals.
func (t totals) digest() [sha256.Size]byte {
	content := make([]byte, 0, 16*len(t.count))
	for i, y := range t.count {
		content = binary.LittleEndian.AppendUint64(content, math.Float64bits(y))
		content = binary.LittleEndian.AppendUint64(content, math.Float64bits(t.area[i]))
	}
	return sha256.Sum256(content)
}
