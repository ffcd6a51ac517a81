package stats

// Gather lists the items of each of some groups, by their places from 0 to items-1 and in
// their order; of is the group of an item, from 0 to groups-1.
func Gather[I int | int32](items, groups int, of func(item I) int) [][]I {
	size := make([]int, groups)
	for i := I(0); int(i) < items; i++ {
		size[of(i)]++
	}
	list, all := make([][]I, groups), make([]I, items)
	for g, n := range size {
		list[g], all = all[:0:n], all[n:]
	}
	for i := I(0); int(i) < items; i++ {
		g := of(i)
		list[g] = append(list[g], i)
	}
	return list
}
