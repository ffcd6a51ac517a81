package ingest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/ingest/ingesttest"
	"ashtally/pipeline/survey"
)

// base, gone, with and write make the surveys of the tests.
var (
	base  = ingesttest.Base()
	with  = ingesttest.With
	write = ingesttest.Write
)

const gone = ingesttest.Gone

// gathered is all that a folder gave.
type gathered struct {
	faults, notices, questions []string
	rows                       map[string][]string // by table, as Go prints them
	finds                      []survey.Find
	summary                    Summary
	folder                     *Folder
}

// gather reads a folder whole.
func gather(t testing.TB, dir string, options Options) gathered {
	t.Helper()
	folder, faults, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	g := gathered{rows: map[string][]string{}, folder: folder}
	for _, f := range faults {
		g.faults = append(g.faults, f.String())
	}
	g.summary, err = folder.Read(t.Context(), g.sink(), options)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func (g *gathered) sink() Sink {
	return Sink{
		Stratum:        func(r *survey.Stratum) error { return keep(g, "strata", r) },
		Plot:           func(r *survey.Plot) error { return keep(g, "plots", r) },
		Transect:       func(r *survey.Transect) error { return keep(g, "transects", r) },
		Visit:          func(r *survey.Visit) error { return keep(g, "visits", r) },
		Tree:           func(r *survey.Tree) error { return keep(g, "trees", r) },
		ReferencePoint: func(r *survey.ReferencePoint) error { return keep(g, "reference_points", r) },
		Find: func(r *survey.Find) error {
			f := *r
			f.Extra = slices.Clone(r.Extra)
			g.finds = append(g.finds, f)
			return keep(g, "finds", r)
		},
		Fault: func(f survey.Fault) error {
			g.faults = append(g.faults, f.String())
			return nil
		},
		Question: func(q survey.Question) error {
			g.questions = append(g.questions, q.String())
			return nil
		},
		Notice: func(f survey.Fault) error {
			g.notices = append(g.notices, f.String())
			return nil
		},
	}
}

func keep[R any, P row[R]](g *gathered, table string, r *R) error {
	shown := *r
	P(&shown).Base().Place = survey.Place{} // rows are compared wherever they stand
	g.rows[table] = append(g.rows[table], fmt.Sprintf("%+v", shown))
	return nil
}

func lines(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return strings.Join(list, "\n") + "\n"
}

func TestBaseHasNoFault(t *testing.T) {
	g := gather(t, write(t, base), Options{})
	if len(g.faults)+len(g.notices)+len(g.questions) > 0 {
		t.Errorf("faults:\n%snotices:\n%squestions:\n%s", lines(g.faults), lines(g.notices), lines(g.questions))
	}
	want := []TableCount{{"strata", 2, 2, 0}, {"plots", 2, 2, 0}, {"transects", 2, 2, 0}, {"visits", 4, 4, 0}, {"finds", 3, 3, 0}}
	if !slices.Equal(g.summary.Tables, want) {
		t.Errorf("tables = %v, want %v", g.summary.Tables, want)
	}
}
