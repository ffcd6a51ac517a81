package layout

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// The sample size is fixed and every unit with probability 1 is drawn, whatever
// the points: in general position, on a lattice, or several in one place.
func TestLocalPivotalSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(drawPoint(), 1, 80).Draw(t, "points")
		size := rapid.IntRange(0, len(points)).Draw(t, "size")
		prob := unequal(t, len(points), size)
		drawn := LocalPivotal(points, prob, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0)))
		if len(drawn) != size {
			t.Fatalf("%d units drawn, want %d", len(drawn), size)
		}
		for k := 1; k < len(drawn); k++ {
			if drawn[k-1] >= drawn[k] {
				t.Fatalf("not ascending: %v", drawn)
			}
		}
	})
}

// drawPoint draws points of which some share coordinates.
func drawPoint() *rapid.Generator[Point] {
	coordinate := rapid.OneOf(rapid.Float64Range(-1e3, 1e3), rapid.Map(rapid.IntRange(-3, 3), func(i int) float64 { return float64(i) }))
	return rapid.Custom(func(t *rapid.T) Point { return Point{coordinate.Draw(t, "x"), coordinate.Draw(t, "y")} })
}

// unequal draws n inclusion probabilities with a whole number as their sum.
func unequal(t *rapid.T, n, sum int) []float64 {
	prob := make([]float64, n)
	for i := range prob {
		prob[i] = float64(sum) / float64(n)
	}
	for i := 1; i < n; i++ { // what one gives, the next takes
		most := min(prob[i-1], 1-prob[i])
		d := most * rapid.Float64Range(0, 1).Draw(t, "shift")
		prob[i-1], prob[i] = max(0, prob[i-1]-d), min(1, prob[i]+d)
	}
	return prob
}

// The size is one of the two whole numbers beside a sum that is none, and their
// mean is the sum.
func TestLocalPivotalFraction(t *testing.T) {
	points := scattered(9, 1)
	prob := []float64{.1, .2, .3, .4, .5, .6, .1, .05, .05} // sum 2.3
	r := rand.New(rand.NewPCG(3, 0))
	const draws = 20000
	more := 0
	for range draws {
		switch n := len(LocalPivotal(points, prob, r)); n {
		case 2:
		case 3:
			more++
		default:
			t.Fatalf("%d units drawn", n)
		}
	}
	statstest.Near(t, "share of samples of three", float64(more)/draws, 0.3, 4*math.Sqrt(.3*.7/draws))
}

// The chance of every sample agrees with that of the method as the paper gives
// it, followed through all its choices.
func TestLocalPivotalExact(t *testing.T) {
	many(t)
	for name, c := range map[string]struct {
		points []Point
		prob   []float64
	}{
		"equal":   {[]Point{{0, 0}, {1, 0}, {3, 1}, {3.5, 4}, {0.5, 2.2}, {7, 1}}, []float64{.5, .5, .5, .5, .5, .5}},
		"unequal": {[]Point{{0, 0}, {1, 0}, {3, 1}, {3.5, 4}, {0.5, 2.2}}, []float64{.2, .7, .4, .1, .6}},
		"ties":    {[]Point{{0, 0}, {1, 0}, {0, 1}, {1, 1}, {2, 0}, {2, 1}}, []float64{.5, .5, .5, .5, .5, .5}},
		"a place": {[]Point{{0, 0}, {0, 0}, {0, 0}, {4, 1}}, []float64{.5, .75, .25, .5}},
	} {
		t.Run(name, func(t *testing.T) {
			want := enumerate(c.points, c.prob)
			got := map[uint]int{}
			r := rand.New(rand.NewPCG(7, 0))
			const draws = 40000
			for range draws {
				set := uint(0)
				for _, i := range LocalPivotal(c.points, c.prob, r) {
					set |= 1 << i
				}
				got[set]++
			}
			chi, seen := 0.0, 0
			for set, p := range want {
				d := float64(got[set]) - draws*p
				chi += d * d / (draws * p)
				seen += got[set]
			}
			if seen != draws {
				t.Fatalf("%d samples that the method cannot draw", draws-seen)
			}
			if p := (distuv.ChiSquared{K: float64(len(want) - 1)}).Survival(chi); p < 1e-3 {
				t.Errorf("samples do not have their chances: chi-square %.1f over %d samples, p = %.2g", chi, len(want), p)
			}
		})
	}
}

