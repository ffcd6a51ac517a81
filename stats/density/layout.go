package density

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"ashtally/stats"
)

// Layout is the places of primary sampling units along a systematic layout: those
// that have one to themselves, in its order, and those that have none or share
// theirs, whose neighbours are not known.
type Layout struct {
	placed   []int
	missing  []int
	shared   [][]int // primary sampling units of one place, in the order of the places
	position []float64
}

// NewLayout takes the position of each primary sampling unit, NaN for none.
func NewLayout(position []float64) Layout {
	l := Layout{position: position}
	order := make([]int, len(position))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(position[i], position[j]) })
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && position[order[to]] == position[order[from]] {
			to++
		}
		switch same := order[from:to]; {
		case math.IsNaN(position[same[0]]):
			l.missing = append(l.missing, same...)
		case len(same) > 1:
			l.shared = append(l.shared, same)
		default:
			l.placed = append(l.placed, same[0])
		}
		from = to
	}
	return l
}

// Where some primary sampling units have no place of their own, the variance rests on the others
// if they are leastPlaced and half of all: under that too little of the layout is
// left to speak for the rest. Common practice, no source.
const leastPlaced = 4

// serves reports whether a form that compares neighbours can be used.
func (l Layout) serves() bool {
	n := len(l.placed)
	return n == len(l.position) || n >= leastPlaced && 2*n >= len(l.position)
}

// Variance is [RateVariance] of primary sampling units in any order. A form that compares
// neighbours ([ByOrder]) takes those that have a place of their own along the
// layout, and from the variance v_p of their rate that of all,
//
//	v = v_p * a_p / a
//
// with a_p and a what was searched in them and in all: the others are taken to
// vary alike. Where too few have a place it is [Random]. [Layout.Doubt] tells of both.
// It panics where RateVariance does.
func (l Layout) Variance(systematic string, y, a []float64) (variance, df float64) {
	if len(y) != len(l.position) {
		panic("density: slice length mismatch")
	}
	if ByOrder(systematic) && !l.serves() {
		systematic = Random
	}
	if !ByOrder(systematic) {
		return RateVariance(systematic, y, a)
	}
	var counts, areas []float64
	for _, i := range l.placed {
		counts, areas = append(counts, y[i]), append(areas, a[i])
	}
	variance, df = RateVariance(systematic, counts, areas)
	if len(l.placed) < len(y) {
		variance *= stats.Sum(areas) / stats.Sum(a)
	}
	return variance, df
}

// Doubt says what a form could not use of the layout: nil where it compares no
// neighbours, or has the place of every primary sampling unit. Of the primary sampling units, one or many are
// called as noun says, and name gives the name of each, "" for none.
func (l Layout) Doubt(systematic, noun string, name func(piece int) string) *stats.Warning {
	if !ByOrder(systematic) || len(l.placed) == len(l.position) {
		return nil
	}
	var why []string
	if len(l.missing) > 0 {
		why = append(why, list(l.missing, name, ", ")+" without a sequence")
	}
	for i, same := range l.shared {
		if i == mostShared {
			why = append(why, fmt.Sprintf("and %d more numbers shared", len(l.shared)-i))
			break
		}
		why = append(why, list(same, name, " and ")+fmt.Sprintf(" share the sequence %g", l.position[same[0]]))
	}
	text := fmt.Sprintf("the variance %s compares neighbours along the layout, and %d of %d %ss have no place of their own there (%s)",
		systematic, len(l.position)-len(l.placed), len(l.position), noun, strings.Join(why, "; "))
	if l.serves() {
		text += fmt.Sprintf("; the variance rests on the other %d, and takes these to vary alike", len(l.placed))
	} else {
		text += "; the variance of a random layout took its place"
	}
	w := NoSequence.With("%s", text)
	return &w
}

// What a warning lists before it counts the rest.
const (
	mostNamed  = 6
	mostShared = 3
)

// list names primary sampling units, sorted, up to a limit.
func list(pieces []int, name func(piece int) string, between string) string {
	var names []string
	for _, i := range pieces {
		if name(i) == "" {
			return fmt.Sprint(len(pieces))
		}
		names = append(names, name(i))
	}
	slices.Sort(names)
	if len(names) > mostNamed {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNamed], ", "), len(names)-mostNamed)
	}
	return strings.Join(names, between)
}
