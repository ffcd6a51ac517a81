package report

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"os"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

var update = flag.Bool("update", false, "write the golden files anew")

// pages are those that the tests of the page's form go over.
func pages() map[string]Page {
	return map[string]Page{
		"invented": inventedPage(),
		"american": americanPage(),
		"hostile":  hostilePage(),
		"bare":     {Settings: survey.Defaults()},
	}
}

func written(t *testing.T, p Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	for name, p := range map[string]Page{"invented": inventedPage(), "bare": {Settings: survey.Defaults()}} {
		got := written(t, p)
		file := "testdata/" + name + ".html"
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s is not what is written now; look at that in a browser, then run with -update", file)
		}
	}
}

// TestSameBytes makes the page twice from what is made twice.
func TestSameBytes(t *testing.T) {
	first, second := pages(), pages()
	for name := range first {
		if written(t, first[name]) != written(t, second[name]) {
			t.Errorf("%s: the same page came out otherwise", name)
		}
	}
}

// TestPageIsLeftAlone holds Write to changing nothing of what it is given.
func TestPageIsLeftAlone(t *testing.T) {
	p := hostilePage()
	first := written(t, p)
	if written(t, p) != first {
		t.Error("writing a page changed it")
	}
}

func TestTellsSetAsideFirst(t *testing.T) {
	html := written(t, hostilePage())
	notice, answers := strings.Index(html, "1,204\u00a0rows set aside"), strings.Index(html, `id="answers"`)
	if notice < 0 || notice > answers {
		t.Errorf("the notice stands at %d, the answers at %d", notice, answers)
	}
	if !strings.Contains(html, "1,203 more are in set-aside.csv") {
		t.Error("the page does not say how many rows it leaves to set-aside.csv")
	}
	if strings.Contains(written(t, inventedPage()), "set aside.</strong>") {
		t.Error("a page without faulty rows speaks of them in its head")
	}
}

// TestCautions holds the page to every point of the cautions, before the figures.
func TestCautions(t *testing.T) {
	for name, p := range pages() {
		html := written(t, p)
		from, to := strings.Index(html, `<section id="cautions"`), strings.Index(html, `<section id="methods"`)
		if from < 0 || to < from {
			t.Fatalf("%s: no cautions before the methods", name)
		}
		for _, point := range []string{
			"Nothing here is identified", "what a crew wrote down", "False morels are poisonous", "same ground", "cut lengthwise", "hollow from tip to base",
			"identifier who knows the area", "no morel raw", "Permits, closures, bag limits", "owns the land", "local authority",
			"trees fall", "ash pits", "where a find stood", "does not prove a partnership",
		} {
			if !strings.Contains(html[from:to], point) {
				t.Errorf("%s: the cautions lack %q", name, point)
			}
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	p := inventedPage()
	b.ReportAllocs()
	for b.Loop() {
		if err := Write(io.Discard, p); err != nil {
			b.Fatal(err)
		}
	}
}

// failing fails on every write.
type failing struct{}

var errFull = errors.New("disk is full")

func (failing) Write([]byte) (int, error) { return 0, errFull }

func TestWriteError(t *testing.T) {
	if err := Write(failing{}, inventedPage()); !errors.Is(err, errFull) {
		t.Errorf("Write returned %v", err)
	}
}

func TestDrawings(t *testing.T) {
	cases := []struct {
		name, svg, want string // want "" = an error
	}{
		{"plain", `<svg xmlns="http://www.w3.org/2000/svg"><g/></svg>`, `<svg xmlns="http://www.w3.org/2000/svg"><g/></svg>`},
		{"prologue", "<?xml version=\"1.0\"?>\n<!-- made -->\n<svg><g/></svg>\n", "<svg><g/></svg>"},
		{"empty", "", ""},
		{"no drawing", "<html></html>", ""},
		{"two drawings", "<svg></svg><svg></svg>", ""},
		{"not closed", "<svg><g></svg>", ""},
		{"cut off", "<svg><g/>", ""},
	}
	for _, c := range cases {
		got, err := inline([]byte(c.svg))
		if string(got) != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%s: %q, %v", c.name, got, err)
		}
	}
	p := inventedPage()
	p.Figures[0].SVG = []byte("<svg>")
	var b bytes.Buffer
	if err := Write(&b, p); !errors.Is(err, errNotSVG) || !strings.Contains(err.Error(), `"shares"`) || b.Len() > 0 {
		t.Errorf("a broken drawing gave %v after %d bytes", err, b.Len())
	}
}
