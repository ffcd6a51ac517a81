package density

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// normalPart is a stratum known by its mean and standard deviation, as printed
// tables give it, with the finite population factor and the limits at 1.96
// standard errors that the printed intervals use.
func normalPart(population, n, mean, sd float64) Part {
	se := sd / math.Sqrt(n) * math.Sqrt(1-n/population)
	half := 1.96 * se // the factor of the printed intervals
	return Part{AreaHa: population, Estimate: stats.Estimate{Value: mean, SE: se, N: int(n), Interval: stats.Interval{
		Lower: mean - half, Upper: mean + half, Confidence: 0.95, DF: n - 1, Method: "t"}}}
}

// TestAgstrat: Lohr, Sampling: Design and Analysis, acres92 by region; the
// printed mean per farm county 295560.7652, its error 16379.8727, and the printed
// limits of the total over 3078 counties. The means are printed to 0.1, hence the tolerance.
// Satterthwaite's df 99.9188340453 from R 4.2.2.
func TestAgstrat(t *testing.T) {
	e := Land([]Part{
		normalPart(220, 21, 97629.8, math.Sqrt(7647472708)),
		normalPart(1054, 103, 300504.2, math.Sqrt(29618183543)),
		normalPart(1382, 135, 211315.0, math.Sqrt(53587487856)),
		normalPart(422, 41, 662295.5, math.Sqrt(396185950266)),
	}, 0.95)
	statstest.Near(t, "mean", e.Value, 295560.7652, 0.05)
	statstest.Near(t, "standard error", e.SE, 16379.8727, 1e-3)
	statstest.Near(t, "df", e.DF, 99.9188340453, 1e-6)
	statstest.Near(t, "lower limit of the total", 3078*e.Lower, 810918228.8, 100)
	statstest.Near(t, "upper limit of the total", 3078*e.Upper, 1008553842.0, 100)
	if e.N != 300 || e.Method != "mover" {
		t.Errorf("%+v", e)
	}
}

// TestSealHoles: Lohr, breathing holes of ringed seals in three strata of
// plots: mean 4.9859, standard error 0.5901, 95 % limits 3.8292 and 6.1426.
func TestSealHoles(t *testing.T) {
	e := Land([]Part{
		normalPart(68, 17, 30.0/17, 1.821),
		normalPart(84, 12, 53.0/12, 3.397),
		normalPart(48, 11, 116.0/11, 6.788),
	}, 0.95)
	statstest.Near(t, "mean", e.Value, 4.9859, 1e-4)
	statstest.Near(t, "standard error", e.SE, 0.5901, 1e-4)
	statstest.Near(t, "lower", e.Lower, 3.8292, 2e-4)
	statstest.Near(t, "upper", e.Upper, 6.1426, 2e-4)
}

func part(areaHa, value, se, lower, upper, df float64) Part {
	return Part{AreaHa: areaHa, Estimate: stats.Estimate{Value: value, SE: se, N: 10, Interval: stats.Interval{
		Lower: lower, Upper: upper, Confidence: 0.95, DF: df, Method: "nb-profile"}}}
}

// TestSkewedLimitsStaySkewed by hand: shares 1/4 and 3/4, distances below 3
// and 4, above 9 and 8.
func TestSkewedLimitsStaySkewed(t *testing.T) {
	e := Land([]Part{part(10, 8, 2, 5, 17, 9), part(30, 12, 2, 8, 20, 9)}, 0.95)
	statstest.Near(t, "value", e.Value, 11, 1e-12)
	statstest.Near(t, "lower", e.Lower, 11-math.Hypot(0.75, 3), 1e-12)
	statstest.Near(t, "upper", e.Upper, 11+math.Hypot(2.25, 6), 1e-12)
	statstest.Near(t, "standard error", e.SE, math.Hypot(0.5, 1.5), 1e-12)
	statstest.Near(t, "df", e.DF, 2.5*2.5/(0.25*0.25/9+2.25*2.25/9), 1e-12)
}

func TestLandSpecialCases(t *testing.T) {
	full := part(10, 8, 2, 5, 17, 9)
	none := Part{AreaHa: 30, Estimate: Stratum(Sample{AreaHa: tenths(20), Count: times(20, 0)}, profile)}
	lone := Part{AreaHa: 30, Estimate: Stratum(Sample{AreaHa: tenths(1), Count: []float64{2}}, Options{})}
	empty := Part{AreaHa: 30, Estimate: Stratum(Sample{}, Options{})}
	noArea := Part{AreaHa: 0, Estimate: stats.Missing(0.95, 0, noUnits)}
	for _, c := range []struct {
		name                    string
		parts                   []Part
		value, se, lower, upper float64
		codes                   []string
	}{
		{"nothing", nil, nan, nan, nan, nan, []string{"no-land"}},
		{"no area", []Part{noArea}, nan, nan, nan, nan, []string{"no-land"}},
		{"one part", []Part{full, noArea}, 8, 2, 5, 17, nil},
		{"a part without figure", []Part{full, empty}, nan, nan, nan, nan, []string{"stratum-no-units", "stratum-missing"}},
		{"a part without limits", []Part{full, lone}, 17, nan, nan, nan, []string{"stratum-one-unit", "stratum-without-limits"}},
		// The upper limit without finds is 1.844: 0.75 of it beside 0.25 of 9.
		{"a part without finds", []Part{full, none}, 2, 0.5, 1.25, 2 + math.Hypot(2.25, 0.75*3.68887945411/2),
			[]string{"stratum-no-finds", "stratum-without-se"}},
		{"no finds anywhere", []Part{none, none}, 0, nan, 0, math.Sqrt2 / 2 * 3.68887945411 / 2, []string{"stratum-no-finds", "stratum-without-se"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := Land(c.parts, 0.95)
			statstest.WellFormed(t, e)
			want := stats.Estimate{Value: c.value, SE: c.se, Interval: stats.Interval{Lower: c.lower, Upper: c.upper}}
			statstest.Scaled(t, c.name, e, want, 1, 1e-9)
			if !slices.Equal(codes(e), c.codes) {
				t.Errorf("warnings %q, want %q", codes(e), c.codes)
			}
		})
	}
}

// The doubts of a stratum carry its name to the land.
func TestLandNamesTheStratum(t *testing.T) {
	lone := Part{Name: "Ridge", AreaHa: 30, Estimate: Stratum(Sample{AreaHa: tenths(1), Count: []float64{2}}, Options{})}
	e := Land([]Part{part(10, 8, 2, 5, 17, 9), lone}, 0.95)
	if len(e.Warnings) == 0 || !strings.HasPrefix(e.Warnings[0].Text, "in stratum Ridge: one unit") {
		t.Errorf("warnings %q", e.Warnings)
	}
}
