package density

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
	"ashtally/stats/strata"
)

// collapsedParts are the strata of collapsed_units.csv: ash and birch with several
// sites, cedar and dogwood with one. With "named", cedar asks for birch.
func collapsedParts(t *testing.T, collapsed string) []Part {
	var parts []Part
	for _, row := range statstest.Table(t, reference+"collapsed_units.csv") {
		if len(parts) == 0 || parts[len(parts)-1].Name != row["stratum"] {
			parts = append(parts, Part{Name: row["stratum"], AreaHa: row.Number(t, "land")})
		}
		s := &parts[len(parts)-1].Sample
		s.AreaHa, s.Count, s.Cluster = append(s.AreaHa, row.Number(t, "area")), append(s.Count, row.Number(t, "a")), append(s.Cluster, int(row.Number(t, "site")))
	}
	for i := range parts {
		p := &parts[i]
		p.Estimate = Stratum(p.Sample, Options{})
		p.Mean = p.Value
		if collapsed == "named" && p.Name == "cedar" {
			p.With = "birch"
		}
	}
	return parts
}

func answer(t *testing.T, collapsed, what string) float64 {
	t.Helper()
	for _, row := range statstest.Table(t, reference+"collapsed.csv") {
		if row["collapsed"] == collapsed && row["what"] == what {
			return row.Number(t, "value")
		}
	}
	t.Fatalf("no %s of %s", what, collapsed)
	return 0
}

// TestCollapsedAgainstR: R's survey package, testdata/reference/collapsed.R.
func TestCollapsedAgainstR(t *testing.T) {
	for _, collapsed := range []string{"nearest", "named"} {
		parts := collapsedParts(t, collapsed)
		if !math.IsNaN(Land(parts, 0.95).SE) {
			t.Fatal("strata of one site have a variance of their own")
		}
		joint := Collapse(parts, Options{})
		if len(joint) != 2 {
			t.Fatalf("%d parts, want 2", len(joint))
		}
		for i, of := range []string{"ash", "birch"} {
			e := joint[i].Estimate
			statstest.Relative(t, collapsed+" density of "+of, e.Value, answer(t, collapsed, "density "+of), 1e-12)
			statstest.Relative(t, collapsed+" standard error of "+of, e.SE, answer(t, collapsed, "se "+of), 1e-12)
		}
		land := Land(joint, 0.95)
		statstest.Relative(t, collapsed+" density", land.Value, answer(t, collapsed, "density"), 1e-12)
		statstest.Relative(t, collapsed+" standard error", land.SE, answer(t, collapsed, "se"), 1e-12)
		statstest.WellFormed(t, land)
		if !(land.Lower > 0 && land.Upper > land.Value) {
			t.Errorf("%s: limits %g and %g", collapsed, land.Lower, land.Upper)
		}
		named := slices.DeleteFunc(slices.Clone(land.Warnings), func(w stats.Warning) bool { return w.Code != strata.CollapsedStrata.Code })
		with := map[string]string{"nearest": "ash", "named": "birch"}[collapsed]
		if len(named) != 2 || !strings.Contains(named[0].Text, "cedar") || !strings.Contains(named[0].Text, with) || !strings.Contains(named[1].Text, "dogwood") {
			t.Errorf("%s: %+v", collapsed, named)
		}
		for _, w := range land.Warnings {
			if strings.Contains(w.Code, "one-site") {
				t.Errorf("%s: the area is said to have one site: %+v", collapsed, w)
			}
		}
	}
}

// TestCollapseOneUnit: 40 units on 99 ha and one on 1 ha, which had left the
// density of the 100 ha without standard error and limits. It is to add little to
// them.
func TestCollapseOneUnit(t *testing.T) {
	rich := Sample{}
	for i := range 40 {
		rich.AreaHa, rich.Count = append(rich.AreaHa, 0.01), append(rich.Count, float64(i*i%7))
	}
	large := Part{Name: "slope", AreaHa: 99, Sample: rich, Estimate: Stratum(rich, Options{})}
	one := Sample{AreaHa: []float64{0.01}, Count: []float64{6}}
	small := Part{Name: "flat", AreaHa: 1, Sample: one, Estimate: Stratum(one, Options{})}
	if !math.IsNaN(small.SE) || small.Warnings[0].Code != "one-unit" {
		t.Fatalf("the stratum of one unit alone has %+v", small.Estimate)
	}
	e := Land(Collapse([]Part{large, small}, Options{}), 0.95)
	statstest.Near(t, "density", e.Value, 0.99*large.Value+0.01*600, 1e-9)
	// By hand: the 40 have c = 0.99/0.4 (y - D/100), the one 1 (y - D/100), D/100 the mean count.
	mean := e.Value / 100
	var v float64
	for _, y := range rich.Count {
		v += math.Pow(0.99/0.4*(y-mean), 2)
	}
	v += math.Pow(6-mean, 2)
	statstest.Relative(t, "standard error", e.SE, math.Sqrt(41./40*v), 1e-12)
	if !(e.Upper-e.Lower < 1.2*(large.Upper-large.Lower)) {
		t.Errorf("limits %g and %g, of the large stratum alone %g and %g", e.Lower, e.Upper, large.Lower, large.Upper)
	}
}

