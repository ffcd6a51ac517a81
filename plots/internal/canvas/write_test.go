package canvas

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/png"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
)

// sketch is a drawing with one of everything.
func sketch() *Drawing {
	d := &Drawing{Width: 120, Height: 60}
	d.Rect(10, 10, 40, 40, 0, Style{Area: Accent})
	d.Rect(50, 10, 80, 40, 8, Style{Area: First, Soft: true})
	d.Disc(100, 25, 8, Style{Area: Paper, Line: Limit, Width: 2})
	d.Segment(5, 50, 115, 50, Style{Line: Ink, Width: 1, Dash: [2]float64{4, 2}})
	d.Polyline(Style{Line: Second, Width: 1.5}, 5, 55, 60, 45, 115, 55)
	d.Text(60, 30, "a < b & \"c\"", Font{Size: 13}, Ink, Middle)
	d.Text(60, 45, "bold", Font{Size: 12, Bold: true}, Muted, Left)
	return d
}

func svgOf(t *testing.T, write func(Words) ([]byte, error)) string {
	t.Helper()
	b, err := write(Words{ID: "x", Title: "T & t", Desc: "D"})
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestSVG(t *testing.T) {
	d := sketch()
	file, inline := svgOf(t, d.SVG), svgOf(t, d.Inline)
	for _, want := range []string{
		`<title id="x-title">T &amp; t</title>`, `<desc id="x-desc">D</desc>`, `aria-labelledby="x-title x-desc"`, `role="img"`,
		`stroke-dasharray="4 2"`, `viewBox="0 0 120 60"`,
	} {
		if !strings.Contains(file, want) || !strings.Contains(inline, want) {
			t.Errorf("no %s in both:\n%s", want, inline)
		}
	}
	if strings.Contains(inline, "<style") || strings.Contains(inline, "font/woff2") {
		t.Error("the inline form brings a style of its own")
	}
	for _, want := range []string{`a &lt; b &amp; &#34;c&#34;</text>`, `class="strong small a-muted"`} {
		if !strings.Contains(inline, want) {
			t.Errorf("no %s in\n%s", want, inline)
		}
	}
	if strings.Contains(file, "<text") || strings.Contains(file, "font") {
		t.Error("the file needs a font")
	}
	if strings.Contains(file, "var(") {
		t.Error("the file has variables, which viewers other than browsers lack")
	}
	if strings.Contains(file, "third") || !strings.Contains(file, ".a-accent{fill:#0b7d6b}") {
		t.Error("the file has not the roles that it uses, and these only")
	}
}

// TestLetters checks that a file has each letter once, and a link for each
// place, from where the text was to begin.
func TestLetters(t *testing.T) {
	d := &Drawing{Width: 90, Height: 20}
	d.Text(2, 10, "noon on", Font{Size: 12}, Ink, Left)
	file := svgOf(t, d.SVG)
	if n := strings.Count(file, `<path id="x-`); n != 2 {
		t.Errorf("%d outlines, want those of n and o", n)
	}
	if n := strings.Count(file, "<use "); n != 6 {
		t.Errorf("%d links, want 6", n)
	}
	if first := `<use xlink:href="#x-0" x="2" y="14.14"/>`; !strings.Contains(file, first) { // 10 + 12 * 0.69 / 2
		t.Errorf("no %s in\n%s", first, file)
	}
}

// TestHeldWidth checks that every word says the width that was measured.
func TestHeldWidth(t *testing.T) {
	found := regexp.MustCompile(`textLength="([0-9.]+)" lengthAdjust="spacingAndGlyphs">bold<`).FindStringSubmatch(svgOf(t, sketch().Inline))
	want := place(Font{Size: 12, Bold: true}.Width("bold"))
	if found == nil || found[1] != want {
		t.Errorf("found %q, want %s", found, want)
	}
}

func TestStylesheet(t *testing.T) {
	css := Stylesheet()
	for r := Ink; r < roles; r++ {
		if n := strings.Count(css, "--plot-"+r.String()+":#"); n != 2 {
			t.Errorf("%s has %d values, want a light and a dark one", r, n)
		}
	}
	if !strings.Contains(css, "@media screen and (prefers-color-scheme:dark)") {
		t.Error("print is not light")
	}
	if strings.Count(css, "{") != strings.Count(css, "}") {
		t.Error("braces do not match")
	}
}

func decode(t *testing.T, d *Drawing) (image.Image, []byte) {
	t.Helper()
	b, err := d.PNG()
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img, b
}

func TestPNG(t *testing.T) {
	img, b := decode(t, sketch())
	if got, want := img.Bounds().Size(), (image.Point{375, 188}); got != want { // 120 and 60 / 96 * 300, by hand
		t.Errorf("%v pixels, want %v", got, want)
	}
	i := bytes.Index(b, []byte("pHYs"))
	const perMetre = 11811 // 300 / 0.0254, by hand
	if i < 0 || binary.BigEndian.Uint32(b[i+4:]) != perMetre {
		t.Error("does not say its size in print")
	}
	at := func(x, y float64) color.NRGBA {
		return color.NRGBAModel.Convert(img.At(int(x*300/96), int(y*300/96))).(color.NRGBA)
	}
	if got := at(12, 12); got != Accent.Color(false) {
		t.Errorf("%v in the filled square, want %v", got, Accent.Color(false))
	}
	if got := at(100, 25); got != Paper.Color(false) {
		t.Errorf("%v in the ring, want paper", got)
	}
	got, want := at(65, 15), First.Color(false) // 24 % of it on white, by hand
	for _, c := range [][2]uint8{{got.R, want.R}, {got.G, want.G}, {got.B, want.B}} {
		if mix := 255 - 0.24*(255-float64(c[1])); math.Abs(float64(c[0])-mix) > 4 {
			t.Errorf("channel %d in the soft area, want %.0f", c[0], mix)
		}
	}
}

// TestLettersDrawn looks for the ink of a word where its box is.
func TestLettersDrawn(t *testing.T) {
	d := &Drawing{Width: 100, Height: 40}
	d.Text(10, 20, "IIII", Font{Size: 20, Bold: true}, Ink, Left)
	img, _ := decode(t, d)
	box, ink := d.Items[0].Box(), image.Rectangle{}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				ink = ink.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	const dots = 300.0 / 96
	if ink.Empty() || float64(ink.Min.X) < box.Left*dots || float64(ink.Max.X) > box.Right*dots || float64(ink.Min.Y) < box.Top*dots-1 || float64(ink.Max.Y) > box.Bottom*dots {
		t.Errorf("ink at %v, the word's box is %+v", ink, box)
	}
	if height := float64(ink.Dy()) / dots; math.Abs(height-capitals*20) > 0.5 { // capitals are 1409 of 2048 high
		t.Errorf("capitals are %.1f high, want %.1f", height, capitals*20)
	}
}

// TestNoResidue draws a small image in memory that a dark one has used.
func TestNoResidue(t *testing.T) {
	small := &Drawing{Width: 30, Height: 20}
	small.Disc(10, 10, 4, Style{Area: Third})
	_, want := decode(t, small)
	dark := &Drawing{Width: 200, Height: 100}
	dark.Rect(0, 0, 200, 100, 0, Style{Area: Ink})
	for range 3 {
		decode(t, dark)
		if _, got := decode(t, small); !bytes.Equal(got, want) {
			t.Fatal("the image before shows through")
		}
	}
}

func TestAtOnce(t *testing.T) {
	d := sketch()
	_, want := decode(t, d)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			if got, err := d.PNG(); err != nil || !bytes.Equal(got, want) {
				t.Errorf("another image, or %v", err)
			}
		})
	}
	wg.Wait()
}

