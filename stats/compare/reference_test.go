package compare

import (
	"math"
	"strings"
	"testing"

	"ashtally/stats/statstest"
	"ashtally/stats/strata"
)

// The reference values are R's: testdata/reference/compare.R, which keeps the
// units in compare_units.csv and its answers in compare.csv.
const referenceDir = "../../testdata/reference/"

// answers are R's by case and quantity.
func answers(t *testing.T) map[string]statstest.Row {
	t.Helper()
	all := map[string]statstest.Row{}
	for _, row := range statstest.Table(t, referenceDir+"compare.csv") {
		if all[row["case"]] == nil {
			all[row["case"]] = statstest.Row{}
		}
		all[row["case"]][row["what"]] = row["value"]
	}
	return all
}

// units returns the parts of a case.
func units(t *testing.T, name string) []Part {
	t.Helper()
	at := map[string]int{} // stratum to part
	var parts []Part
	for _, row := range statstest.Table(t, referenceDir+"compare_units.csv") {
		if row["case"] != name {
			continue
		}
		if _, ok := at[row["stratum"]]; !ok {
			at[row["stratum"]] = len(parts)
			parts = append(parts, Part{LandHa: row.Number(t, "land")})
		}
		p := &parts[at[row["stratum"]]]
		p.Cluster = append(p.Cluster, int(row.Number(t, "cluster")))
		p.AreaHa = append(p.AreaHa, row.Number(t, "area"))
		p.A = append(p.A, row.Number(t, "a"))
		p.B = append(p.B, row.Number(t, "b"))
	}
	if parts == nil {
		t.Fatalf("no units of %s", name)
	}
	return parts
}

// near holds a figure to eight digits, unless it is told otherwise; what
// should be missing must be.
func near(t *testing.T, what string, got, want float64, tolerance ...float64) {
	t.Helper()
	if math.IsNaN(got) && math.IsNaN(want) {
		return
	}
	statstest.Relative(t, what, got, want, append(tolerance, 1e-8)[0])
}

// TestRatioAgainstR: svyratio and svycontrast of R's survey package.
func TestRatioAgainstR(t *testing.T) {
	all := answers(t)
	for _, name := range []string{"plain", "sites", "strata", "bigcity"} {
		t.Run(name, func(t *testing.T) {
			want := func(what string) float64 { return all[name].Number(t, what) }
			r := Ratio(units(t, name), 0.95)
			near(t, "log ratio", math.Log(r.Value), want("log"))
			near(t, "SE", r.SE, r.Value*math.Sqrt(want("variance")))
			if _, ok := all[name]["svyratio"]; ok {
				near(t, "ratio", r.Value, want("svyratio"))
				near(t, "SE by svyratio", r.SE, want("svyratio_se"))
			}
			if _, ok := all[name]["df"]; ok {
				near(t, "df", r.DF, want("df"))
				near(t, "lower", r.Lower, want("lower"))
				near(t, "upper", r.Upper, want("upper"))
				near(t, "p", r.P, want("p"))
			}
		})
	}
}

// TestCollapsedAgainstR: strata of one site, collapsed with the nearest or as
// they ask, by R's survey package: testdata/reference/collapsed.R.
func TestCollapsedAgainstR(t *testing.T) {
	for _, row := range statstest.Table(t, referenceDir+"collapsed.csv") {
		if row["what"] != "variance of log a to b" && row["what"] != "log a to b" {
			continue
		}
		var parts []Part
		for _, unit := range statstest.Table(t, referenceDir+"collapsed_units.csv") {
			if len(parts) == 0 || parts[len(parts)-1].Name != unit["stratum"] {
				parts = append(parts, Part{Stratum: strata.Stratum{Name: unit["stratum"]}, LandHa: unit.Number(t, "land")})
			}
			p := &parts[len(parts)-1]
			p.AreaHa, p.A, p.B = append(p.AreaHa, unit.Number(t, "area")), append(p.A, unit.Number(t, "a")), append(p.B, unit.Number(t, "b"))
			p.Cluster = append(p.Cluster, int(unit.Number(t, "site")))
		}
		for i := range parts {
			p := &parts[i]
			p.Mean = sum(p.A) / sum(p.AreaHa)
			if row["collapsed"] == "named" && p.Name == "cedar" {
				p.With = "birch"
			}
		}
		r := Ratio(parts, 0.95)
		if row["what"] == "log a to b" {
			near(t, row["collapsed"]+" log ratio", math.Log(r.Value), row.Number(t, "value"))
			continue
		}
		near(t, row["collapsed"]+" SE", r.SE/r.Value, math.Sqrt(row.Number(t, "value")))
		if got := codes(r.Warnings); !strings.HasPrefix(got, "collapsed-strata collapsed-strata") {
			t.Errorf("%s: warnings %q", row["collapsed"], got)
		}
	}
}

