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
					clear(dealt)
					for _, item := range pool[run.from:run.to] {
						for j, v := range b.of(int(item)) {
							dealt[j] += v
						}
					}
					add(1, dealt, b.sumsOf(sums, block.others[run.from]))
					add(-1, dealt, rest)
				}
			}
			return statistic(sums)
		}
	})
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
