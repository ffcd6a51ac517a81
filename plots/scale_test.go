package plots

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func labels(ticks []tick) string {
	var all []string
	for _, t := range ticks {
		all = append(all, t.label)
	}
	return strings.Join(all, " ")
}

func tickRoom(label string) float64 { return smallText.width(label) + tickAir }

func TestScaleAt(t *testing.T) {
	linear := scale{lo: 0, hi: 200, from: 100, to: 300}
	down := scale{lo: 0, hi: 10, from: 90, to: 10} // heights count from the top
	log := scale{lo: 0.1, hi: 1000, from: 0, to: 400, log: true}
	for _, c := range []struct {
		s       scale
		v, want float64
	}{
		{linear, 0, 100}, {linear, 50, 150}, {linear, 200, 300},
		{down, 0, 90}, {down, 5, 50}, {down, 10, 10},
		{log, 0.1, 0}, {log, 1, 100}, {log, 100, 300}, {log, 1000, 400},
	} {
		if got := c.s.at(c.v); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v at %v, want %v", c.v, got, c.want)
		}
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		name string
		s    scale
		want string
	}{
		{"thousands", scale{lo: 0, hi: 2640, to: 250}, "0 500 1,000 1,500 2,000 2,500"},
		{"narrow", scale{lo: 0, hi: 2640, to: 60}, "0 2,000"},
		{"end is a tick", scale{lo: 0, hi: 0.3, to: 150}, "0 0.05 0.10 0.15 0.20 0.25 0.30"},
		{"below zero", scale{lo: -30, hi: 60, to: 100}, "−20 0 20 40 60"},
		{"large", scale{lo: 0, hi: 2.5e9, to: 200}, "0 1e+09 2e+09"},
		{"one decade", scale{lo: 0.4, hi: 6.4, to: 200, log: true}, "0.5 1 2 5"},
		{"four decades", scale{lo: 0.008, hi: 130, to: 200, log: true}, "0.01 0.1 1 10 100"},
		{"labels left out", scale{lo: 0.5, hi: 2000, to: 70, log: true}, "1  100 "},
		{"thirds", scale{lo: 7, hi: 3100, to: 250, log: true}, "10 30 100 300 1,000 3,000"},
	} {
		if got := labels(c.s.ticks(tickRoom)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestTicksAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := extent{value: math.Pow(10, rapid.Float64Range(-5, 6).Draw(t, "value")), lower: nan, upper: nan}
		e.upper = e.value * rapid.Float64Range(1, 100).Draw(t, "upper")
		s := scale{to: rapid.Float64Range(100, 400).Draw(t, "length"), log: rapid.Bool().Draw(t, "log")}
		if s.log {
			s.lo, s.hi = logDomain([]extent{e})
		} else {
			s.lo, s.hi = linearDomain([]extent{e})
		}
		ticks := s.ticks(tickRoom)
		labelled := 0
		for i, tick := range ticks {
			if tick.label != "" {
				labelled++
			}
			if !s.shows(tick.value) && math.Abs(s.at(tick.value)-s.to) > 1e-3 && math.Abs(s.at(tick.value)-s.from) > 1e-3 {
				t.Fatalf("tick %v is off the scale %v to %v", tick.value, s.lo, s.hi)
			}
			if i > 0 && tick.value <= ticks[i-1].value {
				t.Fatalf("ticks %v and %v do not rise", ticks[i-1].value, tick.value)
			}
		}
		if labelled < 2 {
			t.Fatalf("%d labels on %v to %v", labelled, s.lo, s.hi)
		}
	})
}
