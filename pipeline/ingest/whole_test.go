package ingest

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/pipeline/survey"
)

// TestWhatIsKeptIsWhole spoils cells of a survey anywhere and sets the faulty
// rows aside: whatever is kept refers only to what is kept.
func TestWhatIsKeptIsWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "ingest-")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		files := map[string]string{}
		for name, text := range base {
			files[name] = text
		}
		for range rapid.IntRange(1, 4).Draw(t, "spoils") {
			spoil(t, files)
		}
		for name, text := range files {
			if err := os.WriteFile(dir+"/"+name, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		folder, faults, err := Open(dir)
		if err != nil || len(faults) > 0 {
			t.Fatal(faults, err)
		}
		k := keeper{t: t, strata: map[string]bool{}, units: map[string]bool{}, visits: map[string]bool{}}
		s, err := folder.Read(t.Context(), k.sink(), Options{SetAside: true})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range s.Tables {
			if c.SetAside > 0 && s.Faults == 0 {
				t.Fatalf("%+v without a fault", c)
			}
		}
	})
}

// spoil changes one cell below the header of a table.
func spoil(t *rapid.T, files map[string]string) {
	tables := slices.DeleteFunc(slices.Sorted(maps.Keys(files)), func(name string) bool { return name == settingsName })
	name := rapid.SampledFrom(tables).Draw(t, "file")
	rows := strings.Split(strings.TrimSuffix(files[name], "\n"), "\n")
	at := rapid.IntRange(1, len(rows)-1).Draw(t, "row")
	cells := strings.Split(rows[at], ",")
	cell := rapid.IntRange(0, len(cells)-1).Draw(t, "cell")
	cells[cell] = rapid.SampledFrom([]string{"", "x", "P1", "T1", "burn", "2031-05-17", "2031-05-18", "-1", `"`, `a"b`, "1,2", "\xff"}).Draw(t, "text")
	rows[at] = strings.Join(cells, ",")
	files[name] = strings.Join(rows, "\n") + "\n"
}

// keeper holds each row to the rows that were kept before it.
type keeper struct {
	t                     *rapid.T
	strata, units, visits map[string]bool
}

func (k *keeper) sink() Sink {
	unit := func(id, stratum string) error {
		if !k.strata[stratum] || k.units[id] {
			k.t.Fatalf("unit %q of stratum %q was kept, with %v and %v", id, stratum, k.strata, k.units)
		}
		k.units[id] = true
		return nil
	}
	return Sink{
		Stratum:  func(r *survey.Stratum) error { k.strata[r.Stratum] = true; return nil },
		Plot:     func(r *survey.Plot) error { return unit(r.Plot, r.Stratum) },
		Transect: func(r *survey.Transect) error { return unit(r.Transect, r.Stratum) },
		Visit: func(r *survey.Visit) error {
			if !k.units[r.Unit] || k.visits[r.Unit+r.Date.String()] {
				k.t.Fatalf("a visit of %q was kept, with %v", r.Unit, k.units)
			}
			k.visits[r.Unit+r.Date.String()] = r.Pass.Value == 1
			return nil
		},
		Find: func(r *survey.Find) error {
			if !k.visits[r.Unit+r.Date.String()] {
				k.t.Fatalf("a find of %q on %s was kept, with %v", r.Unit, r.Date, k.visits)
			}
			return nil
		},
	}
}
