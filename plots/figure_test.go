package plots

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"runtime"
	"slices"
	"sync"
	"testing"
)

func TestSameBytes(t *testing.T) {
	runs := make([][][]byte, 2)
	for i, cores := range []int{1, 2} {
		before := runtime.GOMAXPROCS(cores)
		for _, s := range samples {
			runs[i] = append(runs[i], svgOf(t, s))
		}
		if !testing.Short() {
			runs[i] = append(runs[i], pngOf(t, samples[0]))
		}
		runtime.GOMAXPROCS(before)
	}
	for i := range runs[0] {
		if !bytes.Equal(runs[0][i], runs[1][i]) {
			t.Errorf("figure %d differs on one core and on two", i)
		}
	}
}

// TestAtOnce draws one figure from several goroutines.
func TestAtOnce(t *testing.T) {
	figure := figureOf(t, samples[0])
	want := svgOf(t, samples[0])
	got := make([]bytes.Buffer, 4)
	var wg sync.WaitGroup
	for i := range got {
		wg.Go(func() {
			if err := figure.WriteSVG(&got[i]); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	for i := range got {
		if !bytes.Equal(got[i].Bytes(), want) {
			t.Errorf("writer %d got something else", i)
		}
	}
}

func TestPNG(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	drawn := samples[:len(samples):len(samples)]
	for _, s := range hard { // those with ink near the edges; TestSVG sees all
		if slices.Contains([]string{"strata-cut", "strata-zero", "ratio-hostile", "counts-hostile"}, s.name) {
			drawn = append(drawn, s)
		}
	}
	for _, s := range drawn {
		t.Run(s.name, func(t *testing.T) {
			img := decode(t, pngOf(t, s))
			const width = 1370 // 174 mm at 200 dots per inch, by hand: 174 / 25.4 * 200
			if got := img.Bounds().Dx(); got != width {
				t.Errorf("%d pixels wide, want %d", got, width)
			}
			if x, y, clipped := edgeInk(img); clipped {
				t.Errorf("something is drawn at the edge, at %d, %d", x, y)
			}
			const least, most = 0.003, 0.25 // words and lines, but mostly paper
			if share := inkShare(img); share < least || share > most {
				t.Errorf("ink on %.4f of the pixels, want %v to %v", share, least, most)
			}
		})
	}
}

// decode reads a PNG of ours, which is opaque RGB.
func decode(t *testing.T, b []byte) *image.RGBA {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img.(*image.RGBA)
}

func isPaper(c color.RGBA) bool { return c == paper }

// edgeInk finds ink on the outermost pixels: what was clipped would show there.
func edgeInk(img *image.RGBA) (x, y int, found bool) {
	b := img.Bounds()
	for x := b.Min.X; x < b.Max.X; x++ {
		for _, y := range []int{b.Min.Y, b.Min.Y + 1, b.Max.Y - 2, b.Max.Y - 1} {
			if !isPaper(img.RGBAAt(x, y)) {
				return x, y, true
			}
		}
	}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for _, x := range []int{b.Min.X, b.Min.X + 1, b.Max.X - 2, b.Max.X - 1} {
			if !isPaper(img.RGBAAt(x, y)) {
				return x, y, true
			}
		}
	}
	return 0, 0, false
}

func inkShare(img *image.RGBA) float64 {
	b, ink := img.Bounds(), 0
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if !isPaper(img.RGBAAt(x, y)) {
				ink++
			}
		}
	}
	return float64(ink) / float64(b.Dx()*b.Dy())
}