func sum(values []float64) float64 {
	var total float64
	for _, v := range values {
		total += v
	}
	return total
}

// TestShareAgainstR: the share of A among A and B, by its own delta method.
func TestShareAgainstR(t *testing.T) {
	all := answers(t)
	for _, name := range []string{"plain", "sites", "strata", "bigcity"} {
		parts := units(t, name)
		for i := range parts {
			for j, a := range parts[i].A {
				parts[i].B[j] += a
			}
		}
		s := Share(parts, 0.95)
		want := func(what string) float64 { return all[name].Number(t, what) }
		near(t, name+" share", s.Value, want("share"))
		near(t, name+" SE", s.SE, want("share_se"))
		near(t, name+" lower", s.Lower, want("share_lower"))
		near(t, name+" upper", s.Upper, want("share_upper"))
	}
}

// TestBigcity: the 49 cities of Cochran (1977), Sampling Techniques, p. 152, as
// R's boot::bigcity has them. The published ratio 1.239 is from memory.
func TestBigcity(t *testing.T) {
	r := Ratio(units(t, "bigcity"), 0.95)
	near(t, "ratio", r.Value, 1.23901859913, 1e-11)
	if math.Abs(r.Value-1.239) > 0.0005 {
		t.Errorf("ratio %v does not round to the published 1.239", r.Value)
	}
	// se_total_ratio = N ubar SE(R) sqrt(1 - f), N = 196, f = 1/4.
	near(t, "SE of the total", 196*5054/49.*r.SE*math.Sqrt(0.75), 604.036188145)
}

func TestContrastAgainstR(t *testing.T) {
	all := answers(t)
	want := func(what string) float64 { return all["contrast"].Number(t, what) }
	first, second, third := units(t, "contrast1"), units(t, "contrast2"), units(t, "contrast3")
	c := Contrast([]Group{{1, first}, {-1, second}}, 0.95)
	near(t, "log", math.Log(c.Value), want("log"))
	near(t, "SE", c.SE, c.Value*math.Sqrt(want("variance")))
	c = Contrast([]Group{{-1.5, first}, {0.5, second}, {1, third}}, 0.95)
	near(t, "log of the trend", math.Log(c.Value), want("trend_log"))
	near(t, "SE of the trend", c.SE, c.Value*math.Sqrt(want("trend_variance")))
}

// TestExactAgainstR: binom.test.
func TestExactAgainstR(t *testing.T) {
	all := answers(t)
	cases := 0
	for name, want := range all {
		if !strings.HasPrefix(name, "exact_") {
			continue
		}
		finds := piece{a: want.Number(t, "a"), b: want.Number(t, "b")}
		cases++
		i := exact(finds, 0.95)
		near(t, name+" lower", i.Lower, want.Number(t, "lower"))
		if finds.b == 0 {
			if !math.IsNaN(i.Upper) {
				t.Errorf("%s: upper limit %v without a find of the second group", name, i.Upper)
			}
			continue
		}
		near(t, name+" upper", i.Upper, want.Number(t, "upper"))
	}
	if cases != 6 {
		t.Errorf("%d cases, want 6", cases)
	}
}
