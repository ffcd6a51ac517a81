package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// base is a survey without a fault; the tests change a file or two of it.
var base = map[string]string{
	"survey.toml": "title = \"Hollow Ridge\"\n",
	"strata.csv": "stratum,area_ha,fire_date\n" +
		"burn,12,2030-08-14\n" +
		"green,8,\n",
	"plots.csv": "plot,stratum,radius_m\n" +
		"P1,burn,5\n" +
		"P2,green,5\n",
	"transects.csv": "transect,stratum,kind,length_m,half_width_m\n" +
		"T1,burn,strip,50,2\n" +
		"L1,burn,line,80,\n",
	"visits.csv": "unit,date,pass,observers\n" +
		"P1,2031-05-17,1,Ada;Ben\n" +
		"P2,2031-05-17,1,\n" +
		"T1,2031-05-18,1,Ada\n" +
		"L1,2031-05-18,1,Ada\n",
	"finds.csv": "unit,date,taxon,count,mode,tree,distance_m,seen_by\n" +
		"P1,2031-05-17,black morel,2,host-associated,paper birch,,Ada\n" +
		"T1,2031-05-18,black morel,1,saprotrophic,,1.5,\n" +
		"L1,2031-05-18,black morel,1,,,3,\n",
}

// gone is the text of a file that is not there.
const gone = "\x00gone"

// with returns the base with files changed, added or gone.
func with(changes map[string]string) map[string]string {
	files := map[string]string{}
	for name, text := range base {
		files[name] = text
	}
	for name, text := range changes {
		files[name] = text
		if text == gone {
			delete(files, name)
		}
	}
	return files
}

// write makes a survey folder of files.
func write(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// gathered is all that a folder gave.
type gathered struct {
	faults, notices []string
	rows            map[string][]string // by table, as Go prints them
	finds           []survey.Find
	summary         Summary
	folder          *Folder
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
	if len(g.faults) > 0 || len(g.notices) > 0 {
		t.Errorf("faults:\n%snotices:\n%s", lines(g.faults), lines(g.notices))
	}
	want := []TableCount{{"strata", 2, 2, 0}, {"plots", 2, 2, 0}, {"transects", 2, 2, 0}, {"visits", 4, 4, 0}, {"finds", 3, 3, 0}}
	if !slices.Equal(g.summary.Tables, want) {
		t.Errorf("tables = %v, want %v", g.summary.Tables, want)
	}
}