// enumerate returns the chance of every sample, as a set of bits. A choice of a
// unit whose neighbour has a nearer one changes nothing, so that the chances
// are those among the others.
func enumerate(points []Point, prob []float64) map[uint]float64 {
	var open []int
	drawn := uint(0)
	for i, p := range prob {
		switch {
		case p > 1-1e-12:
			drawn |= 1 << i
		case p > 1e-12:
			open = append(open, i)
		}
	}
	if len(open) < 2 {
		return map[uint]float64{drawn: 1}
	}
	type pair struct{ i, j int }
	chance, total := map[pair]float64{}, 0.0
	for _, i := range open {
		near := nearestAmong(points, open, i)
		for _, j := range near {
			for _, k := range nearestAmong(points, open, j) {
				if k == i {
					chance[pair{i, j}] += 1 / float64(len(near))
					total += 1 / float64(len(near))
				}
			}
		}
	}
	all := map[uint]float64{}
	for p, c := range chance {
		a, b := prob[p.i], prob[p.j]
		one, other := [2]float64{0, a + b}, [2]float64{a + b, 0}
		first := b / (a + b)
		if a+b >= 1 {
			one, other = [2]float64{1, a + b - 1}, [2]float64{a + b - 1, 1}
			first = (1 - b) / (2 - a - b)
		}
		for _, branch := range []struct {
			to     [2]float64
			chance float64
		}{{one, first}, {other, 1 - first}} {
			next := append([]float64(nil), prob...)
			next[p.i], next[p.j] = branch.to[0], branch.to[1]
			for set, q := range enumerate(points, next) {
				all[set] += c / total * branch.chance * q
			}
		}
	}
	return all
}

func nearestAmong(points []Point, open []int, i int) []int {
	least := math.Inf(1)
	var near []int
	for _, j := range open {
		d := squared(points[i], points[j])
		if j == i || d > least {
			continue
		}
		if d < least {
			least, near = d, nil
		}
		near = append(near, j)
	}
	return near
}

func TestEnumerate(t *testing.T) {
	// Three units on a line at 0, 1 and 3, each with probability 1/3. The first
	// two are each other's nearest. The one with the sum 2/3 meets the third.
	third := 1.0 / 3
	got := enumerate([]Point{{0, 0}, {1, 0}, {3, 0}}, []float64{third, third, third})
	for set, want := range map[uint]float64{1: third, 2: third, 4: third} {
		statstest.Near(t, "chance", got[set], want, 1e-12)
	}
	for set := range got {
		if bits.OnesCount(set) != 1 {
			t.Errorf("a sample of %d units", bits.OnesCount(set))
		}
	}
}

// Inclusion probabilities are what they should be in 10,000 draws. Joint
// inclusion of neighbours is negative: less likely than of two units of a
// simple random sample, n(n-1)/(N(N-1)).
func TestLocalPivotalInclusion(t *testing.T) {
	many(t)
	const draws, size = 10000, 8
	points := scattered(60, 2)
	prob := make([]float64, len(points))
	for i := range prob {
		prob[i] = float64(size) / float64(len(points))
	}
	r := rand.New(rand.NewPCG(5, 0))
	counts := make([][]float64, draws)
	together := 0
	for d := range draws {
		counts[d] = make([]float64, len(points))
		drawn := LocalPivotal(points, prob, r)
		for _, i := range drawn {
			counts[d][i] = 1
		}
		for i := range points {
			j := nearestAmong(points, all(len(points)), i)[0]
			if counts[d][i] == 1 && counts[d][j] == 1 {
				together++
			}
		}
	}
	equalMeans(t, counts, prob)
	joint := float64(together) / draws / float64(len(points))
	random := float64(size*(size-1)) / float64(len(points)*(len(points)-1))
	if joint > random/10 {
		t.Errorf("joint inclusion of neighbours is %.5f, of a simple random sample %.5f", joint, random)
	}
}

