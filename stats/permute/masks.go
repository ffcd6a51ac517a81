package permute

// pair is the values of an item, or sums of them, in two columns.
type pair struct{ x, y float64 }

// pairsOf pairs the columns of values item by item; an odd one is paired with 0.
func pairsOf(width, items int, value func(item, column int) float64) [][]pair {
	columns := make([][]pair, (width+1)/2)
	for c := range columns {
		columns[c] = make([]pair, items)
		for i := range columns[c] {
			p := &columns[c][i]
			p.x = value(i, 2*c)
			if 2*c+1 < width {
				p.y = value(i, 2*c+1)
			}
		}
	}
	return columns
}

const (
	// together is how many arrangements are added up side by side, so that a table is made
	// once for all of them.
	together    = 512
	itemsAtOnce = 6
)

// tables are the sums that the 64 items of a word can have, itemsAtOnce at a time and in
// two columns of values: 11 KB, so that they stay in the nearest memory.
type tables [(63 + itemsAtOnce) / itemsAtOnce][1 << itemsAtOnce]pair

// fill makes the tables of up to 64 items: the sum of those whose bits are set in i is
// that of all but the highest of them, and the highest.
func (t *tables) fill(items []pair) {
	for at := 0; len(items) > 0; at++ {
		few := items[:min(itemsAtOnce, len(items))]
		items = items[len(few):]
		for k, item := range few {
			half := 1 << k
			for i, v := range t[at][:half] {
				t[at][half+i] = pair{v.x + item.x, v.y + item.y}
			}
		}
	}
}

// add adds to each sum the items that its mask has.
func (t *tables) add(masks []uint64, sums []pair) {
	const all = 1<<itemsAtOnce - 1
	sums = sums[:len(masks)]
	for i, m := range masks {
		a, b, c, d := &t[0][m&all], &t[1][m>>6&all], &t[2][m>>12&all], &t[3][m>>18&all]
		e, f, g, h := &t[4][m>>24&all], &t[5][m>>30&all], &t[6][m>>36&all], &t[7][m>>42&all]
		j, k, l := &t[8][m>>48&all], &t[9][m>>54&all], &t[10][m>>60]
		sums[i].x += (a.x + b.x) + (c.x + d.x) + (e.x + f.x) + (g.x + h.x) + (j.x + k.x) + l.x
		sums[i].y += (a.y + b.y) + (c.y + d.y) + (e.y + f.y) + (g.y + h.y) + (j.y + k.y) + l.y
	}
}

// addAll adds to each sum the items that its mask has. Masks stand word by word, in each
// word sum by sum.
func (t *tables) addAll(items []pair, masks []uint64, sums []pair) {
	for w := 0; 64*w < len(items); w++ {
		t.fill(items[64*w : min(64*w+64, len(items))])
		t.add(masks[w*len(sums):][:len(sums)], sums)
	}
}
