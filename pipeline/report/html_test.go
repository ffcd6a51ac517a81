package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashtally/stats"
	"golang.org/x/net/html"

	"pgregory.net/rapid"
)

// balance tells the first tag of a page that is not closed in its turn. The
// parser would mend such a page without a word; the tokenizer does not.
func balance(page string) error {
	void := []string{"meta", "br", "hr", "img", "link", "input"}
	z := html.NewTokenizer(strings.NewReader(page))
	var open []string
	for {
		switch kind := z.Next(); kind {
		case html.ErrorToken:
			if z.Err() != io.EOF {
				return z.Err()
			}
			if len(open) > 0 {
				return fmt.Errorf("never closed: %q", open)
			}
			return nil
		case html.StartTagToken, html.EndTagToken:
			name, _ := z.TagName()
			tag := string(name)
			switch {
			case slices.Contains(void, tag):
			case kind == html.StartTagToken:
				open = append(open, tag)
			case len(open) == 0 || open[len(open)-1] != tag:
				return fmt.Errorf("</%s> closes %q", tag, open)
			default:
				open = open[:len(open)-1]
			}
		}
	}
}

func parsed(t *testing.T, page string) []*html.Node {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var elements []*html.Node
	for n := range root.Descendants() {
		if n.Type == html.ElementNode {
			elements = append(elements, n)
		}
	}
	return elements
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func within(n *html.Node, tag string) []*html.Node {
	var found []*html.Node
	for d := range n.Descendants() {
		if d.Type == html.ElementNode && d.Data == tag {
			found = append(found, d)
		}
	}
	return found
}

func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func TestPageIsWellFormed(t *testing.T) {
	for name, p := range pages() {
		page := written(t, p)
		if err := balance(page); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		checkIDs(t, name, parsed(t, page))
	}
}

// checkIDs holds ids to being unique and every reference to having one.
func checkIDs(t *testing.T, name string, elements []*html.Node) {
	ids := map[string]bool{}
	for _, n := range elements {
		if id := attr(n, "id"); id != "" {
			if ids[id] {
				t.Errorf("%s: two elements have the id %q", name, id)
			}
			ids[id] = true
		}
	}
	for _, n := range elements {
		refs := strings.Fields(attr(n, "aria-labelledby"))
		if to, ok := strings.CutPrefix(attr(n, "href"), "#"); ok {
			refs = append(refs, to)
		}
		for _, ref := range refs {
			if !ids[ref] {
				t.Errorf("%s: nothing has the id %q", name, ref)
			}
		}
	}
}

func TestLandmarks(t *testing.T) {
	for name, p := range pages() {
		count := map[string]int{}
		for _, n := range parsed(t, written(t, p)) {
			count[n.Data]++
			if n.Data == "html" && attr(n, "lang") == "" {
				t.Errorf("%s: the page names no language", name)
			}
			if n.Data == "title" && n.Namespace == "" && text(n) == "" {
				t.Errorf("%s: the page has no title", name)
			}
		}
		for _, tag := range []string{"main", "header", "footer", "nav", "h1"} {
			if count[tag] != 1 {
				t.Errorf("%s: %d elements %s", name, count[tag], tag)
			}
		}
	}
}

// TestNothingFromOutside holds the page to being one file, beside that of the
// questions that have moved.
func TestNothingFromOutside(t *testing.T) {
	for name, p := range pages() {
		for _, n := range parsed(t, written(t, p)) {
			if slices.Contains([]string{"script", "link", "img", "iframe", "object", "embed", "form", "base"}, n.Data) {
				t.Errorf("%s: the page has an element %s", name, n.Data)
			}
			for _, a := range n.Attr {
				if (a.Key == "href" || a.Key == "src") && !strings.HasPrefix(a.Val, "#") && a.Val != "summary.html" {
					t.Errorf("%s: %s refers to %q", name, n.Data, a.Val)
				}
				if strings.HasPrefix(a.Key, "on") || strings.Contains(a.Val, "url(") {
					t.Errorf("%s: attribute %s=%q", name, a.Key, a.Val)
				}
			}
			if n.Data == "style" && (strings.Contains(text(n), "url(") || strings.Contains(text(n), "@import")) {
				t.Errorf("%s: the style loads something", name)
			}
		}
	}
}

// TestTablesAreTables holds every table to a caption, headers with a scope and
// rows of one width, counting what spans.
func TestTablesAreTables(t *testing.T) {
	for name, p := range pages() {
		tables := 0
		for _, n := range parsed(t, written(t, p)) {
			if n.Data != "table" {
				continue
			}
			tables++
			captions := within(n, "caption")
			if len(captions) != 1 || text(captions[0]) == "" {
				t.Errorf("%s: a table without a caption", name)
				continue
			}
			for _, th := range within(n, "th") {
				if attr(th, "scope") == "" {
					t.Errorf("%s: %q: header %q has no scope", name, text(captions[0]), text(th))
				}
			}
			checkWidths(t, name+": "+text(captions[0]), n)
		}
		if tables == 0 {
			t.Errorf("%s: no tables", name)
		}
	}
}

func checkWidths(t *testing.T, name string, table *html.Node) {
	span := func(n *html.Node, key string) int {
		v, err := strconv.Atoi(attr(n, key))
		if err != nil {
			return 1
		}
		return v
	}
	var width int
	carried := map[int]int{} // row number to cells that reach into it from above
	for i, tr := range within(table, "tr") {
		n := carried[i]
		for c := range tr.ChildNodes() {
			n += span(c, "colspan")
			for down := 1; down < span(c, "rowspan"); down++ {
				carried[i+down] += span(c, "colspan")
			}
		}
		if width == 0 {
			width = n
		}
		if n != width {
			t.Errorf("%s: row %d has %d columns, the first %d: %s", name, i+1, n, width, text(tr))
		}
	}
}

// TestEmptyFiguresHaveReasons holds every dash of a result table to a note on its row.
func TestEmptyFiguresHaveReasons(t *testing.T) {
	for _, g := range newWriter(inventedPage()).tables() {
		if g.ID == "effort" || g.ID == "taxa" {
			continue // a plot has no length, and not every find was weighed
		}
		for _, group := range g.Groups {
			for _, r := range group.Rows {
				empty := slices.ContainsFunc(r.Cells, func(c cell) bool { return c.Text == none })
				if empty && len(r.Marks) == 0 {
					t.Errorf("%s: %s, %q has an empty figure and no note", g.ID, group.Title, r.Label.Text)
				}
			}
		}
	}
}

func TestHostileNames(t *testing.T) {
	page := written(t, hostilePage())
	for _, bad := range []string{"<script", "<b>&amp;", "\u202E", "\u2066", "\u2028", "\x00", "\x1b", "onload=\"x"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	for _, want := range []string{"&lt;script&gt;", "\u2068" + hebrew + "\u2069", "…"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if len(page) > 2*len(written(t, inventedPage())) {
		t.Errorf("long names made the page %d bytes long", len(page))
	}
}

// TestAnyName gives every place of a name any text at all.
func TestAnyName(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		bad := rapid.String().Draw(rt, "name") + rapid.SampledFrom([]string{"", "</table>", "-->", "\xff\xfe", "\u202e", "{{.}}", "</style>"}).Draw(rt, "tail")
		p := smallPage()
		p.Settings.Title, p.Settings.Taxa.Target = bad, []string{bad}
		p.Results.Corrected[0].Warnings = []stats.Warning{{Code: bad, Text: bad}}
		p.Results.Corrected[1].Stratum = bad
		p.Provenance.Inputs[0].Name = bad
		p.Figures[0].Title, p.Figures[0].Caption, p.Figures[0].Alt = bad, bad, bad
		var b strings.Builder
		if err := Write(&b, p); err != nil {
			rt.Fatal(err)
		}
		if err := balance(b.String()); err != nil {
			rt.Fatalf("%q: %v", bad, err)
		}
	})
}
