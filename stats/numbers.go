package stats

// Numbers numbers names from 0, in the order in which they first come.
type Numbers[K comparable] struct {
	Names map[K]int // the number of each

	name K
	last int // the number of name, which was asked for last; -1 for none
}

// NewNumbers has room for so many names.
func NewNumbers[K comparable](room int) Numbers[K] {
	return Numbers[K]{Names: make(map[K]int, room), last: -1}
}

// Of is the number of a name. One that was asked for just before is not looked up.
func (n *Numbers[K]) Of(name K) int {
	if n.last >= 0 && name == n.name {
		return n.last
	}
	at, ok := n.Names[name]
	if !ok {
		at = len(n.Names)
		n.Names[name] = at
	}
	n.last, n.name = at, name
	return at
}
