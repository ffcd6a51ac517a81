package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/doc"
	"go/doc/comment"
	"go/parser"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// page is a file to be written, its path below the top folder.
type page struct {
	path string
	text []byte
}

// made tells a reader where to change a page.
const made = "<!-- Made by go run ./cmd/methods from the doc comments; change those. -->\n\n"

// all makes the pages of the estimators and their list.
func all(top string) ([]page, error) {
	var pages []page
	var list bytes.Buffer
	list.WriteString(made + "# Methods\n\nA page for each estimator: what it estimates, formula, assumptions, special cases, references and how often\n" +
		"its interval holds the truth. References are as the comments cite them, from memory where they say so; each page ends with the DOIs that are known.\n\n" +
		"| estimator | package | by hand in |\n|---|---|---|\n")
	for _, e := range estimators {
		text, err := e.page(filepath.Join(top, "stats", e.dir))
		if err != nil {
			return nil, err
		}
		pages = append(pages, page{path.Join("stats", e.dir, "METHOD.md"), text})
		notebook := ""
		if e.notebook != "" {
			notebook = fmt.Sprintf("[%s](../notebooks/%s.ipynb)", e.notebook, e.notebook)
		}
		fmt.Fprintf(&list, "| [%s](%s/METHOD.md) | `stats/%s` | %s |\n", e.title, e.dir, e.dir, notebook)
	}
	return append(pages, page{"stats/README.md", list.Bytes()}), nil
}

// page is the page of one estimator: what its package says, then each function or
// method whose comment has a formula.
func (e estimator) page(dir string) ([]byte, error) {
	p, err := load(dir)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s# %s\n\n", made, e.title)
	writer := printer(p, 2)
	b.Write(writer.Markdown(p.Parser().Parse(strings.TrimSpace(p.Doc))))
	for _, f := range estimates(p) {
		fmt.Fprintf(&b, "\n## %s\n\n", f.title)
		b.Write(printer(p, 3).Markdown(p.Parser().Parse(f.doc)))
	}
	b.WriteString(citedIn(b.Bytes()))
	b.WriteString(e.calibration(dir))
	return b.Bytes(), nil
}

// load reads the comments of a package.
func load(dir string) (*doc.Package, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	names = slices.DeleteFunc(names, func(n string) bool { return strings.HasSuffix(n, "_test.go") })
	set := token.NewFileSet()
	var files []*ast.File
	for _, n := range names {
		f, err := parser.ParseFile(set, n, nil, parser.ParseComments)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return doc.NewFromFiles(set, files, "ashtally/"+filepath.ToSlash(dir))
}

// printer writes comments as Markdown, links to other declarations as plain names.
func printer(p *doc.Package, heading int) *comment.Printer {
	w := p.Printer()
	w.HeadingLevel = heading
	w.HeadingID = func(*comment.Heading) string { return "" }
	w.DocLinkURL = func(*comment.DocLink) string { return "" }
	return w
}

// estimate is a function or method with the comment that explains it.
type estimate struct{ title, doc string }

// estimates are the exported functions and methods, by name, whose comments have a
// formula: an indented block.
func estimates(p *doc.Package) []estimate {
	var list []estimate
	add := func(of string, funcs []*doc.Func) {
		for _, f := range funcs {
			if explains(p, f.Doc) {
				list = append(list, estimate{of + f.Name, f.Doc})
			}
		}
	}
	add("", p.Funcs)
	for _, t := range p.Types {
		if explains(p, t.Doc) {
			list = append(list, estimate{t.Name, t.Doc})
		}
		add("", t.Funcs)
		add(t.Name+".", t.Methods)
	}
	slices.SortStableFunc(list, func(a, b estimate) int { return strings.Compare(a.title, b.title) })
	return list
}

func explains(p *doc.Package, text string) bool {
	return slices.ContainsFunc(p.Parser().Parse(text).Content, func(b comment.Block) bool { _, code := b.(*comment.Code); return code })
}

// measured are the pages beside a package that tell how it does, in order.
var measured = []struct{ file, says string }{
	{"CALIBRATION.md", "how often its intervals hold the truth"},
	{"SIMULATION.md", "how often its intervals hold the truth"},
	{"COMBINATION.md", "how often the limits of several methods together hold the truth, and how often the test tells that they differ"},
	{"REVISITS.md", "how often its intervals hold the truth where visits overlap"},
	{"ERRORS.md", "how often its tests reject what is true"},
	{"TOLD.md", "how often it is told that a curve does not fit"},
	{"STANDING.md", "what becomes of the season total where fruit bodies stand for other days than the settings say"},
	{"SPIKES.md", "how often a spike beside the line is told of, and how often any test could"},
	{"VARYING.md", "what happens where its assumption of equal detectability fails"},
}

// calibration links what was measured; empty if nothing is recorded.
func (e estimator) calibration(dir string) string {
	var b strings.Builder
	for _, m := range measured {
		if _, err := os.Stat(filepath.Join(dir, m.file)); err == nil {
			fmt.Fprintf(&b, "- [%s](%s): %s\n", m.file, m.file, m.says)
		}
	}
	if e.figure != "" {
		figure := strings.Repeat("../", strings.Count(e.dir, "/")+2) + "cmd/calibrate/published/" + e.figure
		fmt.Fprintf(&b, "- [%s](%s/README.md): coverage over worlds and designs, by `go run ./cmd/calibrate`\n\n![Coverage of the intervals by world](%s.svg)\n",
			"calibrate/published", path.Dir(figure), figure)
	}
	if e.notebook != "" {
		up := strings.Repeat("../", strings.Count(e.dir, "/")+2)
		fmt.Fprintf(&b, "\nBy hand, step by step: [notebooks/%s.ipynb](%snotebooks/%s.ipynb).\n", e.notebook, up, e.notebook)
	}
	if b.Len() == 0 {
		return ""
	}
	return "\n## Measured\n\n" + b.String()
}
