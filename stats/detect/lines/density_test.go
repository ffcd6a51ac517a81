package lines

import (
	"errors"
	"math"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/detect"
	"ashtally/stats/strata"
)

// small is a survey of eight lines in two strata with 60 distances of a
// half-normal with scale 5 m, placed by quantiles; the seventh line is empty.
func small() (Survey, detect.Data) {
	s := Survey{Strata: []Stratum{{Name: "north", AreaHa: 10}, {Name: "south", AreaHa: 30}}}
	for k := range 8 {
		s.Transects = append(s.Transects, Transect{Stratum: k / 4, Length: 100 + 10*float64(k), Sequence: k})
	}
	var d detect.Data
	for i := range 60 {
		on := i * i % 11 % 8
		if on == 6 {
			on = 0
		}
		s.On = append(s.On, on)
		d.Distance = append(d.Distance, 5*math.Sqrt2*math.Erfinv((float64(i)+0.5)/60))
	}
	d.Right = 12
	return s, d
}

func fitted(t *testing.T, d detect.Data, m detect.Model) *detect.Fit {
	t.Helper()
	sample, err := detect.New(d)
	if err != nil {
		t.Fatal(err)
	}
	f, err := sample.Fit(m, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func estimated(t *testing.T, s Survey, f *detect.Fit, o Options) Result {
	t.Helper()
	r, err := s.Density(f, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func has(list []stats.Warning, t *stats.WarningType) bool {
	for _, w := range list {
		if w.Code == t.Code {
			return true
		}
	}
	return false
}

// TestDensityByHand adds everything up again from the formulas of the doc
// comment.
func TestDensityByHand(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	r := estimated(t, s, f, Options{})
	mu := f.HalfWidth.Value
	var density, variance, below float64
	for h, w := range []float64{0.25, 0.75} {
		var l, n [4]float64
		var length, count float64
		for k := range 4 {
			l[k] = s.Transects[4*h+k].Length
			length += l[k]
		}
		for _, i := range f.Sample().Used() {
			if on := s.On[i]; on/4 == h {
				n[on%4]++
				count++
			}
		}
		stratum := count / (2 * mu * length) * 1e4
		near(t, "density of "+s.Strata[h].Name, r.Strata[h].Density.Value, stratum, 1e-9)
		density += w * stratum
		var squares float64
		for k := range 4 {
			z := n[k] - l[k]*count/length
			squares += z * z
		}
		v := w * w * 4 / 3 * squares / (length * length) / (4 * mu * mu) * 1e8
		variance += v
		below += v * v / 3
	}
	near(t, "density", r.Density.Value, density, 1e-9)
	cvRate, cvMu := math.Sqrt(variance)/density, f.HalfWidth.CV()
	near(t, "cv of the encounter rate", r.Parts[0].CV, cvRate, 1e-12)
	near(t, "cv of detection", r.Parts[1].CV, cvMu, 1e-9)
	cv2 := cvRate*cvRate + cvMu*cvMu
	near(t, "cv", r.Density.CV(), math.Sqrt(cv2), 1e-9)
	near(t, "share", r.Parts[1].Share, cvMu*cvMu/cv2, 1e-9)
	dfRate := variance * variance / below
	near(t, "df of the encounter rate", r.Parts[0].DF, dfRate, 1e-9)
	df := cv2 * cv2 / (math.Pow(cvRate, 4)/dfRate + math.Pow(cvMu, 4)/(float64(f.N)-1))
	near(t, "df", r.Density.DF, df, 1e-7)
	near(t, "rate", r.Rate.Value, density*2*mu/1e4*1000, 1e-9)
	if r.Density.N != 8 || r.Density.Method != "log-normal" || !has(r.Density.Warnings, FewTransects) || !has(r.Density.Warnings, OnLineAssumed) {
		t.Errorf("%+v", r.Density)
	}
}

// TestStakesOfOneLine: 35.714025 per ha within 20 m (R and Python; see package
// detect), and no interval from a single line.
func TestStakesOfOneLine(t *testing.T) {
	var x []float64
	for _, row := range referenceRows(t, "detect_stakes.csv") {
		x = append(x, row[0])
	}
	f := fitted(t, detect.Data{Distance: x, Right: 20}, hn)
	s := Survey{Strata: []Stratum{{Name: "sagebrush"}}, Transects: []Transect{{Length: 1000}}, On: make([]int, len(x))}
	r := estimated(t, s, f, Options{})
	near(t, "density", r.Density.Value, 35.714025, 1e-6)
	if !math.IsNaN(r.Density.SE) || !math.IsNaN(r.Density.Lower) || !has(r.Density.Warnings, OneTransect) {
		t.Errorf("one line: %+v", r.Density)
	}
	s.Transects[0].Sides = 1
	near(t, "density of one side", estimated(t, s, f, Options{}).Density.Value, 2*35.714025, 2e-6)
}

// TestSitesCountAsOne: pairs of lines joined in sites give the same density and
// the variance of four primary sampling units.
func TestSitesCountAsOne(t *testing.T) {
	s, d := small()
	s.Strata = s.Strata[:1]
	for k := range s.Transects {
		s.Transects[k].Stratum = 0
	}
	f := fitted(t, d, hn)
	apart := estimated(t, s, f, Options{})
	joined := s
	joined.Transects = append([]Transect(nil), s.Transects...)
	merged := Survey{Strata: s.Strata}
	for k := range joined.Transects {
		joined.Transects[k].Site = string(rune('a' + k/2))
		if k%2 == 1 {
			merged.Transects = append(merged.Transects, Transect{Length: s.Transects[k-1].Length + s.Transects[k].Length})
		}
	}
	for _, on := range s.On {
		merged.On = append(merged.On, on/2)
	}
	got, want := estimated(t, joined, f, Options{}), estimated(t, merged, f, Options{})
	near(t, "density", got.Density.Value, apart.Density.Value, 1e-9)
	near(t, "se", got.Density.SE, want.Density.SE, 1e-9)
	if got.Density.N != 4 || apart.Density.N != 8 {
		t.Errorf("N %d and %d", got.Density.N, apart.Density.N)
	}
}

// TestFormsReachTheDensity, by the order of the layout.
func TestFormsReachTheDensity(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	seen := map[float64]string{}
	for _, form := range density.Systematics() {
		r := estimated(t, s, f, Options{Systematic: form})
		if other, twice := seen[r.Density.SE]; twice {
			t.Errorf("%s and %s give the same standard error", form, other)
		}
		seen[r.Density.SE] = form
	}
	turned := s
	turned.Transects = append([]Transect(nil), s.Transects...)
	for k := range turned.Transects {
		turned.Transects[k].Sequence = (k * 3) % 8
	}
	near(t, "random in another order", estimated(t, turned, f, Options{}).Density.SE, estimated(t, s, f, Options{}).Density.SE, 1e-12)
	if a, b := estimated(t, turned, f, Options{Systematic: "successive-differences"}).Density.SE, estimated(t, s, f, Options{Systematic: "successive-differences"}).Density.SE; a == b {
		t.Error("the variance by successive differences does not depend on the order of the lines")
	}
}

// TestNeighboursNeedASequence: variances that compare neighbours say so if the
// lines have none; the random ones do not ask for one.
func TestNeighboursNeedASequence(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	for _, form := range density.Systematics() {
		if has(estimated(t, s, f, Options{Systematic: form}).Density.Warnings, NoSequence) {
			t.Errorf("%s: lines in sequence", form)
		}
	}
	for k := range s.Transects {
		s.Transects[k].Sequence = 0
	}
	for _, form := range density.Systematics() {
		if got := has(estimated(t, s, f, Options{Systematic: form}).Density.Warnings, NoSequence); got != density.ByOrder(form) {
			t.Errorf("%s without a sequence: warning %t", form, got)
		}
	}
}

// TestSizes: density times mean size, one more part; sizes of 1 change nothing
// but the shares.
func TestSizes(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	single := estimated(t, s, f, Options{})
	s.Size = make([]float64, len(s.On))
	for i := range s.Size {
		s.Size[i] = float64(1 + i%3)
	}
	r := estimated(t, s, f, Options{Size: SizeMean})
	near(t, "groups", r.Groups.Value, single.Density.Value, 1e-9)
	near(t, "objects", r.Density.Value, single.Density.Value*r.GroupSize.Value, 1e-9)
	if len(r.Parts) != 3 || r.Parts[2].Source != "group size" || r.SizeBy != SizeMean {
		t.Errorf("%+v", r.Parts)
	}
	var share float64
	for _, p := range r.Parts {
		share += p.Share
	}
	near(t, "shares", share, 1, 1e-12)
	near(t, "cv", math.Pow(r.Density.CV(), 2), math.Pow(single.Density.CV(), 2)+math.Pow(r.GroupSize.CV(), 2), 1e-9)

	for i := range s.Size { // larger with distance: distances ascend
		s.Size[i] = math.Ceil(float64(i+1)/12 + float64(i%2))
	}
	biased := estimated(t, s, f, Options{})
	if biased.SizeBy != SizeRegression || !has(biased.Density.Warnings, SizeBias) || !(biased.GroupSize.Value < 3) {
		t.Errorf("larger groups farther off: %s, %+v", biased.SizeBy, biased.GroupSize)
	}
}

// TestCovariates: each detection counts 1/mu at its own covariates, its size
// with it; with one scale for all levels that is the plain density.
func TestCovariates(t *testing.T) {
	s, d := small()
	level := make([]string, len(s.On))
	for i := range level {
		level[i] = string(rune('a' + i%2))
	}
	d.Covariates = []detect.Covariate{{Name: "observer", Level: level}}
	f := fitted(t, d, detect.Model{Key: detect.HalfNormal, Covariates: []string{"observer"}})
	r := estimated(t, s, f, Options{})
	want := 0.0
	for j, i := range f.Sample().Used() {
		h := s.On[i] / 4
		length := []float64{460, 620}[h]
		want += []float64{0.25, 0.75}[h] / (2 * length) / f.Widths()[j] * 1e4
	}
	near(t, "density", r.Density.Value, want, 1e-9)
	near(t, "near the plain one", r.Density.Value, estimated(t, s, fitted(t, d, hn), Options{}).Density.Value, 0.03*want)

	s.Size = make([]float64, len(s.On))
	for i := range s.Size {
		s.Size[i] = 2
	}
	twice := estimated(t, s, f, Options{Size: SizeRegression})
	near(t, "twice the objects", twice.Density.Value, 2*want, 1e-9)
	near(t, "the same groups", twice.Groups.Value, want, 1e-9)
	near(t, "same cv", twice.Density.CV(), r.Density.CV(), 1e-9)
	near(t, "size", twice.GroupSize.Value, 2, 1e-12)
	if len(twice.Parts) != 2 || !has(twice.Density.Warnings, SizeWithScales) {
		t.Errorf("%+v %+v", twice.Parts, twice.Density.Warnings)
	}
}

// TestOnLine: half of what is on the line found makes twice the density.
func TestOnLine(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	plain := estimated(t, s, f, Options{})
	var o Options
	o.OnLine.Value, o.OnLine.SE = 0.5, 0.1
	r := estimated(t, s, f, o)
	near(t, "density", r.Density.Value, 2*plain.Density.Value, 1e-9)
	near(t, "cv", math.Pow(r.Density.CV(), 2), math.Pow(plain.Density.CV(), 2)+0.04, 1e-12)
	if has(r.Density.Warnings, OnLineAssumed) || len(r.Parts) != 3 {
		t.Errorf("%+v", r)
	}
}

// TestStrataWithLittle: none walked, none found, no area.
func TestStrataWithLittle(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	full := estimated(t, s, f, Options{})
	s.Strata = append(s.Strata, Stratum{Name: "ravine", AreaHa: 20}, Stratum{Name: "bog", AreaHa: 40})
	for range 3 {
		s.Transects = append(s.Transects, Transect{Stratum: 3, Length: 100})
	}
	r := estimated(t, s, f, Options{})
	if ravine := r.Strata[2]; !math.IsNaN(ravine.Density.Value) || !has(ravine.Density.Warnings, NotSearched) || ravine.Weight != 0 {
		t.Errorf("not searched: %+v", ravine)
	}
	bog := r.Strata[3].Density
	near(t, "upper limit of nothing", bog.Upper, 3.68887945411/(f.HalfWidth.Value*600)*1e4, 1e-7) // Garwood's limit
	if bog.Value != 0 || bog.Lower != 0 || !math.IsNaN(bog.SE) || !has(bog.Warnings, NoFinds) {
		t.Errorf("nothing found: %+v", bog)
	}
	near(t, "density of the land", r.Density.Value, full.Density.Value/2, 1e-9) // the bog is as large as the rest
	if !has(r.Density.Warnings, NotSearched) || !has(r.Density.Warnings, NoFinds) {
		t.Errorf("%+v", r.Density.Warnings)
	}
	s.Strata[0].AreaHa = 0
	byEffort := estimated(t, s, f, Options{})
	near(t, "weight by effort", byEffort.Strata[0].Weight, 460.0/(460+620+300), 1e-12)
	if !has(byEffort.Density.Warnings, AreasUnknown) {
		t.Errorf("%+v", byEffort.Density.Warnings)
	}
}

// TestStratumOfOneLine: a stratum of one line has no variance, and the density of
// all has that of the strata collapsed, as package density gives it to counts per
// length.
func TestStratumOfOneLine(t *testing.T) {
	s, d := small()
	f := fitted(t, d, hn)
	s.Strata = append(s.Strata, Stratum{Name: "bog", AreaHa: 1, Mean: 3})
	s.Strata[1].Mean = 2
	s.Transects[4].Stratum = 2
	r := estimated(t, s, f, Options{})
	parts := make([]density.Part, 3)
	for h := range parts {
		parts[h].Name, parts[h].AreaHa, parts[h].Mean = s.Strata[h].Name, s.Strata[h].AreaHa, s.Strata[h].Mean
	}
	for i, transect := range s.Transects {
		p := &parts[transect.Stratum].Sample
		p.AreaHa, p.Count = append(p.AreaHa, transect.Length/1000), append(p.Count, 0)
		for _, j := range f.Sample().Used() {
			if s.On[j] == i {
				p.Count[len(p.Count)-1]++
			}
		}
	}
	for h := range parts {
		parts[h].Estimate = density.Stratum(parts[h].Sample, density.Options{})
	}
	want := density.Land(density.Collapse(parts, density.Options{}), 0.95)
	near(t, "encounter rate", r.Rate.Value, want.Value, 1e-9)
	near(t, "its standard error", r.Rate.SE, want.SE, 1e-9)
	if !(r.Density.SE > 0 && r.Density.Lower > 0) || !has(r.Density.Warnings, strata.CollapsedStrata) || has(r.Density.Warnings, OneTransect) {
		t.Errorf("%+v", r.Density)
	}
	if bog := r.Strata[2].Density; !math.IsNaN(bog.SE) || !math.IsNaN(bog.Lower) || !has(bog.Warnings, OneTransect) {
		t.Errorf("one line: %+v", bog)
	}
	replay := replayed(t, s, []*detect.Fit{f}, Resampling{Replicates: 199, Seed: 1})
	again, err := replay.Density()
	if err != nil || !(again.Density.SE > 0 && again.Density.Lower > 0) || !math.IsNaN(again.Strata[2].SE) {
		t.Errorf("lines drawn again: %v, %+v", err, again.Density)
	}
}

// TestSameRateOnEveryLine: Poisson counts stand in for a variance of 0.
func TestSameRateOnEveryLine(t *testing.T) {
	s := Survey{Strata: []Stratum{{Name: "all"}}}
	var d detect.Data
	for k := range 10 {
		s.Transects = append(s.Transects, Transect{Length: 100})
		for i := range 4 {
			s.On = append(s.On, k)
			d.Distance = append(d.Distance, float64(i)+float64(k)/10)
		}
	}
	r := estimated(t, s, fitted(t, d, hn), Options{})
	near(t, "cv of the encounter rate", r.Parts[0].CV, 1/math.Sqrt(40), 1e-12)
	if !has(r.Density.Warnings, NoSpread) || !(r.Density.Upper > r.Density.Lower) {
		t.Errorf("%+v", r.Density)
	}
}

// TestFaults: field data end in an error, programmers' slips in a panic.
func TestFaults(t *testing.T) {
	for says, change := range map[string]func(s *Survey){
		"transect 3 is 0 m long":     func(s *Survey) { s.Transects[2].Length = 0 },
		"transect 1 is NaN m":        func(s *Survey) { s.Transects[0].Length = math.NaN() },
		"searched on 3 sides":        func(s *Survey) { s.Transects[0].Sides = 3 },
		"detection 2 is a group of ": func(s *Survey) { s.Size = make([]float64, len(s.On)); s.Size[0] = 1 },
		`"north" has -1 ha`:          func(s *Survey) { s.Strata[0].AreaHa = -1 },
	} {
		s, d := small()
		f := fitted(t, d, hn)
		change(&s)
		_, err := s.Density(f, Options{})
		_, again := s.Bootstrap([]*detect.Fit{f}, Resampling{Replicates: 9})
		if !errors.Is(err, ErrSurvey) || !strings.Contains(err.Error(), says) || !errors.Is(again, ErrSurvey) {
			t.Errorf("errors %v and %v, want %q", err, again, says)
		}
	}
	for name, change := range map[string]func(s *Survey, o *Options){
		"no such transect":   func(s *Survey, _ *Options) { s.On[0] = 99 },
		"no such stratum":    func(s *Survey, _ *Options) { s.Transects[0].Stratum = 7 },
		"too few detections": func(s *Survey, _ *Options) { s.On = s.On[:5] },
		"sizes":              func(s *Survey, _ *Options) { s.Size = []float64{1} },
		"confidence":         func(_ *Survey, o *Options) { o.Confidence = 95 },
		"form":               func(_ *Survey, o *Options) { o.Systematic = "O9" },
		"size method":        func(_ *Survey, o *Options) { o.Size = "median" },
		"on the line":        func(_ *Survey, o *Options) { o.OnLine.Value = 1.2 },
	} {
		t.Run(name, func(t *testing.T) {
			s, d := small()
			f := fitted(t, d, hn)
			var o Options
			change(&s, &o)
			defer func() {
				if text, _ := recover().(string); !strings.HasPrefix(text, "lines: ") {
					t.Errorf("panic %q", text)
				}
			}()
			s.Density(f, o)
		})
	}
}