// TestEqual changes one thing at a time.
func TestEqual(t *testing.T) {
	if !sketch().Equal(sketch()) {
		t.Error("a drawing does not equal the same again")
	}
	text := slices.IndexFunc(sketch().Items, func(i Item) bool { return i.Text != "" })
	path := slices.IndexFunc(sketch().Items, func(i Item) bool { return i.Text == "" })
	for what, change := range map[string]func(d *Drawing){
		"height": func(d *Drawing) { d.Height++ },
		"number": func(d *Drawing) { d.Items = d.Items[1:] },
		"word":   func(d *Drawing) { d.Items[text].Text += "s" },
		"place":  func(d *Drawing) { d.Items[text].X++ },
		"font":   func(d *Drawing) { d.Items[text].Font.Bold = !d.Items[text].Font.Bold },
		"role":   func(d *Drawing) { d.Items[text].Role = Limit },
		"path":   func(d *Drawing) { d.Items[path].Path[0].Y++ },
		"style":  func(d *Drawing) { d.Items[path].Style.Width += 0.5 },
	} {
		d := sketch()
		if change(d); d.Equal(sketch()) {
			t.Errorf("another %s makes no difference", what)
		}
	}
}

func TestNoPlace(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		d := sketch()
		d.Segment(0, 0, v, 3, Style{Line: Ink, Width: 1})
		if _, err := d.Inline(Words{}); err == nil {
			t.Errorf("SVG of a line to %v", v)
		}
		if _, err := d.PNG(); err == nil {
			t.Errorf("PNG of a line to %v", v)
		}
	}
}

// TestManyColors has more shades than a table of colours holds.
func TestManyColors(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 256, 64))
	for x := range 256 {
		for y := range 64 {
			img.SetRGBA(x, y, color.RGBA{uint8(x), uint8(4 * y), uint8(x ^ y), 255})
		}
	}
	if p, ok := new(workspace).indexed(img).(*image.Paletted); ok && len(p.Palette) > 256 {
		t.Errorf("%d colours in the table", len(p.Palette))
	}
}
