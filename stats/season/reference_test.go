package season

import (
	"math"
	"testing"

	"ashtally/stats/statstest"
)

const reference = "../../testdata/reference/"

// answers are those of R to a case; see season.R.
func answers(t *testing.T, name string) map[string]float64 {
	t.Helper()
	list := map[string]float64{}
	for _, row := range statstest.Table(t, reference+"season.csv") {
		if row["case"] == name {
			list[row["figure"]] = row.Number(t, "value")
		}
	}
	return list
}

// visitsOf is the sample of a case, and its plans with their counts by unit.
func visitsOf(t *testing.T, name string, shifts bool) survey {
	t.Helper()
	var s survey
	for _, row := range statstest.Table(t, reference+"season_visits.csv") {
		if row["case"] != name {
			continue
		}
		unit, road := int(row.Number(t, "unit")), row["roadside"] == "1"
		from, to, area := row.Number(t, "from"), row.Number(t, "to"), row.Number(t, "area")
		s.sample.Count = append(s.sample.Count, row.Number(t, "count"))
		s.sample.Exposure = append(s.sample.Exposure, area)
		s.sample.From, s.sample.To = append(s.sample.From, from), append(s.sample.To, to)
		s.sample.Cluster = append(s.sample.Cluster, unit)
		cell := 0
		if road {
			cell = 1
		}
		s.sample.Cell = append(s.sample.Cell, cell)
		if shifts {
			s.sample.ElevationM = append(s.sample.ElevationM, row.Number(t, "elevation"))
			s.sample.Roadside = append(s.sample.Roadside, road)
		}
		if len(s.plans) < unit {
			s.plans = append(s.plans, Plan{Exposure: area, ElevationM: row.Number(t, "elevation"), Roadside: road, Cluster: unit})
			s.counts = append(s.counts, 0)
		}
		p := &s.plans[unit-1]
		p.From, p.To = append(p.From, from), append(p.To, to)
		s.counts[unit-1] += row.Number(t, "count")
	}
	return s
}

// TestStandingAgainstR: R's MASS::glm.nb with a quadratic in the day, and the
// covariance and limits written out in R; see season.R.
func TestStandingAgainstR(t *testing.T) {
	want := answers(t, "standing")
	f := Fit(visitsOf(t, "standing", false).sample, 0.95)
	if f.None != nil {
		t.Fatal(f.None)
	}
	for _, c := range []struct {
		figure string
		got    float64
		digits float64
	}{
		{"peak", f.Peak.Value, 1e-8}, {"sd", f.Spread, 1e-6}, {"k", f.K, 1e-5},
		{"loglik", f.LogLik, 1e-9}, {"aic", f.AIC, 1e-9},
		{"peak_se", f.Peak.SE, 1e-4}, {"width_se", f.Width.SE, 1e-4},
		{"peak_lower", f.Peak.Lower, 1e-6}, {"peak_upper", f.Peak.Upper, 1e-6},
		{"width_lower", f.Width.Lower, 1e-4}, {"width_upper", f.Width.Upper, 1e-4},
		{"peak_se_refitted", f.Peak.SE, 0.02}, // leaving out by one step against fitting again
	} {
		statstest.Relative(t, c.figure, c.got, want[c.figure], c.digits)
	}
}

// TestNewAgainstR: the same model as a Gaussian, integrated by R's pnorm and
// climbed by R's optim, its derivatives by differences, and the covariance,
// degrees of freedom and limits of the shifts written out in R; see season.R.
func TestNewAgainstR(t *testing.T) {
	want := answers(t, "new")
	s := visitsOf(t, "new", true)
	f := Fit(s.sample, 0.95)
	if f.None != nil {
		t.Fatal(f.None)
	}
	seen := f.Seen(s.plans)
	total := s.total(&f, 40)
	for _, c := range []struct {
		figure      string
		got, digits float64
	}{
		// optim stops where the likelihood is flat to its ninth digit.
		{"peak", f.Peak.Value, 1e-5}, {"sd", f.Spread, 1e-4}, {"delay", f.DaysPer100M.Value, 1e-3}, {"lead", f.Lead.Value, 1e-3},
		{"k", f.K, 1e-3}, {"loglik", f.LogLik, 1e-8},
		{"seen_first", seen.Each[0], 1e-4}, {"seen_last", seen.Each[len(seen.Each)-1], 1e-4}, {"seen_all", seen.All.Value, 1e-4},
		{"total", total.Value, 1e-4},
		{"delay_se", f.DaysPer100M.SE, 1e-4}, {"delay_df", f.DaysPer100M.DF, 1e-4},
		{"delay_lower", f.DaysPer100M.Lower, 1e-4}, {"delay_upper", f.DaysPer100M.Upper, 1e-4},
		{"lead_se", f.Lead.SE, 1e-4}, {"lead_df", f.Lead.DF, 1e-4}, {"lead_lower", f.Lead.Lower, 1e-4}, {"lead_upper", f.Lead.Upper, 1e-4},
		{"total_log_se_refitted", total.SE / total.Value, 0.03}, // leaving out by one step against fitting again
	} {
		statstest.Relative(t, c.figure, c.got, want[c.figure], c.digits)
	}
}

