package plots

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the figures of testdata anew")

func TestGolden(t *testing.T) {
	for _, s := range samples {
		t.Run(s.name, func(t *testing.T) {
			got := svgOf(t, s)
			path := filepath.Join("testdata", s.name+".svg")
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

// figureOf makes the figure of a sample.
func figureOf(t *testing.T, s sample) Figure {
	t.Helper()
	f, err := s.figure()
	if err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	return f
}

func svgOf(t *testing.T, s sample) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := figureOf(t, s).WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t *testing.T, s sample) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := figureOf(t, s).WritePNG(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// everySample is the samples and the hard ones.
func everySample() []sample { return append(samples[:len(samples):len(samples)], hard...) }
