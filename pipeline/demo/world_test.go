package demo

import (
	"math"
	"strings"
	"testing"
)

// tolerance is the relative error that the large samples below may show: some
// four standard errors of the noisiest of them, so that a wrong formula fails
// and chance does not. The seed is fixed.
const tolerance = 0.08

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got/want-1) > tolerance {
		t.Errorf("%s: got %g, want %g within %g", what, got, want, tolerance)
	}
}

// Over 20,000 plots the finds of each stratum, mode and visit agree with the
// expectation from the constants.
func TestFindsFollowTheConstants(t *testing.T) {
	w := world{seed: 7, scale: 1}
	var got, want [len(strata)]float64
	var gotVisit, wantVisit [2]float64
	for u := range w.scaledPlots(20_000) {
		expected := GroupMean * (u.groups(saprotrophic) + u.groups(hostAssociated)) * u.detection()
		for v, day := range u.days {
			wantVisit[v] += expected * u.standing(day)
		}
		want[u.slot.stratum] += expected * u.seenShare()
		for _, f := range u.findRows(w, u.newForest()) {
			if f.Mode == "" {
				continue
			}
			got[u.slot.stratum] += float64(f.Count.Value)
			if f.Date == date(u.days[0]) {
				gotVisit[0] += float64(f.Count.Value)
			} else {
				gotVisit[1] += float64(f.Count.Value)
			}
		}
	}
	for i, s := range strata {
		near(t, s.name, got[i], want[i])
	}
	near(t, "first visit", gotVisit[0], wantVisit[0])
	near(t, "second visit", gotVisit[1], wantVisit[1])
}

// The chance that an observer sees what the other saw is their own, and the
// second pass finds what the first left, times its chance.
func TestObserversAndPassesMissWhatTheyShould(t *testing.T) {
	w := world{seed: 11, scale: 1}
	var byFirst, bySecond, byBoth float64
	var pass [2]float64
	var expectedSecond float64
	for u := range w.scaledPlots(20_000) {
		missed := 1 - u.team()[0].Detects
		for _, f := range u.findRows(w, &forest{}) {
			if u.observers == 2 {
				first, second := strings.Contains(f.SeenBy, crew[0].Name), strings.Contains(f.SeenBy, crew[1].Name)
				byFirst += count(first)
				bySecond += count(second)
				byBoth += count(first && second)
			}
			if u.passes == 2 {
				pass[f.Pass.Value-1]++
				expectedSecond += missed / (1 + missed)
			}
		}
	}
	near(t, "first observer", byBoth/bySecond, crew[0].Detects)
	near(t, "second observer", byBoth/byFirst, crew[1].Detects)
	near(t, "second pass", pass[1], expectedSecond)
}

