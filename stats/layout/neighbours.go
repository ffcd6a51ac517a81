package layout

import (
	"math"
	"math/rand/v2"
)

// neighbours finds the nearest of those points that have not been removed. It
// sorts them into square cells, about one to a cell, and sorts them again into
// larger ones whenever half of them are gone.
type neighbours struct {
	points []Point
	open   []int // those not removed
	at     []int // place of each point in open, -1 where it was removed

	origin    Point
	size      float64 // side of a cell, metres
	cols      int
	cells     [][]int
	sortAgain int // number of open points at which cells become too many
}

func newNeighbours(points []Point) *neighbours {
	n := &neighbours{points: points, open: make([]int, len(points)), at: make([]int, len(points))}
	for i := range points {
		n.open[i], n.at[i] = i, i
	}
	n.sort()
	return n
}

func (n *neighbours) sort() {
	lo, hi := extent(n.points, n.open)
	width, height := hi.X-lo.X, hi.Y-lo.Y
	count := float64(max(1, len(n.open)))
	n.origin = lo
	n.size = max(math.Sqrt(width*height/count), max(width, height)/count)
	if n.size == 0 {
		n.size = 1 // all in one place
	}
	n.cols = int(width/n.size) + 1
	n.cells = make([][]int, n.cols*(int(height/n.size)+1))
	for _, i := range n.open {
		c := n.cell(n.points[i])
		n.cells[c] = append(n.cells[c], i)
	}
	n.sortAgain = len(n.open) / 2
}

// extent is the rectangle round some of the points.
func extent(points []Point, which []int) (lo, hi Point) {
	if len(which) == 0 {
		return
	}
	lo, hi = points[which[0]], points[which[0]]
	for _, i := range which {
		p := points[i]
		lo = Point{min(lo.X, p.X), min(lo.Y, p.Y)}
		hi = Point{max(hi.X, p.X), max(hi.Y, p.Y)}
	}
	return lo, hi
}

func (n *neighbours) column(p Point) (col, row int) {
	return int((p.X - n.origin.X) / n.size), int((p.Y - n.origin.Y) / n.size)
}

func (n *neighbours) cell(p Point) int {
	col, row := n.column(p)
	return row*n.cols + col
}

// remove takes a point out. Removing it again does nothing.
func (n *neighbours) remove(i int) {
	place := n.at[i]
	if place < 0 {
		return
	}
	last := n.open[len(n.open)-1]
	n.open[place], n.at[last] = last, place
	n.open, n.at[i] = n.open[:len(n.open)-1], -1

	cell := n.cells[n.cell(n.points[i])]
	for k, j := range cell {
		if j == i {
			cell[k] = cell[len(cell)-1]
			n.cells[n.cell(n.points[i])] = cell[:len(cell)-1]
			break
		}
	}
	if len(n.open) < n.sortAgain {
		n.sort()
	}
}

// nearest returns the open point nearest to open point i, another than it, and
// its squared distance: at random where several are equally near. There must
// be one.
func (n *neighbours) nearest(i int, r *rand.Rand) (j int, apart float64) {
	p, apart, ties := n.points[i], math.Inf(1), 0
	col, row := n.column(p)
	rows := len(n.cells) / n.cols
	for ring := 0; ; ring++ {
		n.ring(col, row, ring, func(k int) {
			switch d := squared(p, n.points[k]); {
			case k == i || d > apart:
			case d < apart:
				j, apart, ties = k, d, 1
			default:
				ties++
				if r.IntN(ties) == 0 {
					j = k
				}
			}
		})
		margin := n.margin(p, col, row, ring)
		if apart < margin*margin || ring >= max(n.cols, rows) {
			return j, apart
		}
	}
}

// margin is the distance from p within which rings up to the given one hold
// every point.
func (n *neighbours) margin(p Point, col, row, ring int) float64 {
	x, y := (p.X-n.origin.X)/n.size-float64(col), (p.Y-n.origin.Y)/n.size-float64(row)
	return (float64(ring) + min(x, 1-x, y, 1-y)) * n.size * (1 - 1e-9)
}

// ring visits the points in the cells that lie a number of cells from one.
func (n *neighbours) ring(col, row, away int, visit func(int)) {
	rows := len(n.cells) / n.cols
	for y := max(0, row-away); y <= min(rows-1, row+away); y++ {
		step := 1
		if y != row-away && y != row+away {
			step = max(1, 2*away) // its two ends alone
		}
		for x := col - away; x <= col+away; x += step {
			if x < 0 || x >= n.cols {
				continue
			}
			for _, k := range n.cells[y*n.cols+x] {
				visit(k)
			}
		}
	}
}