// TestPNGMarks looks for a mark where the numbers put it: the ink of a plot
// is the darkest there is, and the longest run of it in the first lane is the
// interval.
func TestPNGMarks(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	d := DensityByStratum{Unit: perHectare, Confidence: 0.95, Strata: []StratumDensity{
		{"A", "plot", est(400, 200, 800, 5, 40)}, {"B", "plot", est(100, 50, 200, 5, 10)},
	}}
	img := decode(t, pngOf(t, sample{"marks", d.Figure}))
	var runs []int
	for y := range img.Bounds().Dy() {
		longest, run := 0, 0
		for x := range img.Bounds().Dx() {
			if img.RGBAAt(x, y).R < 0x30 {
				run++
				longest = max(longest, run)
			} else {
				run = 0
			}
		}
		runs = append(runs, longest)
	}
	slices.Sort(runs)
	slices.Reverse(runs)
	// Both lines are three or four pixels thick; one is four times the other.
	long := runs[0]
	short := runs[slices.IndexFunc(runs, func(n int) bool { return n < long/2 })]
	if ratio := float64(long) / float64(short); math.Abs(ratio-4) > 0.1 {
		t.Errorf("lines of %d and %d pixels are %.2f to 1, want the 600 to 150 of the intervals", long, short, ratio)
	}
}

// TestPNGForeign checks that characters which the font lacks are not left out:
// a name of nothing else has as much ink as one of as many boxes.
func TestPNGForeign(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	ink := func(name string) float64 {
		d := DensityByStratum{Unit: perHectare, Confidence: 0.95, Strata: []StratumDensity{{name, "plot", est(1, nan, nan, 5, 40)}}}
		img := decode(t, pngOf(t, sample{"foreign", d.Figure}))
		return inkShare(img.SubImage(image.Rect(0, 0, 150, img.Bounds().Dy())).(*image.RGBA))
	}
	if foreign, boxes := ink("北の斜面"), ink("□□□□"); foreign == 0 || math.Abs(foreign/boxes-1) > 0.1 {
		t.Errorf("ink on %v of the pixels, want the %v of boxes", foreign, boxes)
	}
}

func TestPNGResolution(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	b := pngOf(t, samples[0])
	i := bytes.Index(b, []byte("pHYs"))
	if i < 0 {
		t.Fatal("does not say its size in print")
	}
	const want = 7874 // 200 per inch / 0.0254 m per inch, by hand
	if got := binary.BigEndian.Uint32(b[i+4:]); got != want {
		t.Errorf("%d dots per metre, want %d", got, want)
	}
}

func TestNoFigure(t *testing.T) {
	var b bytes.Buffer
	for _, err := range []error{Figure{}.WriteSVG(&b), Figure{}.WritePNG(&b)} {
		if !errors.Is(err, ErrEmpty) {
			t.Errorf("got %v, want %v", err, ErrEmpty)
		}
	}
}

type fullDisk struct{}

var errFull = errors.New("disk full")

func (fullDisk) Write([]byte) (int, error) { return 0, errFull }

func TestWriteError(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	figure := figureOf(t, samples[0])
	for _, err := range []error{figure.WriteSVG(fullDisk{}), figure.WritePNG(fullDisk{})} {
		if !errors.Is(err, errFull) {
			t.Errorf("got %v, want %v", err, errFull)
		}
	}
}

// TestCopies checks that a figure does not change with the numbers it was
// made from.
func TestCopies(t *testing.T) {
	d := strataSample
	d.Strata = slices.Clone(d.Strata)
	r := ratioSample
	r.Trees = slices.Clone(r.Trees)
	for _, s := range []struct {
		name   string
		figure func() (Figure, error)
		spoil  func()
	}{
		{"strata", d.Figure, func() { d.Strata[0] = StratumDensity{} }},
		{"ratios", r.Figure, func() { r.Trees[0] = Ratio{} }},
	} {
		f, err := s.figure()
		if err != nil {
			t.Fatal(err)
		}
		var before, after bytes.Buffer
		if err := f.WriteSVG(&before); err != nil {
			t.Fatal(err)
		}
		s.spoil()
		if err := f.WriteSVG(&after); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(before.Bytes(), after.Bytes()) {
			t.Errorf("%s: the figure follows its input", s.name)
		}
	}
}
