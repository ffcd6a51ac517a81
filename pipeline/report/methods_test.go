package report

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// section cuts the section with the id out of a page, as text.
func section(t *testing.T, p Page, id string) string {
	t.Helper()
	for _, n := range parsed(t, written(t, p)) {
		if n.Data == "section" && attr(n, "id") == id {
			return text(n)
		}
	}
	t.Fatalf("no section %q", id)
	return ""
}

// TestSources holds the methods to citing what they list and listing what they cite.
func TestSources(t *testing.T) {
	full := inventedPage()
	full.Settings.Density.Systematic = "successive-differences"
	for i, k := range densityIntervals {
		full.Results.Density[i].Estimate = estimated(2, 1, 3)
		full.Results.Density[i].Interval = k.code
	}
	for i, k := range comparisonIntervals {
		full.Results.Comparison[i].Estimate = estimated(2, 1, 3)
		full.Results.Comparison[i].Interval = k.code
		full.Results.Comparison[i].Adjustment = "Benjamini and Hochberg over all"
	}
	uncompared := inventedPage()
	uncompared.Results.Comparison = nil
	for name, p := range map[string]Page{"invented": inventedPage(), "uncompared": uncompared, "full": full, "bare": {Settings: survey.Defaults()}} {
		methods := section(t, p, "methods")
		prose, list, _ := strings.Cut(methods, "Sources")
		for _, s := range sources {
			year := s.short[len(s.short)-4:]
			author, _, _ := strings.Cut(s.text, ",")
			cited, listed := strings.Contains(prose, s.short), strings.Contains(list, s.text)
			if cited != listed {
				t.Errorf("%s: %s is cited: %v, and listed: %v", name, s.short, cited, listed)
			}
			if !strings.Contains(s.short, author) || !strings.Contains(s.text, "("+year+")") {
				t.Errorf("%s is short for %s", s.short, s.text)
			}
		}
		if name == "full" && !strings.Contains(list, "Fewster") {
			t.Error("the full page does not cite what its settings use")
		}
	}
	if !slices.IsSortedFunc(sources, func(a, b source) int { return strings.Compare(plain(a.text), plain(b.text)) }) {
		t.Error("the sources are not in order of author")
	}
}

// plain is how a name is sorted.
func plain(s string) string { return strings.ToLower(strings.ReplaceAll(s, "ä", "a")) }

func TestIntervals(t *testing.T) {
	for _, name := range survey.Intervals {
		if _, ok := densityIntervals.find(name); !ok {
			t.Errorf("the report does not know the interval %q", name)
		}
	}
	for _, k := range slices.Concat(densityIntervals, comparisonIntervals) {
		for _, key := range k.cites {
			if !slices.ContainsFunc(sources, func(s source) bool { return s.key == key }) {
				t.Errorf("%s cites %q, which is no source", k.code, key)
			}
		}
	}
	for name, want := range map[string]string{"nb-profile": "profile likelihood of the negative binomial", "a-new-one": "a-new-one"} {
		if got := densityIntervals.name(name); got != want {
			t.Errorf("%s is called %q, want %q", name, got, want)
		}
	}
}

// TestMethodsInUse holds the page to explaining what the results used.
func TestMethodsInUse(t *testing.T) {
	with, without := spaced(section(t, inventedPage(), "methods")), section(t, Page{Settings: survey.Defaults()}, "methods")
	for _, want := range []string{"D = Σ y / Σ a", "negative binomial", "Holm", "Satterthwaite", "Garwood"} {
		if !strings.Contains(with, want) {
			t.Errorf("the methods lack %q", want)
		}
		if strings.Contains(without, want) {
			t.Errorf("the methods of nothing speak of %q", want)
		}
	}
	for _, want := range []string{"How to read an interval", "A count is what was seen", "One visit finds what stands", "Roadsides are a sample of roadsides", "Years since fire and places are mixed up"} {
		if !strings.Contains(without, want) {
			t.Errorf("the methods lack %q", want)
		}
	}
	p := inventedPage()
	p.Results.Density[0].Interval = "a-new-one"
	if !strings.Contains(section(t, p, "methods"), "“a-new-one”") {
		t.Error("an interval that the report does not know is not named")
	}
}

func TestProvenance(t *testing.T) {
	p := inventedPage()
	got := section(t, p, "provenance")
	for _, k := range survey.Keys {
		if !strings.Contains(got, k.Path()) {
			t.Errorf("the settings lack %s", k.Path())
		}
	}
	for _, in := range p.Provenance.Inputs {
		if !strings.Contains(got, in.SHA256) || !strings.Contains(got, in.Name) {
			t.Errorf("the provenance lacks %s", in.Name)
		}
	}
	for _, want := range []string{"ashtally 0.1.0 (go1.26.0, linux/amd64)", "4127", "2,304", "“Plot No.” is plot", "88,214", "byte for byte"} {
		if !strings.Contains(got, want) {
			t.Errorf("the provenance lacks %q", want)
		}
	}
}

// luminance is the relative luminance of a colour such as #1c1c1a (Web Content
// Accessibility Guidelines 2.2, W3C 2023).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	part := func(from int) float64 {
		v, err := strconv.ParseUint(hex[from:from+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(v) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*part(1) + 0.7152*part(3) + 0.0722*part(5)
}

// TestContrast holds every colour of text to 4.5 to 1 on both grounds (the
// same guidelines, 1.4.3, level AA).
func TestContrast(t *testing.T) {
	colors := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z]+): (#[0-9a-f]{6});`).FindAllStringSubmatch(style, -1) {
		colors[m[1]] = m[2]
	}
	for _, text := range []string{"ink", "muted", "ember", "link"} {
		for _, ground := range []string{"paper", "tint"} {
			light, dark := luminance(t, colors[ground]), luminance(t, colors[text])
			if ratio := (light + 0.05) / (dark + 0.05); ratio < 4.5 {
				t.Errorf("%s on %s has a contrast of %.2f", text, ground, ratio)
			}
		}
	}
	if n := len(regexp.MustCompile(`#[0-9a-f]{6}`).FindAllString(style, -1)); n != len(colors)+1 { // the page number's, where no variable reaches
		t.Errorf("%d colours are written, %d named", n, len(colors))
	}
}
