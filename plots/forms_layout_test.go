package plots

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ashtally/plots/internal/canvas"
)

// layoutFaults are the words that leave a drawing or cover each other, and the
// lines and areas that leave it.
func layoutFaults(d *canvas.Drawing) []string {
	const slack = 0.5
	var faults []string
	var words []canvas.Item
	for _, i := range d.Items {
		b := i.Box()
		if b.Left < -slack || b.Top < -slack || b.Right > d.Width+slack || b.Bottom > d.Height+slack {
			faults = append(faults, fmt.Sprintf("%q leaves the drawing of %v by %v: %+v", i.Text, d.Width, d.Height, b))
		}
		if i.Text == "" {
			continue
		}
		for _, other := range words {
			if b.Covers(other.Box(), slack) {
				faults = append(faults, fmt.Sprintf("%q covers %q", i.Text, other.Text))
			}
		}
		words = append(words, i)
	}
	return faults
}

// inkFaults are the words that a mark, a bar or an interval covers.
func inkFaults(d *canvas.Drawing) []string {
	var faults []string
	for _, ink := range d.Items {
		b := ink.Box()
		ground := ink.Style.Soft || ink.Style.Area == canvas.Paper && ink.Style.Line == canvas.None || ink.Style.Line == canvas.Faint || ink.Style.Line == canvas.Rule
		if upright := b.Right-b.Left < 2.5; ink.Text != "" || ground || upright {
			continue
		}
		for _, word := range d.Items {
			if word.Text != "" && b.Covers(word.Box(), 1) {
				faults = append(faults, fmt.Sprintf("ink at %+v covers %q", b, word.Text))
			}
		}
	}
	return faults
}

func TestFormsLayout(t *testing.T) {
	for _, s := range forms {
		f := figureOf(t, s)
		for l, d := range f.drawn {
			for _, fault := range layoutFaults(d) {
				t.Errorf("%s, layout %d: %s", s.name, l, fault)
			}
			if strings.HasPrefix(s.name, "map") || strings.HasPrefix(s.name, "chart") {
				continue // words may lie over a curve or a symbol there
			}
			for _, fault := range inkFaults(d) {
				t.Errorf("%s, layout %d: %s", s.name, l, fault)
			}
		}
	}
}

// golden are the samples whose SVG is kept, without its font.
var golden = []struct {
	name   string
	layout Layout
	file   string
}{
	{"rows-strata", Wide, "rows.svg"}, {"rows-methods", Narrow, "rows-narrow.svg"}, {"chain", Wide, "chain.svg"},
	{"multiples", Wide, "multiples.svg"}, {"calendar", Wide, "calendar.svg"}, {"chart-season", Wide, "chart.svg"},
	{"map-density", Narrow, "map-narrow.svg"},
}

func TestFormsGolden(t *testing.T) {
	for _, g := range golden {
		t.Run(g.file, func(t *testing.T) {
			i := slices.IndexFunc(forms, func(s sample) bool { return s.name == g.name })
			got, err := figureOf(t, forms[i]).Inline(g.layout)
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join("testdata", "forms", g.file)
			if *update {
				if err := os.WriteFile(path, got, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("differs from %s; look at both, and if the new one is right run go test ./plots/ -update", path)
			}
		})
	}
}

// BenchmarkForms draws a report's set in both layouts and writes it as SVG and
// as PNG, one figure after the other.
func BenchmarkForms(b *testing.B) {
	b.Run("layout", func(b *testing.B) {
		for b.Loop() {
			for _, s := range forms {
				if _, err := s.figure(); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	for name, write := range map[string]func(Figure, Layout) ([]byte, error){"inline": Figure.Inline, "svg": Figure.SVG, "png": Figure.PNG} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for _, s := range forms {
					f, err := s.figure()
					if err != nil {
						b.Fatal(err)
					}
					for l := range layouts {
						if _, err := write(f, l); err != nil {
							b.Fatal(err)
						}
					}
				}
			}
		})
	}
}
