package plots

import (
	"math"
	"testing"
)

func TestLinearDomain(t *testing.T) {
	rest := []extent{{100, 50, 200}, {80, 40, 180}, {90, 45, 190}}
	for _, c := range []struct {
		name   string
		x      []extent
		lo, hi float64 // without the air above
	}{
		{"highest limit", rest, 0, 200},
		{"one far longer is cut", append(rest[:3:3], extent{70, 20, 5000}), 0, 200},
		{"thrice as long is not", append(rest[:3:3], extent{70, 20, 600}), 0, 600},
		{"an estimate is never cut", append(rest[:3:3], extent{4000, 20, 5000}), 0, 5000},
		{"a quarter of many is cut", append(append(rest[:3:3], rest...), extent{1, 1, 5000}, extent{1, 1, 4500}), 0, 200},
		{"half of them is not", []extent{{10, 5, 20}, {10, 5, 20}, {10, 5, 900}, {10, 5, 900}}, 0, 900},
		{"alone it is not", []extent{{10, 5, 9000}}, 0, 9000},
		{"beyond all reason it is", []extent{{10, 5, 1e300}}, 0, 10.5},
		{"no limits", []extent{{100, nan, nan}}, 0, 105},
		{"below zero", []extent{{10, -20, 40}}, -20, 40},
		{"nothing found", []extent{{0, 0, 0}, {0, nan, nan}}, 0, 1},
		{"nothing at all", []extent{nothing}, 0, 1},
	} {
		lo, hi := linearDomain(c.x)
		if want := c.hi + (c.hi-c.lo)*0.02; lo != c.lo || math.Abs(hi-want) > 1e-9 {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, lo, hi, c.lo, want)
		}
	}
}

func TestLogDomain(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name   string
		x      []extent
		shown  []float64
		lo, hi float64 // without the air at the ends
	}{
		{"limits", []extent{{10, 1, 100}}, nil, 1, 100},
		{"reference shown", []extent{{100, 50, 200}}, []float64{1}, 1, 200},
		{"limits far out are cut", []extent{{10, 1e-9, 1e9}}, nil, 10 / 30.0, 300},
		{"no limit on either side", []extent{{1, 0, inf}, {100, nan, nan}}, nil, 1, 100},
		{"limits only", []extent{{nan, nan, 40}, {nan, 0.5, nan}}, nil, 0.5, 40},
		{"at least a factor of 16", []extent{{10, 9, 11}}, nil, math.Sqrt(99) / 4, math.Sqrt(99) * 4},
		{"nothing found", []extent{{0, nan, nan}}, nil, 0.25, 4},
	} {
		lo, hi := logDomain(c.x, c.shown...)
		air := math.Pow(c.hi/c.lo, 0.04)
		if math.Abs(lo*air/c.lo-1) > 1e-9 || math.Abs(hi/air/c.hi-1) > 1e-9 {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, lo, hi, c.lo/air, c.hi*air)
		}
	}
}

func TestAutoAxis(t *testing.T) {
	even := []extent{{100, 50, 200}, {40, 20, 60}, {0, 0, 5}, {2, 1, 4}}
	uneven := []extent{{100, 50, 200}, {4, 2, 6}, {0, 0, 5}, {2, 1, 4}}
	for _, c := range []struct {
		name string
		axis axisChoice
		x    []extent
		want bool
	}{
		{"one of three small", AutoAxis, even, false},
		{"two of three small", AutoAxis, uneven, true},
		{"linear as told", LinearAxis, uneven, false},
		{"logarithmic as told", LogAxis, even, true},
		{"nothing found", AutoAxis, []extent{{0, 0, 5}, nothing}, false},
	} {
		if got := c.axis.log(c.x); got != c.want {
			t.Errorf("%s: logarithmic %v, want %v", c.name, got, c.want)
		}
	}
}
