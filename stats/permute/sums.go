package permute

import "ashtally/stats/random"

// bySums are the statistics of arrangements of labels that see nothing of one but
// the sums of the items' values by label.
type bySums struct {
	labels
	width  int         // values of an item
	values []float64   // item by item
	number int         // of labels
	whole  [][]float64 // sums of each block
}

func newBySums(s labels, number int, values [][]float64) *bySums {
	b := &bySums{labels: s, width: len(values), number: number, values: make([]float64, len(values)*s.items())}
	for k, column := range values {
		for i, v := range column {
			b.values[i*b.width+k] = v
		}
	}
	for _, block := range s.blocks {
		whole := make([]float64, b.width)
		for _, i := range block.items {
			add(1, b.of(int(i)), whole)
		}
		b.whole = append(b.whole, whole)
	}
	return b
}

// of are the values of an item, or the sums of a label.
func (b *bySums) of(i int) []float64 { return b.values[i*b.width:][:b.width] }

func (b *bySums) sumsOf(sums []float64, label int) []float64 { return sums[label*b.width:][:b.width] }

// arranged are the sums of an arrangement.
func (b *bySums) arranged(label []int) []float64 {
	sums := make([]float64, b.number*b.width)
	for i, l := range label {
		add(1, b.of(i), b.sumsOf(sums, l))
	}
	return sums
}

// drawn returns what a statistic of the sums gives for arrangements drawn at random. It
// deals and adds all labels of a block but the commonest, whose sums are what is
// left of the block's. The statistic must not keep the sums.
func (b *bySums) drawn(o Options, statistic func(sums []float64) []float64) [][]float64 {
	return inParallel(o, func() func(*random.Source) []float64 {
		var pool []int32
		sums, dealt := make([]float64, b.number*b.width), make([]float64, b.width)
		return func(random *random.Source) []float64 {
			clear(sums)
			for k := range b.blocks {
				block := &b.blocks[k]
				rest := b.sumsOf(sums, block.rest)
				add(1, b.whole[k], rest)
				if len(block.others) == 0 {
					continue
				}
				pool = block.shuffle(random, pool)
				for _, run := range block.runs {
					b.dealt(pool[run.from:run.to], dealt)
					add(1, dealt, b.sumsOf(sums, block.others[run.from]))
					add(-1, dealt, rest)
				}
			}
			return statistic(sums)
		}
	})
}

// dealt writes the sums of some items. Those of six values, as the tests of this
// package have, stay in registers.
func (b *bySums) dealt(items []int32, to []float64) {
	if b.width == 6 {
		var s0, s1, s2, s3, s4, s5 float64
		for _, item := range items {
			v := (*[6]float64)(b.values[int(item)*6:])
			s0, s1, s2, s3, s4, s5 = s0+v[0], s1+v[1], s2+v[2], s3+v[3], s4+v[4], s5+v[5]
		}
		copy(to, []float64{s0, s1, s2, s3, s4, s5})
		return
	}
	clear(to)
	for _, item := range items {
		add(1, b.of(int(item)), to)
	}
}

// test holds each statistic of the sums against those of other arrangements.
func (b *bySums) test(o Options, statistic func(sums []float64) []float64) []Result {
	o = o.settled()
	observed := make([]int, b.items())
	b.observed(observed)
	var values [][]float64
	exact := b.Size() <= o.Limit
	var list []Result
	for k, seen := range statistic(b.arranged(observed)) {
		list = append(list, hold(b, seen, func() ([]float64, bool) {
			switch {
			case values != nil:
			case exact:
				values, _ = Values(b, o, func(label []int) []float64 { return statistic(b.arranged(label)) })
			default:
				values = b.drawn(o, statistic)
			}
			column := make([]float64, len(values))
			for i := range values {
				column[i] = values[i][k]
			}
			return column, exact
		}))
	}
	return list
}