func count(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// The variance of negative binomial counts is m + m^2/k; a gamma effect of
// shape k and mean 1 therefore has variance 1/k.
func TestSoilHasItsClumping(t *testing.T) {
	rng := stream(3, unitStream, 0)
	const n = 50_000
	var sum, squares float64
	for range n {
		g := gammaOfMeanOne(rng, ClumpingPer100M2)
		sum += g
		squares += g * g
	}
	mean := sum / n
	near(t, "mean", mean, 1)
	near(t, "variance", squares/n-mean*mean, 1/ClumpingPer100M2)
}

// On lines the share found and the mean square of the distances are those of a
// half-normal cut at the half-width w, for which, with z = w/sigma,
//
//	E(x^2) = sigma^2 (1 - z exp(-z^2/2) / (sqrt(pi/2) erf(z/sqrt 2)))
func TestLinesSeeAHalfNormal(t *testing.T) {
	w := world{seed: 5, scale: 1}
	all := slots(transects)
	u := w.newUnit(all[len(all)-1], "L01", 0, 0)
	if !u.isLine() {
		t.Fatal("the last transect is no line")
	}
	const n = 100_000
	var found, squares float64
	for range n {
		if s, ok := u.search(); ok {
			found++
			squares += s.distanceM * s.distanceM
		}
	}
	z := u.extent.halfWidth / LineSigmaM
	cut := z * math.Exp(-z*z/2) / (math.Sqrt(math.Pi/2) * math.Erf(z/math.Sqrt2))
	near(t, "share found", found/n, u.detection())
	near(t, "mean square distance", squares/found, LineSigmaM*LineSigmaM*(1-cut))
}

// Fruit bodies stand in greatest number on the peak day, later uphill and
// earlier beside roads.
func TestTheFlushPeaksOnItsDay(t *testing.T) {
	w := world{seed: 1, scale: 1}
	for u := range w.scaledPlots(200) {
		best := 0
		for day := range 200 {
			if u.standing(day) > u.standing(best) {
				best = day
			}
		}
		want := PeakDay + (u.elevationM-PeakElevationM)*DaysPer100M/100
		if u.roadside {
			want -= RoadsideLeadDays
		}
		if math.Abs(float64(best)-want) > 0.51 {
			t.Errorf("at %g m, roadside %t, most stand on day %d, want %g", u.elevationM, u.roadside, best, want)
		}
	}
}

func TestGroupsHaveTheirMean(t *testing.T) {
	rng := stream(9, unitStream, 0)
	const n = 50_000
	sum := 0
	for range n {
		sum += groupSize(rng)
	}
	near(t, "group size", float64(sum)/n, GroupMean)
}

// A point's nearest tree lies at 1/(2 sqrt(density)) on average, the mean of a
// Rayleigh distance; a host lies nearer.
func TestTreesStandWhereTheyShould(t *testing.T) {
	w := world{seed: 2, scale: 1}
	u := w.newUnit(slots(plots)[0], "P1", 0, 0)
	f := &forest{}
	const n = 20_000
	var any, host float64
	for range n {
		any += u.nearestTree(f).distanceM
		near := u.nearestHost(f)
		host += near.distanceM
		if !near.alive {
			t.Fatal("a dead host")
		}
	}
	perM2 := total(u.land.stemsPerHa[:]) / squareMetresPerHa
	near(t, "any tree", any/n, 1/(2*math.Sqrt(perM2)))
	near(t, "host", host/n, HostDistanceM)
}

func TestPickFollowsItsWeights(t *testing.T) {
	rng := stream(4, unitStream, 0)
	weights := []float64{0, 3, 0, 1, 0}
	got := make([]float64, len(weights))
	const n = 50_000
	for range n {
		got[pick(rng, weights)]++
	}
	if got[0]+got[2]+got[4] > 0 {
		t.Errorf("a weight of 0 was picked: %v", got)
	}
	near(t, "share", got[1]/n, 0.75)
}

func TestTrendHasMeanOne(t *testing.T) {
	u := unit{slot: slot{block: block{systematic: true, units: 10}}}
	sum := 0.0
	for u.order = range u.units {
		sum += u.trend()
	}
	if math.Abs(sum-10) > 1e-12 {
		t.Errorf("effects along the layout sum to %g, want 10", sum)
	}
}

// TestLandForScaledPlots: plots of any number cover less than a quarter of their stratum,
// and land is added only for those that need it.
func TestLandForScaledPlots(t *testing.T) {
	w := world{seed: 1, scale: 1}
	searched := map[string]float64{} // by 2,000 plots
	for u := range w.scaledPlots(2000) {
		searched[u.land.name] += u.areaHa
	}
	for _, n := range []int{2000, 50_000, 256_000, 2_000_000} {
		for _, s := range landFor(n) {
			if covered := searched[s.name] * float64(n) / 2000 / s.areaHa; !(covered > 0 && covered < 0.25) {
				t.Errorf("%d plots cover %.2f of %s", n, covered, s.name)
			}
		}
	}
	if got, want := landFor(50_000)[severe].areaHa, strata[severe].areaHa; got != want {
		t.Errorf("land for 50,000 plots: %g ha, want %g", got, want)
	}
}
