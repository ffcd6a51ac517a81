package pipeline

import (
	"go/ast"
	"go/build"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "ashtally/"

// allowed is the order of the packages: what each may import of ours. An entry
// that ends in "/..." stands for all packages below it.
var allowed = map[string][]string{
	"cmd/ashtally":                     {"pipeline", "pipeline/phrase", "pipeline/survey", "pipeline/ingest"},
	"cmd/notice":                       {},
	"cmd/methods":                      {},
	"cmd/calibrate":                    {"cmd/calibrate/coverage", "pipeline/column", "pipeline/table", "pipeline/archive", "plots"},
	"cmd/calibrate/coverage":           {"stats", "stats/..."},
	"pipeline":                         {"pipeline/...", "plots", "stats", "stats/..."},
	"pipeline/column":                  {},
	"pipeline/phrase":                  {"pipeline/column"},
	"pipeline/slab":                    {},
	"pipeline/survey":                  {"pipeline/column", "pipeline/phrase"},
	"pipeline/demo":                    {"pipeline/column", "pipeline/survey"},
	"pipeline/ingest":                  {"pipeline/column", "pipeline/phrase", "pipeline/slab", "pipeline/survey", "pipeline/ingest/plausible", "pipeline/plan/geodesy"},
	"pipeline/ingest/plausible":        {},
	"pipeline/table":                   {"pipeline/column"},
	"pipeline/archive":                 {"pipeline/column", "pipeline/table"},
	"pipeline/table/tabletest":         {"pipeline/column", "pipeline/survey", "pipeline/table"},
	"pipeline/result":                  {"pipeline/column", "pipeline/table", "stats", "stats/multiple"},
	"pipeline/position":                {"pipeline/column", "pipeline/survey"},
	"pipeline/fieldwork":               {"pipeline/column", "pipeline/slab", "pipeline/survey", "pipeline/position", "pipeline/table", "pipeline/result", "stats", "stats/density", "stats/linear", "stats/strata"},
	"pipeline/fieldwork/fieldworktest": {"pipeline/column", "pipeline/survey", "pipeline/table", "pipeline/fieldwork", "stats", "stats/strata"},
	"pipeline/estimate":                {"pipeline/survey", "pipeline/result", "pipeline/fieldwork", "stats", "stats/..."},
	"pipeline/estimate/transect":       {"pipeline/column", "pipeline/survey", "pipeline/result", "pipeline/fieldwork", "pipeline/estimate", "stats", "stats/..."},
	"pipeline/estimate/mass":           {"pipeline/result", "pipeline/fieldwork", "stats/crop"},
	"pipeline/page":                    {"pipeline/column", "pipeline/survey", "pipeline/result", "plots", "stats"},
	"pipeline/question":                {"pipeline/column", "pipeline/survey", "pipeline/result", "pipeline/fieldwork", "pipeline/estimate/mass", "pipeline/estimate/transect", "pipeline/page", "plots", "stats"},
	// A question knows the estimators and what all questions share, and no other question.
	"pipeline/question/...":  {"pipeline/column", "pipeline/survey", "pipeline/position", "pipeline/plan/geodesy", "pipeline/result", "pipeline/fieldwork", "pipeline/estimate", "pipeline/estimate/...", "pipeline/page", "pipeline/question", "plots", "stats", "stats/..."},
	"pipeline/export":        {"pipeline/column", "pipeline/phrase", "pipeline/position", "pipeline/survey", "pipeline/table"},
	"pipeline/export/...":    {"pipeline/column", "pipeline/phrase", "pipeline/position", "pipeline/survey", "pipeline/table", "pipeline/export"},
	"pipeline/plan":          {"pipeline/column", "pipeline/survey", "pipeline/table", "pipeline/result", "pipeline/page", "pipeline/plan/geodesy", "pipeline/plan/outline", "pipeline/plan/fieldmap", "plots", "stats", "stats/..."},
	"pipeline/plan/geodesy":  {},
	"pipeline/plan/fieldmap": {"pipeline/survey", "pipeline/plan/geodesy", "pipeline/plan/outline", "stats/layout"},
	"pipeline/plan/outline":  {"pipeline/column", "pipeline/survey", "pipeline/plan/geodesy", "stats/layout"},
	"plots":                  {"plots/internal/axis", "plots/internal/canvas"},
	"plots/internal/axis":    {},
	"plots/internal/canvas":  {},
	"stats":                  {},
	"stats/...":              {"stats", "stats/..."},
}

// reserved says which package alone may import, or call for, a thing of others.
var reserved = []struct {
	imported string // path, or prefix where it ends in "/"
	by       []string
}{
	{"github.com/apache/arrow/go/v15/parquet", []string{"pipeline/archive"}},
	{"github.com/apache/arrow/go/v15/arrow", []string{"pipeline/table", "pipeline/archive"}},
	// These bring compute kernels, gRPC and Protocol Buffers: 22 MB, and 30 % of a fresh build.
	{"github.com/apache/arrow/go/v15/parquet/pqarrow", []string{"tests"}},
	{"github.com/apache/arrow/go/v15/arrow/compute", []string{"tests"}},
	{"github.com/apache/arrow/go/v15/arrow/flight", []string{"tests"}},
	{"gonum.org/v1/plot", []string{"plots/internal/canvas"}},
	{"github.com/spf13/cobra", []string{"cmd/ashtally"}},
	{"github.com/pelletier/go-toml", []string{"pipeline/ingest"}},
	{"os", []string{"cmd/ashtally", "cmd/calibrate", "cmd/methods", "cmd/notice", "pipeline", "pipeline/ingest", "pipeline/ingest/ingesttest", "pipeline/archive", "stats/statstest"}},
	{"encoding/csv", []string{"pipeline/ingest", "pipeline/export/darwincore", "stats/statstest"}},
	{"time", []string{"cmd/ashtally", "cmd/calibrate", "pipeline", "pipeline/column", "pipeline/demo", "pipeline/ingest/plausible"}},
}

// TestImports holds the packages to their order: imports go one way, and what
// one package keeps for the others (Arrow, Parquet, files, arguments) stays there.
func TestImports(t *testing.T) {
	for dir, p := range packages(t) {
		for _, path := range p.Imports {
			if ours, ok := strings.CutPrefix(path, module); ok && !may(dir, ours) {
				t.Errorf("%s imports %s, against the order of the house", dir, ours)
			}
			for _, r := range reserved {
				if (path == r.imported || strings.HasPrefix(path, r.imported+"/")) && !slices.Contains(r.by, dir) {
					t.Errorf("%s imports %s, which only %s may", dir, path, strings.Join(r.by, ", "))
				}
			}
		}
	}
}

// may reports whether the package dir may import another. Of the entries that
// stand for dir the longest holds.
func may(dir, imported string) bool {
	list, ok := allowed[dir]
	for above := dir; !ok && above != "."; {
		above = path.Dir(above)
		list, ok = allowed[above+"/..."]
	}
	return slices.ContainsFunc(list, func(entry string) bool {
		prefix, open := strings.CutSuffix(entry, "...")
		return entry == imported || open && strings.HasPrefix(imported, prefix)
	})
}

func TestMay(t *testing.T) {
	for _, c := range []struct {
		dir, imported string
		want          bool
	}{
		{"pipeline/question/crop", "pipeline/fieldwork", true},
		{"pipeline/question/crop", "stats/crop", true},
		{"pipeline/question/crop", "pipeline/question", true},
		{"pipeline/question/crop", "pipeline/question/density", false},
		{"pipeline/question/crop/internal", "pipeline/question/density", false},
		{"pipeline/question", "pipeline/question/crop", false},
		{"pipeline/page", "pipeline/question", false},
		{"pipeline/fieldwork", "stats/crop", false},
		{"pipeline/fieldwork", "pipeline/estimate", false},
		{"pipeline/question/crop", "pipeline/estimate", true},
		{"pipeline/export/geo", "pipeline/export", true},
		{"pipeline/export/geo", "pipeline/export/darwincore", false},
		{"pipeline/export/geo", "pipeline/archive", false},
		{"pipeline/unheard-of", "pipeline/column", false},
		{"stats/crop", "pipeline/result", false},
		{"plots", "stats", false},
		{"pipeline", "pipeline/question/crop", true},
	} {
		if got := may(c.dir, c.imported); got != c.want {
			t.Errorf("%s may import %s: %t, want %t", c.dir, c.imported, got, c.want)
		}
	}
}

// packages finds those of the module that are not test data, by folder.
func packages(t *testing.T) map[string]*build.Package {
	t.Helper()
	found := map[string]*build.Package{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); path != ".." && (strings.HasPrefix(name, ".") || name == "testdata") {
			return fs.SkipDir
		}
		if _, err := os.Stat(filepath.Join(path, "go.mod")); path != ".." && err == nil {
			return fs.SkipDir // a module of its own
		}
		p, err := build.ImportDir(path, 0)
		if err != nil {
			return nil // no Go files here
		}
		dir, err := filepath.Rel("..", path)
		found[filepath.ToSlash(dir)] = p
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(found) < 10 {
		t.Fatalf("found only %d packages", len(found))
	}
	return found
}

// mostMethods is how many methods a type may have. One with more holds several
// things.
const mostMethods = 30

// TestMethodsOfTypes holds every type to few methods.
func TestMethodsOfTypes(t *testing.T) {
	for dir, p := range packages(t) {
		methods := map[string]int{}
		for _, name := range p.GoFiles {
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range file.Decls {
				if f, ok := d.(*ast.FuncDecl); ok && f.Recv != nil {
					methods[receiver(f.Recv.List[0].Type)]++
				}
			}
		}
		for name, n := range methods {
			if n > mostMethods {
				t.Errorf("%s.%s has %d methods, more than %d: divide it by what it holds", dir, name, n, mostMethods)
			}
		}
	}
}

// receiver is the name of the type of a receiver.
func receiver(e ast.Expr) string {
	switch x := e.(type) {
	case *ast.StarExpr:
		return receiver(x.X)
	case *ast.IndexExpr:
		return receiver(x.X)
	case *ast.IndexListExpr:
		return receiver(x.X)
	case *ast.Ident:
		return x.Name
	}
	panic("a receiver of an unknown form")
}
