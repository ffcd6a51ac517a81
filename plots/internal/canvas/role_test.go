package canvas

import (
	"image/color"
	"math"
	"testing"
)

func linear(c uint8) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func rgb(c color.NRGBA) [3]float64 { return [3]float64{linear(c.R), linear(c.G), linear(c.B)} }

// contrast is the contrast ratio of WCAG 2.2.
func contrast(a, b color.NRGBA) float64 {
	y := func(c color.NRGBA) float64 {
		v := rgb(c)
		return 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2]
	}
	hi, lo := max(y(a), y(b)), min(y(a), y(b))
	return (hi + 0.05) / (lo + 0.05)
}

// TestContrast holds the palette to WCAG 2.2: 4.5 to 1 for what words are
// written in (1.4.3), 3 to 1 for axes (1.4.11).
func TestContrast(t *testing.T) {
	for _, dark := range []bool{false, true} {
		for r := Ink; r < roles; r++ {
			want := 4.5
			switch r {
			case Paper, Faint:
				continue // the grid is no information of its own
			case Rule:
				want = 3
			}
			if got := contrast(r.Color(dark), Paper.Color(dark)); got < want {
				t.Errorf("%s, dark %v: contrast %.2f, want %v", r, dark, got, want)
			}
		}
	}
}

// Simulations of the three forms of colour blindness, for linear RGB: Machado,
// Oliveira & Fernandes (2009), "A physiologically-based model for simulation
// of color vision deficiency", IEEE Trans. Vis. Comput. Graph. 15, table 1,
// severity 1.0. Written from memory; every row sums to 1, as it must.
var deficiencies = map[string][3][3]float64{
	"none":   {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab is the colour in CIELAB, D65, as someone with the deficiency sees it.
func lab(c color.NRGBA, m [3][3]float64) [3]float64 {
	v, s := rgb(c), [3]float64{}
	for i := range 3 {
		for k := range 3 {
			s[i] += m[i][k] * v[k]
		}
		s[i] = min(max(s[i], 0), 1)
	}
	f := func(v float64) float64 {
		if v > 0.008856 {
			return math.Cbrt(v)
		}
		return 7.787*v + 16.0/116
	}
	x := f((0.4124564*s[0] + 0.3575761*s[1] + 0.1804375*s[2]) / 0.95047)
	y := f(0.2126729*s[0] + 0.7151522*s[1] + 0.0721750*s[2])
	z := f((0.0193339*s[0] + 0.1191920*s[1] + 0.9503041*s[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// TestColourBlind wants the series apart for every form of colour blindness:
// a difference of 20 in CIELAB is seen at a glance (2.3 is just noticeable:
// Mahy et al. 1994).
func TestColourBlind(t *testing.T) {
	const want = 20.0
	pairs := [][2]Role{{First, Second}, {First, Third}, {First, Fourth}, {Second, Third}, {Second, Fourth}, {Third, Fourth}, {Accent, Limit}, {Accent, First}, {Accent, Second}}
	for name, m := range deficiencies {
		for _, dark := range []bool{false, true} {
			for _, p := range pairs {
				a, b := lab(p[0].Color(dark), m), lab(p[1].Color(dark), m)
				if d := math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]); d < want {
					t.Errorf("%s and %s, %s, dark %v: %.1f apart, want %v", p[0], p[1], name, dark, d, want)
				}
			}
		}
	}
}
