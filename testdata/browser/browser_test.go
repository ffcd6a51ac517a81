// Package browser opens the report in a browser without a screen, as its readers
// do: at the widths of a telephone, a tablet and a desk, light and dark, and
// printed. It is a module of its own, for what drives the browser. It looks at the
// results folders that ASHTALLY_OUT (of the demo) and ASHTALLY_SMALL (of a season
// of about a hundred finds) name, and needs chromium, and axe-core in node_modules
// (npm ci).
package browser

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// files are those of a results folder that a reader opens.
var files = []string{"report.html", "appendix.html"}

// folder is the results folder that a variable of the environment names.
func folder(t *testing.T, variable string) string {
	t.Helper()
	out := os.Getenv(variable)
	if out == "" {
		t.Skipf("%s names no results folder", variable)
	}
	out, err := filepath.Abs(out)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// tab is a tab of the browser that gathers what goes wrong in it.
type tab struct {
	context.Context
	mu       sync.Mutex
	troubles []string
}

func (b *tab) trouble(format string, args ...any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.troubles = append(b.troubles, fmt.Sprintf(format, args...))
}

// open opens a file of a results folder, in a window of a width.
func open(t *testing.T, file string, width int64, dark bool) *tab {
	t.Helper()
	flags := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU)
	allocated, stop := chromedp.NewExecAllocator(context.Background(), flags...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocated)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	b := &tab{Context: ctx}
	chromedp.ListenTarget(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			b.trouble("the console has %s", e.Type)
		case *runtime.EventExceptionThrown:
			b.trouble("an exception: %s", e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			b.trouble("the log has: %s", e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if u, err := url.Parse(e.Request.URL); err != nil || u.Scheme != "data" && filepath.Base(u.Path) != filepath.Base(file) {
				b.trouble("a request for %s", e.Request.URL)
			}
		}
	})
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	err := chromedp.Run(ctx, network.Enable(), log.Enable(), runtime.Enable(),
		emulation.SetDeviceMetricsOverride(width, 900, 1, false),
		emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}),
		chromedp.Navigate("file://"+file))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// ask runs a script in the page and reads what it comes to.
func ask[T any](t *testing.T, b *tab, script string) T {
	t.Helper()
	var v T
	if err := chromedp.Run(b, chromedp.Evaluate(script, &v, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) })); err != nil {
		t.Fatal(err)
	}
	return v
}

// TestPages opens both files at each width, light and dark: nothing reaches over the
// edge, nothing is asked of a network, nothing is wrong by the rules of axe-core, and
// the report has under a hundred tab stops.
func TestPages(t *testing.T) {
	axe, err := os.ReadFile("node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatalf("%v (npm ci installs it)", err)
	}
	for _, variable := range []string{"ASHTALLY_OUT", "ASHTALLY_SMALL"} {
		out := folder(t, variable)
		for _, file := range files {
			for _, width := range []int64{360, 768, 1440} {
				for _, dark := range []bool{false, true} {
					if file == "appendix.html" && dark != (width == 360) {
						continue // once light at a desk and a tablet, once dark on a telephone
					}
					t.Run(fmt.Sprintf("%s %s %d dark %t", variable, file, width, dark), func(t *testing.T) {
						b := open(t, filepath.Join(out, file), width, dark)
						checkWidth(t, b)
						checkTabs(t, b, file)
						checkFigures(t, b)
						// The appendix of the demo has tens of thousands of cells, and no other parts
						// than that of the small season.
						if file == "report.html" || variable == "ASHTALLY_SMALL" {
							checkRules(t, b, axe)
						}
						for _, trouble := range b.troubles {
							t.Error(trouble)
						}
					})
				}
			}
		}
	}
}

func checkWidth(t *testing.T, b *tab) {
	t.Helper()
	for _, o := range overTheEdge(t, b) {
		t.Errorf("over the edge: %s", o)
	}
}

// overTheEdge lists what reaches over the edge of the page, but for what scrolls by
// itself.
func overTheEdge(t *testing.T, b *tab) []string {
	t.Helper()
	return ask[[]string](t, b, `(() => {
		const wide = document.documentElement.scrollWidth > innerWidth ? ['the page is ' + document.documentElement.scrollWidth + ' px wide'] : [];
		for (const e of document.querySelectorAll('body *')) {
			if (e.closest('.scroll') && !e.matches('.scroll') || e.closest('svg') && !e.matches('svg') || e.closest('.skip')) continue;
			if (e.getBoundingClientRect().right > innerWidth + 1) wide.push(e.tagName + ' ' + e.className + ': ' + e.textContent.slice(0, 60));
		}
		return wide;
	})()`)
}

func checkTabs(t *testing.T, b *tab, file string) {
	t.Helper()
	n := ask[int](t, b, `document.querySelectorAll('a[href], button, input, select, summary, [tabindex="0"]').length`)
	if file == "report.html" && n >= 100 || n < 10 {
		t.Errorf("%d tab stops", n)
	}
}

// checkFigures: of each figure one layout is shown, and its letters can be read.
func checkFigures(t *testing.T, b *tab) {
	t.Helper()
	wrong := ask[[]string](t, b, `[...document.querySelectorAll('figure')].flatMap(f => {
		const shown = [...f.querySelectorAll('svg')].filter(s => s.getBoundingClientRect().width > 0);
		if (shown.length != 1) return [shown.length + ' layouts of ' + f.textContent.slice(0, 60)];
		return [...shown[0].querySelectorAll('text')].map(x => parseFloat(getComputedStyle(x).fontSize) * shown[0].getBoundingClientRect().width / shown[0].viewBox.baseVal.width)
			.filter(px => px < 9).slice(0, 1).map(px => 'letters of ' + px.toFixed(1) + ' px in ' + f.querySelector('figcaption').textContent.slice(0, 60));
	})`)
	for _, w := range wrong {
		t.Error(w)
	}
}

