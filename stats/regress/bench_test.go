package regress

import (
	"encoding/csv"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"ashtally/stats/regress/terms"
)

// large is a sample of 20,000 rows for a model of 40 coefficients: two modes,
// eight trees and four classes of years, two at a time.
func large() (Sample, terms.Model) {
	rng := rand.New(rand.NewPCG(6, 6))
	mode := terms.Factor{Name: "mode", Levels: []string{"saprotrophic", "host-associated"}}
	tree := terms.Factor{Name: "tree"}
	for k := range 8 {
		tree.Levels = append(tree.Levels, "t"+strconv.Itoa(k))
	}
	years := terms.Factor{Name: "years", Levels: []string{"1", "2", "3", "5"}}
	slope := terms.Number{Name: "elevation"}
	var s Sample
	for i := range 20000 {
		m, k, y := i%2, (i/2)%8, (i/16)%4
		x := rng.Float64()
		area := 0.01 + 0.05*rng.Float64()
		mu := area * 100 / float64(1+m) / float64(1+k) / float64(1+2*y) * (1 + x)
		s.Count, s.Exposure, s.Cluster = append(s.Count, poisson(rng, mu*gamma(rng, 0.6))), append(s.Exposure, area), append(s.Cluster, i/160)
		mode.Of, tree.Of, years.Of, slope.Of = append(mode.Of, m), append(tree.Of, k), append(years.Of, y), append(slope.Of, x)
	}
	s.Frame = terms.Frame{Rows: len(s.Count), Factors: []terms.Factor{mode, tree, years}, Numbers: []terms.Number{slope}}
	return s, terms.Model{{"mode"}, {"tree"}, {"years"}, {"mode", "tree"}, {"tree", "years"}}
}

var speed = flag.String("speed", "", "write the large sample there as CSV, and print the seconds of fitting it: for testdata/reference/regress_speed.R")

// TestSpeed writes what the script regress_speed.R compares.
func TestSpeed(t *testing.T) {
	if *speed == "" {
		t.Skip("only for regress_speed.R")
	}
	s, m := large()
	out, err := os.Create(*speed)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	w := csv.NewWriter(out)
	defer w.Flush()
	_ = w.Write([]string{"count", "area", "mode", "tree", "years"})
	for i, y := range s.Count {
		f := s.Frame.Factors
		_ = w.Write([]string{fmt.Sprint(y), fmt.Sprint(s.Exposure[i]), f[0].Levels[f[0].Of[i]], f[1].Levels[f[1].Of[i]], f[2].Levels[f[2].Of[i]]})
	}
	best := time.Hour
	var fit *Fit
	for range 5 {
		start := time.Now()
		if fit, err = NegativeBinomial(s, m); err != nil {
			t.Fatal(err)
		}
		best = min(best, time.Since(start))
	}
	fmt.Printf("go seconds %.6f logLik %.9f theta %.9f parameters %d\n", best.Seconds(), fit.LogLik, fit.K, fit.Parameters)
}

func BenchmarkNegativeBinomial(b *testing.B) {
	s, m := large()
	for b.Loop() {
		if _, err := NegativeBinomial(s, m); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCR2(b *testing.B) {
	s, m := large()
	f, err := NegativeBinomial(s, m)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		f.Covariance(CR2, 0.95)
	}
}

// BenchmarkEffect: the limits of a coefficient with 125 clusters and with 10,000.
func BenchmarkEffect(b *testing.B) {
	for _, rows := range []int{160, 2} {
		s, m := large()
		for i := range s.Cluster {
			s.Cluster[i] = i / rows
		}
		f, err := NegativeBinomial(s, m)
		if err != nil {
			b.Fatal(err)
		}
		c := f.Covariance(CR2, 0.95)
		b.Run(strconv.Itoa(len(s.Cluster)/rows), func(b *testing.B) {
			for b.Loop() {
				c.Coefficient(1)
			}
		})
	}
}