func all(n int) []int {
	numbers := make([]int, n)
	for i := range numbers {
		numbers[i] = i
	}
	return numbers
}

func scattered(n int, seed uint64) []Point {
	r := rand.New(rand.NewPCG(seed, 0))
	points := make([]Point, n)
	for i := range points {
		points[i] = Point{1000 * r.Float64(), 600 * r.Float64()}
	}
	return points
}

// equalMeans tests whether the means of the columns are those wanted: the
// quadratic form of their differences with the pseudoinverse of their
// covariance, chi-square with its rank as degrees of freedom. The counts of a
// sample are not independent, so that the sum of squares alone would not do.
func equalMeans(t *testing.T, rows [][]float64, want []float64) {
	t.Helper()
	k, n := len(want), float64(len(rows))
	sums, products := make([]float64, k), mat.NewSymDense(k, nil)
	for _, row := range rows {
		for i := range row {
			sums[i] += row[i] - want[i]
			for j := range i + 1 {
				products.SetSym(i, j, products.At(i, j)+(row[i]-want[i])*(row[j]-want[j]))
			}
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(products, true) {
		t.Fatal("no eigenvalues")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	chi, rank := 0.0, 0
	values := eigen.Values(nil)
	for c, v := range values {
		if v < 1e-9*values[k-1] {
			continue
		}
		rank++
		along := mat.Dot(vectors.ColView(c), mat.NewVecDense(k, sums))
		chi += along * along / v
	}
	if p := (distuv.ChiSquared{K: float64(rank)}).Survival(chi); p < 1e-3 {
		t.Errorf("means differ from what they should be: chi-square %.1f, %d degrees of freedom, p = %.2g (%g draws)", chi, rank, p, n)
	}
}

func TestNeighbours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(drawPoint(), 2, 60).Draw(t, "points")
		r := rand.New(rand.NewPCG(1, 1))
		n := newNeighbours(points)
		for len(n.open) > 1 {
			for _, i := range n.open {
				j, apart := n.nearest(i, r)
				best := nearestAmong(points, n.open, i)
				if apart != squared(points[i], points[best[0]]) {
					t.Fatalf("nearest to %v is %v, got %v", points[i], points[best[0]], points[j])
				}
			}
			i := n.open[r.IntN(len(n.open))]
			n.remove(i)
			n.remove(i)
		}
	})
}

func TestMisuse(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	f := frame(t, Ground{Within: []Polygon{square(0, 10)}}, Footprint{})
	statstest.Panics(t, map[string]func(){
		"unlike lengths":      func() { LocalPivotal(make([]Point, 2), make([]float64, 3), r) },
		"probability above 1": func() { LocalPivotal(make([]Point, 1), []float64{1.5}, r) },
		"probability NaN":     func() { LocalPivotal(make([]Point, 1), []float64{math.NaN()}, r) },
		"negative units":      func() { Random(f, -1, 0, r) },
		"negative spares":     func() { Balanced(f, 1, -1, r) },
		"negative radius":     func() { NewFrame(Ground{}, Footprint{Radius: -1}) },
		"bearing NaN":         func() { NewFrame(Ground{}, Footprint{Bearing: math.NaN()}) },
		"distance NaN":        func() { NewFrame(Ground{Within: []Polygon{square(0, 1)}, Edge: math.NaN()}, Footprint{}) },
		"Voronoi, unlike":     func() { VoronoiVariance(nil, make([]Point, 2), make([]float64, 1)) },
		"local means, unlike": func() { LocalMeanVariance(make([]Point, 2), make([]float64, 1)) },
		"population of none":  func() { f.Population(0) },
	})
}
