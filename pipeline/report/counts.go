package report

import (
	"fmt"
	"math"

	"ashtally/pipeline/analyze"
)

// class is a range of counts, both ends in it.
type class struct{ least, most int }

// classes are those of the table of counts: single where most units are, and
// wider as counts grow. The last that a table needs is open.
var classes = []class{
	{0, 0}, {1, 1}, {2, 2}, {3, 3}, {4, 4}, {5, 5}, {6, 10}, {11, 20}, {21, 50}, {51, 100}, {101, 200}, {201, math.MaxInt},
}

func (c class) name(last bool) string {
	switch {
	case c.least == c.most:
		return count(int64(c.least))
	case last:
		return count(int64(c.least)) + " or more"
	}
	return count(int64(c.least)) + " to " + count(int64(c.most))
}

// mostPanels bounds the table of counts to about a page.
const mostPanels = 12

// countsGrid is the numbers of a figure of counts: how many units held so many
// fruit bodies, and how many each distribution expects.
func countsGrid(id string, fits []analyze.CountsFit) grid {
	shown := fits
	if len(fits) > mostPanels {
		shown = richest(fits, findsOfFit, mostPanels)
	}
	columns := classesOf(shown)
	g := grid{ID: id + "-counts", Caption: "Units by the number of fruit bodies in them"}
	g.Heads = [][]head{{textual("Units").deep(2), numeric("Fruit bodies").over(len(columns))}, nil}
	for i, k := range columns {
		g.Heads[1] = append(g.Heads[1], numeric(k.name(i == len(columns)-1)))
	}
	for _, c := range shown {
		at := g.group(stratumInYears(c.Stratum, c.Years) + ", " + methodOf(c.Method).many)
		at.Rows = append(at.Rows,
			countRow("found", columns, func(k class, _ bool) string { return count(observed(c.Counts, k)) }),
			countRow("expected, negative binomial", columns, func(k class, last bool) string { return expected(c.NegativeBinomial, len(c.Counts), k, last) }),
			countRow("expected, scattered at random", columns, func(k class, last bool) string { return expected(c.Poisson, len(c.Counts), k, last) }))
	}
	g.below("Beyond the fullest unit of a part of the land nothing is worked out.")
	if len(shown) < len(fits) {
		g.below(fmt.Sprintf("Shown are the %s of %s parts of the land with most finds; how the negative binomial fits each is in results/%s.csv.",
			count(mostPanels), count(int64(len(fits))), analyze.ClumpingTable.Name))
	}
	return g
}

func findsOfFit(c analyze.CountsFit) int64 {
	var n int64
	for _, finds := range c.Counts {
		n += int64(finds)
	}
	return n
}

// classesOf are those up to the fullest unit, two at least.
func classesOf(fits []analyze.CountsFit) []class {
	most := 1
	for _, f := range fits {
		for _, n := range f.Counts {
			most = max(most, n)
		}
	}
	for i, k := range classes {
		if k.most >= most {
			return classes[:i+1]
		}
	}
	return classes
}

func countRow(name string, columns []class, write func(k class, last bool) string) row {
	r := row{Label: label{Text: name}}
	for i, k := range columns {
		r.Cells = append(r.Cells, figure(write(k, i == len(columns)-1)))
	}
	return r
}

func observed(counts []int, k class) int64 {
	var n int64
	for _, c := range counts {
		if c >= k.least && c <= k.most {
			n++
		}
	}
	return n
}

// expected writes the expected units of a class. The last, being open, has
// what the classes before it leave of all units.
func expected(of []float64, units int, k class, last bool) string {
	open := last && k.least < k.most
	if open && len(of) < k.least || !open && len(of) <= k.most || len(of) == 0 {
		return none
	}
	if open {
		rest := float64(units)
		for _, v := range of[:k.least] {
			rest -= v
		}
		return tenths(rest)
	}
	var sum float64
	for _, v := range of[k.least : k.most+1] {
		sum += v
	}
	return tenths(sum)
}

// tenths writes an expected number of units; what rounds to nothing as 0.
func tenths(v float64) string { return fixed(math.Round(10*max(v, 0))/10, 1) }