// TestShapesAgainstR: the skewed curve with its windows by R's pgamma and the bimodal
// one by pnorm, climbed by R's optim; see season.R.
func TestShapesAgainstR(t *testing.T) {
	for shape, name := range map[Shape]string{Skewed: "skewed", Bimodal: "bimodal"} {
		want := answers(t, name)
		sample := visitsOf(t, name, true).sample
		sample.Roadside = nil
		f := FitShape(sample, shape, 0.95)
		if f.None != nil {
			t.Fatal(f.None)
		}
		got := map[string]float64{"delay": f.DaysPer100M.Value, "grade": f.fit.curve.grade, "k": f.K, "loglik": f.LogLik, "onset": f.Onset.Value, "end": f.End.Value}
		switch r := f.fit.curve.rate.(type) {
		case skewed:
			got["mode"], got["sd"], got["q"] = f.Peak.Value, f.fit.size*r.sd, r.q
		case bimodal:
			got["mode1"], got["sd1"] = f.fit.time(r.first.mode), f.fit.size*r.first.sd
			got["mode2"], got["sd2"] = f.fit.time(r.second.mode), f.fit.size*r.second.sd
			got["ratio"], got["peak"], got["second_peak"] = r.ratio, f.Peak.Value, f.SecondPeak.Value
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d figures, R has %d", name, len(got), len(want))
		}
		for figure, v := range want {
			digits := 2e-4 // optim stops where the likelihood is flat to its ninth digit
			if figure == "loglik" {
				digits = 1e-8 // windows over the steep side by quadrature
			}
			statstest.Relative(t, name+": "+figure, got[figure], v, digits)
		}
	}
}

// TestHopkins: four days for each 400 ft are 3.28 days for each 100 m (Hopkins
// 1920; 400 ft are 121.92 m).
func TestHopkins(t *testing.T) {
	statstest.Near(t, "days per 100 m", HopkinsDaysPer100M, 3.280839895, 1e-9)
	statstest.Near(t, "days per 400 ft", HopkinsDaysPer100M*400*0.3048/100, 4, 1e-12)
	// A slope of 800 ft comes out eight days later at its top: common practice
	// gives the same rule as a day for each 100 ft.
	statstest.Near(t, "days per 800 ft", HopkinsDaysPer100M*(800*0.3048)/100, 8, 1e-12)
}

// TestGradient holds the derivatives of the likelihood to differences of it.
func TestGradient(t *testing.T) {
	d := visitsOf(t, "new", true).sample.prepare()
	for shape, form := range map[Shape][]float64{
		Gaussian: {0.3, -0.9},
		Skewed:   {0.2, -0.3, -0.8},
		Bimodal:  {-0.7, -0.9, 0.8, -0.6, 0.4},
	} {
		m := d.newModel(shape)
		x := make([]float64, m.mean+1)
		copy(x, form)
		x[m.delay], x[m.lead], x[m.grade], x[m.alpha] = 2, 5, -0.2, 0.7
		m.level(x)
		n := len(x)
		gradient, hessian := make([]float64, n), matrix(n, n)
		m.objective(x, gradient, hessian)
		up, down, scratch := make([]float64, n), make([]float64, n), matrix(n, n)
		for i := range n {
			h := 1e-5 * (1 + math.Abs(x[i]))
			moved := append([]float64(nil), x...)
			moved[i] = x[i] + h
			above := m.objective(moved, up, scratch)
			moved[i] = x[i] - h
			below := m.objective(moved, down, scratch)
			statstest.Close(t, string(shape)+": slope", gradient[i], (above-below)/(2*h), 1e-5)
			for j := range n {
				statstest.Close(t, string(shape)+": curvature", hessian[i][j], (up[j]-down[j])/(2*h), 1e-5)
			}
		}
	}
}
