package domain

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/density"
	"ashtally/stats/statstest"
)

const referenceDir = "../../testdata/reference/"

// units are the samples of a case of domain.R, and the class of each unit.
func units(t *testing.T, name string) (samples []density.NamedSample, of [][]int) {
	t.Helper()
	at := map[string]int{}
	for _, row := range statstest.Table(t, referenceDir+"domain_units.csv") {
		if row["case"] != name {
			continue
		}
		h, ok := at[row["stratum"]]
		if !ok {
			h = len(samples)
			at[row["stratum"]] = h
			samples, of = append(samples, density.NamedSample{Name: row["stratum"]}), append(of, nil)
			samples[h].LandHa = row.Number(t, "land")
		}
		s := &samples[h]
		s.Cluster = append(s.Cluster, int(row.Number(t, "cluster")))
		s.AreaHa = append(s.AreaHa, row.Number(t, "area"))
		s.Count = append(s.Count, row.Number(t, "count"))
		of[h] = append(of[h], int(row.Number(t, "class")))
	}
	return samples, of
}

// TestAgainstSurvey holds densities, shares and their standard errors to R's survey
// package (testdata/reference/domain.R).
func TestAgainstSurvey(t *testing.T) {
	for _, name := range []string{"equal", "unequal"} {
		samples, of := units(t, name)
		got := Estimates(samples, of, 3, density.Options{})
		checked := 0
		for _, row := range statstest.Table(t, referenceDir+"domain.csv") {
			if row["case"] != name {
				continue
			}
			e := got[int(row.Number(t, "class"))]
			value := map[string]float64{"density": e.Density.Value, "se": e.Density.SE, "share": e.Share.Value, "share_se": e.Share.SE}
			statstest.Relative(t, name+" "+row["class"]+" "+row["what"], value[row["what"]], row.Number(t, "value"), 1e-8)
			checked++
		}
		if checked != 12 {
			t.Errorf("%s: %d values", name, checked)
		}
	}
}

// TestWholeSampleIsADomain: a domain of all units is the survey area.
func TestWholeSampleIsADomain(t *testing.T) {
	samples, of := units(t, "unequal")
	for h := range of {
		clear(of[h])
	}
	whole, got := density.Area(samples, density.Options{}).Area, Estimates(samples, of, 1, density.Options{})[0]
	statstest.Relative(t, "density", got.Density.Value, whole.Value, 1e-12)
	statstest.Relative(t, "standard error", got.Density.SE, whole.SE, 1e-9)
	statstest.Relative(t, "lower limit", got.Density.Lower, whole.Lower, 1e-12)
	statstest.Relative(t, "upper limit", got.Density.Upper, whole.Upper, 1e-12)
	if got.Share.Value != 1 || got.Share.SE > 1e-12 {
		t.Errorf("the share of all is %v, standard error %v", got.Share.Value, got.Share.SE)
	}
}

// TestEmptyDomain: a domain without units has a share of 0 and no density.
func TestEmptyDomain(t *testing.T) {
	samples, of := units(t, "equal")
	got := Estimates(samples, of, 4, density.Options{})[3]
	if !math.IsNaN(got.Density.Value) || !noneInDomain.In(got.Density.Warnings) || got.Share.Value != 0 || got.Units != 0 {
		t.Errorf("%+v", got)
	}
}

// TestNoFinds: a domain that was searched and held nothing has density 0 and an upper
// limit.
func TestNoFinds(t *testing.T) {
	samples, of := units(t, "equal")
	for h := range samples {
		for i, d := range of[h] {
			if d == 1 {
				samples[h].Count[i] = 0
			}
		}
	}
	got := Estimates(samples, of, 3, density.Options{})[1]
	if got.Density.Value != 0 || got.Density.Lower != 0 || !(got.Density.Upper > 0) || !math.IsNaN(got.Density.SE) {
		t.Errorf("%+v", got.Density)
	}
}

// TestDomainsAddUp: the shares of domains that have all units between them sum to 1,
// and the densities weighed by them to that of the area, in whatever order the units
// come.
func TestDomainsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var samples []density.NamedSample
		var of [][]int
		for range rapid.IntRange(1, 3).Draw(t, "strata") {
			s := density.NamedSample{}
			s.LandHa = rapid.Float64Range(10, 1000).Draw(t, "land")
			var classes []int
			for range rapid.IntRange(2, 8).Draw(t, "units") {
				s.AreaHa = append(s.AreaHa, rapid.Float64Range(0.01, 0.1).Draw(t, "area"))
				s.Count = append(s.Count, float64(rapid.IntRange(0, 20).Draw(t, "count")))
				s.Cluster = append(s.Cluster, rapid.IntRange(0, 4).Draw(t, "site"))
				classes = append(classes, rapid.IntRange(0, 2).Draw(t, "class"))
			}
			samples, of = append(samples, s), append(of, classes)
		}
		var share, sum float64
		for _, e := range Estimates(samples, of, 3, density.Options{}) {
			share += e.Share.Value
			if e.Units > 0 {
				sum += e.Share.Value * e.Density.Value
				statstest.WellFormed(t, e.Density)
			}
		}
		statstest.Relative(t, "shares", share, 1, 1e-12)
		statstest.Close(t, "density of the area", sum, density.Area(samples, density.Options{}).Area.Value, 1e-9)
	})
}

func TestMisuse(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"strata": func() { Estimates(make([]density.NamedSample, 2), make([][]int, 1), 1, density.Options{}) },
	})
}
