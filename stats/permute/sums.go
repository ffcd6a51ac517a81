package permute

// bySums are the statistics of arrangements of labels that see nothing of one but
// the sums of the items' values by label.
type bySums struct {
	labels
	width  int         // values of an item
	values []float64   // item by item
	number int         // of labels
	whole  [][]float64 // sums of each block
	// columns are the values of each block's items in their order.
	columns [][][]row
}

func newBySums(s labels, number int, values [][]float64) *bySums {
	b := &bySums{labels: s, width: len(values), number: number, values: make([]float64, len(values)*s.items())}
	for k, column := range values {
		for i, v := range column {
			b.values[i*b.width+k] = v
		}
	}
	for _, block := range s.blocks {
		b.columns = append(b.columns, rowsOf(b.width, len(block.items), func(i, k int) float64 { return values[k][block.items[i]] }))
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

// drawn returns what a statistic of the sums gives for the arrangements that [Values] draws.
// The statistic must not keep the sums.
func (b *bySums) drawn(o Options, statistic func(sums []float64) []float64) [][]float64 {
	out := make([][]float64, o.Replicates)
	inBatches(o, func() func(first, n int) {
		d := newDealing(b)
		return func(first, n int) {
			d.draw(o.Seed, uint64(first), n)
			for r := range n {
				out[first+r] = statistic(d.sums[r*b.number*b.width:][:b.number*b.width])
			}
		}
	})
	return out
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
