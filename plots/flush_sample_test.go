package plots

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

// The numbers in this file are made up: no survey found them.

// flushPanel is a Gaussian of the given peak and spread.
func flushPanel(name string, peak, spread, doubt float64) FlushPanel {
	f := FlushPanel{Name: name, Year: 2031, Finds: 214,
		Onset: FlushDay{peak - 2*spread, peak - 2*spread - 2, peak - 2*spread + 1}, Peak: FlushDay{peak, peak - doubt, peak + doubt}, End: FlushDay{peak + 2*spread, peak + 2*spread - 1, peak + 2*spread + 3}}
	for day := peak - 3*spread; day <= peak+3*spread; day += spread / 8 {
		z := (day - peak) / spread
		h := 100 / (spread * math.Sqrt(2*math.Pi)) * math.Exp(-z*z/2)
		w := math.Exp(0.1 + 0.12*z*z)
		f.Curve = append(f.Curve, CurvePoint{day, h, h / w, h * w})
	}
	for i := range 9 {
		day := peak + (float64(i)-4)*spread*0.6
		z := (day - peak) / spread
		f.Observed = append(f.Observed, FlushFinds{day, 100 / (spread * math.Sqrt(2*math.Pi)) * math.Exp(-z*z/2) * (0.8 + 0.1*float64(i*7%5)), 20})
	}
	for i := range 12 {
		f.Visits = append(f.Visits, FlushVisits{math.Round(peak) - 18 + 3*float64(i), 1 + i*5%13})
	}
	return f
}

var flushSample = Flush{Confidence: 0.95, Panels: []FlushPanel{
	flushPanel("All units", 131, 7, 1.2),
	flushPanel("North slope, severe burn", 136, 6.2, 2.5),
	flushPanel("South slope, severe burn", 126, 8.1, 3.1),
}}

var peakSample = func() PeakByElevation {
	d := PeakByElevation{Confidence: 0.95, Year: 2031, Unit: "m", Slope: "4.1 days later for each 100 m up (3.2 to 4.9)", Rule: 0.0328, RuleName: "Hopkins’ rule, 4 days for 400 ft"}
	for e := 900.0; e <= 1600; e += 50 {
		day := 131 + 0.041*(e-1200)
		half := 1 + 0.008*math.Abs(e-1200)
		d.Line = append(d.Line, CurvePoint{e, day, day - half, day + half})
	}
	d.Bands = []BandPeak{{980, 121, 117, 126, 12, 61}, {1110, 128.5, 126.8, 130, 44, 310}, {1290, 134, 131, 139, 51, 402}, {1460, 141, 136, 190, 20, 33}}
	return d
}()

func hostileFlush() (Figure, error) {
	d := Flush{Title: markup, Confidence: 0.999, Standing: true}
	for _, name := range []string{markup, broken, endless, unspaced, foreign, ""} {
		f := flushPanel(name, 131, 7, 400)
		f.Observed[3].Percent = 1e9
		f.Onset = FlushDay{nan, nan, nan}
		f.Finds = 9876543
		d.Panels = append(d.Panels, f)
	}
	d.Panels[1] = FlushPanel{Name: broken, Year: 2032, Curve: []CurvePoint{{-300, 0, nan, nan}, {500, 1e-9, nan, nan}}, Peak: FlushDay{nan, nan, nan}, Onset: FlushDay{nan, nan, nan}, End: FlushDay{nan, nan, nan}}
	return d.Figure()
}

func hostilePeaks() (Figure, error) {
	d := peakSample
	d.Unit, d.RuleName, d.Rule, d.Slope = endless, markup, -3, broken
	d.Bands = []BandPeak{{1e6, 120, nan, nan, 0, 0}, {-1e6, 130, -3000, 3000, 1, 1}}
	return d.Figure()
}

// TestRefusesSeasons gives the figures of a season what cannot be drawn.
func TestRefusesSeasons(t *testing.T) {
	flush := func(change func(*FlushPanel)) func() (Figure, error) {
		p := flushPanel("Ridge", 131, 7, 1)
		change(&p)
		return Flush{Confidence: 0.95, Panels: []FlushPanel{p}}.Figure
	}
	peaks := func(change func(*PeakByElevation)) func() (Figure, error) {
		d := peakSample
		d.Bands, d.Line = slices.Clone(d.Bands), slices.Clone(d.Line)
		change(&d)
		return d.Figure
	}
	for name, c := range map[string]struct {
		figure func() (Figure, error)
		want   string
	}{
		"no level":         {Flush{Panels: flushSample.Panels}.Figure, "confidence 0"},
		"curve back":       {flush(func(p *FlushPanel) { p.Curve[3].Distance = 0 }), "Ridge: point 4 of the curve"},
		"curve infinite":   {flush(func(p *FlushPanel) { p.Curve[3].Value = math.Inf(1) }), "point 4"},
		"curve crossed":    {flush(func(p *FlushPanel) { p.Curve[3].Lower = 99 }), "point 4"},
		"negative finds":   {flush(func(p *FlushPanel) { p.Observed[0].Finds = -1 }), "finds 1"},
		"no units":         {flush(func(p *FlushPanel) { p.Visits[0].Units = 0 }), "visits 1"},
		"far visit":        {flush(func(p *FlushPanel) { p.Visits[0].Day = 1e7 }), "visits 1"},
		"peak outside":     {flush(func(p *FlushPanel) { p.Peak.Lower = 140 }), "cannot be drawn"},
		"line back":        {peaks(func(d *PeakByElevation) { d.Line[2].Distance = 0 }), "point 3 of the line"},
		"band outside":     {peaks(func(d *PeakByElevation) { d.Bands[0].Lower = 400 }), "band 1"},
		"no rule":          {peaks(func(d *PeakByElevation) { d.Rule = math.NaN() }), "rule of NaN"},
		"a level of peaks": {peaks(func(d *PeakByElevation) { d.Confidence = 1 }), "confidence 1"},
	} {
		if _, err := c.figure(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if _, err := (Flush{Confidence: 0.95}).Figure(); !errors.Is(err, ErrEmpty) {
		t.Errorf("no panel: %v", err)
	}
	if _, err := (PeakByElevation{Confidence: 0.95}).Figure(); !errors.Is(err, ErrEmpty) {
		t.Errorf("no line: %v", err)
	}
}

// TestDates: by the calendar, 2028 being a leap year.
func TestDates(t *testing.T) {
	for _, c := range []struct {
		year, day int
		want      string
	}{{2031, 1, "1 Jan"}, {2031, 59, "28 Feb"}, {2031, 60, "1 Mar"}, {2028, 60, "29 Feb"}, {2031, 130, "10 May"}, {2031, 365, "31 Dec"},
		{2031, 366, "1 Jan"}, {2031, 0, "31 Dec"}, {2032, 366, "31 Dec"}, {2029, -306, "29 Feb"}} {
		if got := date(c.year, c.day); got != c.want {
			t.Errorf("day %d of %d is %s, want %s", c.day, c.year, got, c.want)
		}
	}
}
