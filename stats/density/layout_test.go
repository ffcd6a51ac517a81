package density

import (
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// TestPartOfALayout: the variance of the primary sampling units with a place of their own, by
// what was searched in them; of too few the random one.
func TestPartOfALayout(t *testing.T) {
	whole := trending()
	full := Stratum(whole, Options{Systematic: "successive-differences"})
	random := Stratum(whole, Options{Systematic: "random"})
	if strings.Contains(told(full), "sequence") {
		t.Fatal("a whole layout is told of")
	}
	with := func(change func(order []int)) Sample {
		s := trending()
		change(s.Order)
		for i := range s.Count {
			s.Name = append(s.Name, "T"+string(rune('a'+i)))
		}
		return s
	}
	for _, c := range []struct {
		name   string
		s      Sample
		placed []int
		told   string
	}{
		{"one without", with(func(o []int) { o[7] = -1 }), except(20, 7), "1 of 20 units have no place of their own there (Th without a sequence); the variance rests on the other 19"},
		{"two that share", with(func(o []int) { o[4] = 12 }), except(20, 4, 12), "2 of 20 units have no place of their own there (Te and Tm share the sequence 12); the variance rests on the other 18"},
		{"half", with(func(o []int) {
			for i := range 10 {
				o[i] = -1
			}
		}), except(20, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9), "10 of 20 units have no place of their own there (Ta, Tb, Tc, Td, Te, Tf and 4 more without a sequence); the variance rests on the other 10"},
		{"under half", with(func(o []int) {
			for i := range 11 {
				o[i] = -1
			}
		}), nil, "11 of 20 units have no place of their own there (Ta, Tb, Tc, Td, Te, Tf and 5 more without a sequence); the variance of a random layout took its place"},
	} {
		e := Stratum(c.s, Options{Systematic: "successive-differences"})
		want := random.SE * random.SE
		if c.placed != nil {
			var y, a []float64
			for _, i := range c.placed {
				y, a = append(y, whole.Count[i]), append(a, whole.AreaHa[i])
			}
			want, _ = RateVariance("successive-differences", y, a)
			want *= float64(len(c.placed)) / 20
		}
		statstest.Near(t, c.name, e.SE*e.SE, want, 1e-10)
		if got := told(e); !strings.Contains(got, c.told) {
			t.Errorf("%s: told %q, want %q", c.name, got, c.told)
		}
		v, _ := Spread(c.s, "successive-differences")
		statstest.Near(t, c.name+", made up", v, want, 1e-10)
		if got := told(Stratum(c.s, Options{})); strings.Contains(got, "sequence") {
			t.Errorf("%s: random tells of a sequence: %q", c.name, got)
		}
	}
	if !(full.SE < 0.6*random.SE) {
		t.Errorf("successive differences have %v, random ones %v: the trend is not one", full.SE, random.SE)
	}
}

// TestLayoutOfTwoSeasons: a unit searched in two seasons has one place.
func TestLayoutOfTwoSeasons(t *testing.T) {
	s := trending()
	s.Cluster = append([]int(nil), s.Order...)
	for i := range 20 {
		s.AreaHa, s.Count = append(s.AreaHa, 0.1), append(s.Count, s.Count[i])
		s.Order, s.Cluster = append(s.Order, i), append(s.Cluster, i)
	}
	e := Stratum(s, Options{Systematic: "successive-differences"})
	statstest.Near(t, "standard error of two equal seasons", e.SE, Stratum(trending(), Options{Systematic: "successive-differences"}).SE, 1e-12)
	if got := told(e); strings.Contains(got, "sequence") {
		t.Errorf("told %q", got)
	}
}

func told(e stats.Estimate) string {
	var texts []string
	for _, w := range e.Warnings {
		texts = append(texts, w.Text)
	}
	return strings.Join(texts, " | ")
}

func except(n int, left ...int) []int {
	var list []int
	for i := range n {
		if len(left) > 0 && left[0] == i {
			left = left[1:]
			continue
		}
		list = append(list, i)
	}
	return list
}
