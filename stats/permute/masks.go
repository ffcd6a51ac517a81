package permute

// lanes is how many columns of values are added up side by side: of four, tables would be
// too large for the nearest memory of a processor that two threads share.
const lanes = 3

// row is the values of an item, or sums of them, in so many columns.
type row [lanes]float64

// rowsOf are the columns of values in groups of so many, item by item; after the last
// there are zeros.
func rowsOf(width, items int, value func(item, column int) float64) [][]row {
	groups := make([][]row, (width+lanes-1)/lanes)
	for g := range groups {
		groups[g] = make([]row, items)
		for i := range groups[g] {
			for k := g * lanes; k < min(width, (g+1)*lanes); k++ {
				groups[g][i][k%lanes] = value(i, k)
			}
		}
	}
	return groups
}

const (
	// together is how many arrangements are added up side by side, so that a table is made
	// once for all of them.
	together    = 512
	itemsAtOnce = 6
)

// tables are the sums that the 64 items of a word can have, itemsAtOnce at a time: 17 KB.
type tables [(63 + itemsAtOnce) / itemsAtOnce][1 << itemsAtOnce]row

// fill makes the tables of up to 64 items: the sum of those whose bits are set in i is
// that of all but the highest of them, and the highest.
func (t *tables) fill(items []row) {
	for at := 0; len(items) > 0; at++ {
		few := items[:min(itemsAtOnce, len(items))]
		items = items[len(few):]
		for k, item := range few {
			half := 1 << k
			for i, v := range t[at][:half] {
				t[at][half+i] = row{v[0] + item[0], v[1] + item[1], v[2] + item[2]}
			}
		}
	}
}

// add adds to each sum the items that its mask has.
func (t *tables) add(masks []uint64, sums []row) {
	const all = 1<<itemsAtOnce - 1
	sums = sums[:len(masks)]
	for i, m := range masks {
		a, b := &t[0][m&all], &t[1][m>>6&all]
		x, y, z := a[0]+b[0], a[1]+b[1], a[2]+b[2]
		a, b = &t[2][m>>12&all], &t[3][m>>18&all]
		x, y, z = x+(a[0]+b[0]), y+(a[1]+b[1]), z+(a[2]+b[2])
		a, b = &t[4][m>>24&all], &t[5][m>>30&all]
		x, y, z = x+(a[0]+b[0]), y+(a[1]+b[1]), z+(a[2]+b[2])
		a, b = &t[6][m>>36&all], &t[7][m>>42&all]
		x, y, z = x+(a[0]+b[0]), y+(a[1]+b[1]), z+(a[2]+b[2])
		a, b = &t[8][m>>48&all], &t[9][m>>54&all]
		x, y, z = x+(a[0]+b[0]), y+(a[1]+b[1]), z+(a[2]+b[2])
		a, s := &t[10][m>>60], &sums[i]
		s[0], s[1], s[2] = s[0]+(x+a[0]), s[1]+(y+a[1]), s[2]+(z+a[2])
	}
}

// addAll adds to each sum the items that its mask has. Masks stand word by word, in each
// word sum by sum.
func (t *tables) addAll(items []row, masks []uint64, sums []row) {
	for w := 0; 64*w < len(items); w++ {
		t.fill(items[64*w : min(64*w+64, len(items))])
		t.add(masks[w*len(sums):][:len(sums)], sums)
	}
}
