package permute

import "ashtally/stats/random"

// dealing is some arrangements drawn, and their sums by label. All labels of a block but
// the commonest are dealt and added up, four items at a time by tables of the sums that
// these can have; the commonest has what is left of the block's.
type dealing struct {
	*bySums
	sources [together]random.Source // of each arrangement
	sums    []float64               // by arrangement, then label

	free, masks []uint64 // of one arrangement in one block
	dealt       []uint64 // of all in one block, by word, then arrangement, then label
	added       []float64
	table       []float64
}

const (
	itemsAtOnce = 4
	tables      = 64 / itemsAtOnce // of a word
)

func newDealing(b *bySums) *dealing {
	words, labels, masks := 0, 0, 0
	for i := range b.blocks {
		block := &b.blocks[i]
		words, labels, masks = max(words, block.words()), max(labels, len(block.runs)), max(masks, block.words()*len(block.runs))
	}
	return &dealing{
		bySums: b, sums: make([]float64, together*b.number*b.width), free: make([]uint64, words), masks: make([]uint64, masks),
		dealt: make([]uint64, together*masks), added: make([]float64, together*labels*b.width), table: make([]float64, b.width*tables<<itemsAtOnce),
	}
}

// draw draws n replicates in a row.
func (d *dealing) draw(seed, first uint64, n int) {
	for r := range n {
		d.sources[r].Seed(seed, first+uint64(r))
	}
	clear(d.sums)
	for i := range d.blocks {
		block := &d.blocks[i]
		d.deal(block, n)
		added := d.added[:n*len(block.runs)*d.width]
		clear(added)
		for w := range block.words() {
			d.tabulate(block.items[64*w : min(64*w+64, len(block.items))])
			d.add(d.dealt[w*n*len(block.runs):][:n*len(block.runs)], added)
		}
		for r := range n {
			sums := d.sums[r*d.number*d.width:][:d.number*d.width]
			rest := d.sumsOf(sums, block.rest)
			add(1, d.whole[i], rest)
			for k, run := range block.runs {
				one := added[(r*len(block.runs)+k)*d.width:][:d.width]
				add(1, one, d.sumsOf(sums, block.others[run.from]))
				add(-1, one, rest)
			}
		}
	}
}

// deal draws the arrangements of a block.
func (d *dealing) deal(b *block, n int) {
	words, labels := b.words(), len(b.runs)
	for r := range n {
		b.deal(&d.sources[r], d.free[:words], d.masks[:labels*words])
		for k := range labels {
			for w := range words {
				d.dealt[(w*n+r)*labels+k] = d.masks[k*words+w]
			}
		}
	}
}

// tabulate makes the tables of the items of a word: the sum of the items whose bits are
// set in i is that of all but the lowest of them, and the lowest.
func (d *dealing) tabulate(items []int32) {
	clear(d.table)
	size := d.width << itemsAtOnce
	for at, item := range items {
		table, half := d.table[at/itemsAtOnce*size:][:size], d.width<<(at%itemsAtOnce)
		copy(table[half:2*half], table[:half])
		for from := half; from < 2*half; from += d.width {
			add(1, d.of(int(item)), table[from:])
		}
	}
}

// add adds to each sum what its bits have in the tables. Sums of six values, as the tests
// of this package have, stay in registers.
func (d *dealing) add(dealt []uint64, sums []float64) {
	if d.width == 6 {
		table := (*[6 * tables << itemsAtOnce]float64)(d.table)
		for i, bits := range dealt {
			s := (*[6]float64)(sums[6*i:])
			s0, s1, s2, s3, s4, s5 := s[0], s[1], s[2], s[3], s[4], s[5]
			for at := 0; bits != 0; at += 1 << itemsAtOnce {
				v := (*[6]float64)(table[6*(at+int(bits&(1<<itemsAtOnce-1))):])
				s0, s1, s2, s3, s4, s5 = s0+v[0], s1+v[1], s2+v[2], s3+v[3], s4+v[4], s5+v[5]
				bits >>= itemsAtOnce
			}
			*s = [6]float64{s0, s1, s2, s3, s4, s5}
		}
		return
	}
	for i, bits := range dealt {
		sum := sums[d.width*i:][:d.width]
		for at := 0; bits != 0; at += 1 << itemsAtOnce {
			for k, v := range d.table[d.width*(at+int(bits&(1<<itemsAtOnce-1))):][:d.width] {
				sum[k] += v
			}
			bits >>= itemsAtOnce
		}
	}
}
