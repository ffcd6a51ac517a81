package permute

import "ashtally/stats/random"

// dealtAtOnce is how many arrangements have a word in a line of the processor's cache.
const dealtAtOnce = 8

// dealing is some arrangements drawn, and their sums by label. All labels of a block but
// the commonest are dealt and added up; the commonest has what is left of the block's.
type dealing struct {
	*bySums
	sources [together]random.Source // of each arrangement
	sums    []float64               // by arrangement, then label

	free   []uint64 // of one arrangement in one block
	masks  []uint64 // of dealtAtOnce
	dealt  []uint64 // of all in one block, by word, then arrangement, then label
	added  []row
	tables tables
}

func newDealing(b *bySums) *dealing {
	words, labels, masks := 0, 0, 0
	for i := range b.blocks {
		block := &b.blocks[i]
		words, labels, masks = max(words, block.words()), max(labels, len(block.runs)), max(masks, block.words()*len(block.runs))
	}
	return &dealing{
		bySums: b, sums: make([]float64, together*b.number*b.width), free: make([]uint64, words), masks: make([]uint64, dealtAtOnce*masks),
		dealt: make([]uint64, together*masks), added: make([]row, together*labels),
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
		for r := range n {
			add(1, d.whole[i], d.sumsOf(d.arrangement(r), block.rest))
		}
		added := d.added[:n*len(block.runs)]
		for c, items := range d.columns[i] {
			clear(added)
			d.tables.addAll(items, d.dealt, added)
			for r := range n {
				d.share(block, lanes*c, added[r*len(block.runs):], d.arrangement(r))
			}
		}
	}
}

// arrangement are the sums of an arrangement by label.
func (d *dealing) arrangement(r int) []float64 {
	return d.sums[r*d.number*d.width:][:d.number*d.width]
}

// share adds the sums of the labels dealt, of some columns, and takes them from the rest.
func (d *dealing) share(b *block, column int, added []row, sums []float64) {
	rest := d.sumsOf(sums, b.rest)[column:]
	for k, run := range b.runs {
		own := d.sumsOf(sums, b.others[run.from])[column:]
		for i, v := range added[k][:min(lanes, len(own))] {
			own[i] += v
			rest[i] -= v
		}
	}
}

// deal draws the arrangements of a block, a few at a time, so that what is written to one
// place of the memory is written at once.
func (d *dealing) deal(b *block, n int) {
	words, labels := b.words(), len(b.runs)
	size := labels * words
	for first := 0; first < n; first += dealtAtOnce {
		few := min(dealtAtOnce, n-first)
		for r := range few {
			b.deal(&d.sources[first+r], d.free[:words], d.masks[r*size:][:size])
		}
		for w := range words {
			to := d.dealt[(w*n+first)*labels:][:few*labels]
			for r := range few {
				for k := range labels {
					to[r*labels+k] = d.masks[r*size+k*words+w]
				}
			}
		}
	}
}