func checkRules(t *testing.T, b *tab, axe []byte) {
	t.Helper()
	for _, v := range violations(t, b, axe) {
		t.Errorf("%s: %s, %d times, first %s", v.ID, v.Help, len(v.Nodes), v.Nodes[0].HTML)
	}
}

// violation is a rule of axe-core that a page breaks, and where.
type violation struct {
	ID, Help string
	Nodes    []struct{ HTML string }
}

// violations holds the page to WCAG 2.2 AA, as far as axe-core can tell.
func violations(t *testing.T, b *tab, axe []byte) []violation {
	t.Helper()
	ask[bool](t, b, string(axe)+";true")
	found := ask[string](t, b, `axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'], resultTypes: ['violations']}).then(r => JSON.stringify(r.violations))`)
	var list []violation
	if err := json.Unmarshal([]byte(found), &list); err != nil {
		t.Fatal(err)
	}
	return list
}

// TestRulesAreHeld: what axe-core is asked for it finds.
func TestRulesAreHeld(t *testing.T) {
	axe, err := os.ReadFile("node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	b := open(t, filepath.Join(folder(t, "ASHTALLY_SMALL"), "report.html"), 360, false)
	ask[bool](t, b, `document.body.insertAdjacentHTML('beforeend', '<main><img src="data:,"><p style="color:#999">pale</p><div style="width:500px">wide</div></main>'), true`)
	if found := violations(t, b, axe); len(found) < 2 {
		t.Errorf("a page with mistakes has %v", found)
	}
	if over := overTheEdge(t, b); len(over) < 2 {
		t.Errorf("a page that is too wide has %v over its edge", over)
	}
}

// TestLinksLand: the browser finds the target of every link of the report, in its own
// file or in the appendix.
func TestLinksLand(t *testing.T) {
	out := folder(t, "ASHTALLY_OUT")
	links := ask[[]string](t, open(t, filepath.Join(out, "report.html"), 1440, false), `[...document.querySelectorAll('a[href]')].map(a => a.getAttribute('href'))`)
	pages := map[string]*tab{"": open(t, filepath.Join(out, "report.html"), 1440, false), "appendix.html": open(t, filepath.Join(out, "appendix.html"), 1440, false)}
	into := 0
	for _, link := range links {
		file, anchor, _ := strings.Cut(link, "#")
		b, ok := pages[file]
		if !ok {
			t.Errorf("a link to %s", link)
			continue
		}
		if file != "" {
			into++
		}
		quoted, _ := json.Marshal(anchor)
		if anchor != "" && !ask[bool](t, b, "(e => !!e && e.getBoundingClientRect().height > 0)(document.getElementById("+string(quoted)+"))") {
			t.Errorf("%s lands nowhere", link)
		}
	}
	if into < 20 {
		t.Errorf("only %d links into the appendix", into)
	}
}

// paper has the sizes of A4 and of US letter, in inches.
var paper = map[string][2]float64{"A4": {8.27, 11.69}, "letter": {8.5, 11}}

var pageObject = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// TestPrinted: the report of the demo has at most twelve printed pages, that of a
// season of about a hundred finds six, and no figure is cut.
func TestPrinted(t *testing.T) {
	for variable, most := range map[string]int{"ASHTALLY_OUT": 12, "ASHTALLY_SMALL": 6} {
		out := folder(t, variable)
		for name, size := range paper {
			b := open(t, filepath.Join(out, "report.html"), 800, false)
			var pdf []byte
			err := chromedp.Run(b, chromedp.ActionFunc(func(ctx context.Context) error {
				var err error
				pdf, _, err = page.PrintToPDF().WithPaperWidth(size[0]).WithPaperHeight(size[1]).WithPreferCSSPageSize(false).Do(ctx)
				return err
			}))
			if err != nil {
				t.Fatal(err)
			}
			if n := len(pageObject.FindAll(pdf, -1)); n < 2 || n > most || !bytes.HasPrefix(pdf, []byte("%PDF")) {
				t.Errorf("%s on %s: %d pages, at most %d wanted", variable, name, n, most)
			}
			checkUncut(t, b, size)
		}
	}
}

// checkUncut: no figure is higher than a page, and each asks not to be divided.
func checkUncut(t *testing.T, b *tab, size [2]float64) {
	t.Helper()
	const pixels, margins = 96, 31 / 25.4 // of an inch; above and below, in inches
	if err := chromedp.Run(b, emulation.SetEmulatedMedia().WithMedia("print"),
		emulation.SetDeviceMetricsOverride(int64((size[0]-28/25.4)*pixels), 900, 1, false)); err != nil {
		t.Fatal(err)
	}
	cut := ask[[]string](t, b, fmt.Sprintf(`[...document.querySelectorAll('figure')].filter(f =>
		f.getBoundingClientRect().height > %f || getComputedStyle(f).breakInside != 'avoid').map(f => f.textContent.slice(0, 60))`, (size[1]-margins)*pixels))
	for _, c := range cut {
		t.Errorf("cut in print: %s", c)
	}
}
