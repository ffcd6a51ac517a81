package association

// mostGroups is how many sites swaps and bootstrap go through: beyond 200 a
// percentile or an envelope changes by less than drawing does, and the time
// would grow with the survey.
const mostGroups = 200

// gather puts clusters together in groups within their strata, or within those
// that were collapsed, each cluster on its own where they are few.
func (w *work) gather() {
	m := w.layout.Clusters()
	stratum, in := w.layout.Groups()
	w.groups = make([]int, len(in))
	first, next := make([]int, len(in)), 0
	for h, n := range in {
		w.groups[h] = n
		if m > mostGroups {
			w.groups[h] = min(n, max(2, n*mostGroups/m))
		}
		first[h] = next
		next += w.groups[h]
	}
	w.group = make([]int, m)
	dealt := make([]int, len(in))
	for s, h := range stratum {
		w.group[s] = first[h] + dealt[h]%w.groups[h]
		dealt[h]++
	}
}

// groupList numbers the groups on through the strata.
func (w work) groupList() []int {
	var all []int
	for _, n := range w.groups {
		for range n {
			all = append(all, len(all))
		}
	}
	return all
}

// strataOfGroups is the number of groups in each stratum that has any.
func (w work) strataOfGroups() []int {
	var out []int
	for _, n := range w.groups {
		if n > 0 {
			out = append(out, n)
		}
	}
	return out
}