// TestTwoOfOneUnit: Cochran (1977), section 5A.12: a pair of strata of one unit
// each has the squared difference of their totals for the variance of their sum.
func TestTwoOfOneUnit(t *testing.T) {
	part := func(name string, y float64) Part {
		s := Sample{AreaHa: []float64{0.5}, Count: []float64{y}}
		return Part{Name: name, AreaHa: 10, Sample: s, Estimate: Stratum(s, Options{}), Mean: y}
	}
	parts := []Part{part("a", 30), part("b", 24)}
	e := Land(Collapse(parts, Options{Interval: "log-t"}), 0.95)
	statstest.Relative(t, "standard error of the total", 20*e.SE, 10*30/0.5-10*24/0.5, 1e-12)
	for i := range parts { // the same where nothing but the estimates is known
		parts[i].Sample = Sample{}
	}
	other := Land(Collapse(parts, Options{}), 0.95)
	statstest.Relative(t, "standard error by estimates", other.SE, e.SE, 1e-12)
	statstest.Relative(t, "upper limit by estimates", other.Upper, e.Upper, 1e-12)
}

// TestCollapseEstimates: a partner of 9 units, D = 100 and SE 20, on 30 ha and one
// unit of D = 140 on 10 ha: v = (30^2 20^2 + 10^2 40^2 / (1 + 1/9)) / 40^2.
func TestCollapseEstimates(t *testing.T) {
	large := Part{Name: "grid", AreaHa: 30, Estimate: stats.Estimate{Value: 100, SE: 20, N: 9, Interval: stats.Interval{Lower: 70, Upper: 150, Confidence: 0.95}}}
	small := Part{Name: "plot", AreaHa: 10, Estimate: stats.Missing(0.95, 1, stats.Warning{Code: "one-unit"})}
	small.Value = 140
	e := Land(Collapse([]Part{small, large}, Options{}), 0.95)
	statstest.Near(t, "density", e.Value, 110, 1e-12)
	statstest.Relative(t, "standard error", e.SE, math.Sqrt((900*400+100*1600*0.9)/1600), 1e-12)
	if e.DF != 9 || !(e.Lower < 110 && e.Upper > 110) {
		t.Errorf("%+v", e)
	}
}

// TestCollapseSpecial: what strata of one unit do where nothing was found, where
// they were searched whole, and where there is no other.
func TestCollapseSpecial(t *testing.T) {
	made := func(name string, areaHa float64, s Sample) Part {
		e := Stratum(s, Options{})
		return Part{Name: name, AreaHa: areaHa, Sample: s, Estimate: e, Mean: e.Value}
	}
	empty := made("empty", 30, Sample{AreaHa: []float64{0.1, 0.1, 0.1}, Count: []float64{0, 0, 0}})
	bare := made("bare", 10, Sample{AreaHa: []float64{0.02}, Count: []float64{0}})
	e := Land(Collapse([]Part{empty, bare}, Options{}), 0.95)
	// Garwood's limit of no find is 3.68888 finds; each stands for 1/4 / 0.02 = 12.5
	// per ha in the stratum of one unit, and for 3/4 / 0.3 = 2.5 in the other.
	statstest.Near(t, "density", e.Value, 0, 0)
	statstest.Relative(t, "upper limit without finds", e.Upper, 3.68887945411*12.5, 1e-9)

	found := made("found", 10, Sample{AreaHa: []float64{0.02}, Count: []float64{3}})
	e = Land(Collapse([]Part{empty, found}, Options{Interval: "t"}), 0.95)
	if !(e.SE > 0) || e.Value != 37.5 {
		t.Errorf("finds in the stratum of one unit alone: %+v", e)
	}

	whole := made("whole", 0.02, Sample{AreaHa: []float64{0.02}, Count: []float64{3}, LandHa: 0.02})
	if whole.SE != 0 || whole.Method != "count" {
		t.Errorf("one unit that is the whole stratum: %+v", whole.Estimate)
	}
	if joint := Collapse([]Part{empty, whole}, Options{}); len(joint) != 2 {
		t.Error("a stratum that was counted whole is collapsed")
	}
	if alone := Collapse([]Part{found, made("no area", 0, empty.Sample)}, Options{}); len(alone) != 2 || !math.IsNaN(alone[0].SE) {
		t.Errorf("the only stratum with area is collapsed: %+v", alone)
	}
}

// TestJointSpread: the variance of counts made up for what was missed grows with
// the square of what they are made up by.
func TestJointSpread(t *testing.T) {
	parts := collapsedParts(t, "nearest")[:1]
	parts = append(parts, collapsedParts(t, "nearest")[2])
	v, df := JointSpread(parts)
	se := answer(t, "nearest", "se ash")
	statstest.Relative(t, "variance", v, se*se, 1e-12)
	statstest.Near(t, "df", df, 6, 0)
	for i := range parts {
		for j := range parts[i].Sample.Count {
			parts[i].Sample.Count[j] *= 1.5
		}
	}
	more, _ := JointSpread(parts)
	statstest.Relative(t, "variance of half as many again", more, 2.25*v, 1e-12)
}
