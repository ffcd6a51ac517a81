package pipeline

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// longestCell is the limit that results/warnings keeps cells to, in bytes.
const longestCell = 4096

// manyStrata is a survey of so many strata with two plots each, every seventh with
// one, and a find on some.
func manyStrata(t *testing.T, strata int) string {
	sheets := map[string]*strings.Builder{}
	for name, header := range map[string]string{
		"strata.csv": "stratum,area_ha,fire_date", "plots.csv": "plot,stratum,area_m2", "visits.csv": "unit,date", "finds.csv": "unit,date,taxon,count,mode,tree",
	} {
		sheets[name] = &strings.Builder{}
		fmt.Fprintln(sheets[name], header)
	}
	for h := range strata {
		stratum := fmt.Sprintf("compartment %03d", h+1)
		fmt.Fprintf(sheets["strata.csv"], "%s,%d,2030\n", stratum, 10+h%9)
		for p := range 2 {
			if p == 1 && h%7 == 6 {
				continue
			}
			plot := fmt.Sprintf("P%03d-%d", h+1, p+1)
			fmt.Fprintf(sheets["plots.csv"], "%s,%s,100\n", plot, stratum)
			fmt.Fprintf(sheets["visits.csv"], "%s,2031-05-01\n", plot)
			if n := (h*h + 3*p) % 6; n > 1 {
				fmt.Fprintf(sheets["finds.csv"], "%s,2031-05-01,black morel,%d,%s,spruce\n", plot, n, []string{"saprotrophic", "host-associated"}[n%2])
			}
		}
	}
	// A coefficient for each of the strata would take minutes.
	files := map[string]string{"survey.toml": "title = \"Many strata\"\n[association]\nreplicates = 199\n[compare]\nreplicates = 199\n[model]\nterms = [\"mode\"]\n"}
	for name, text := range sheets {
		files[name] = text.String()
	}
	return writeSheets(t, files)
}

// TestWarningsOfManyStrata: no cell of a survey of 280 strata is longer than readers
// of CSV take. A row that counts warnings has them all in results/warnings, under
// values of its grouping columns that no other row has.
func TestWarningsOfManyStrata(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	const strata = 280
	files := contents(t, mustRun(t, Options{Survey: manyStrata(t, strata)}))
	tables := map[string][]map[string]string{}
	for file := range files {
		name, ok := strings.CutSuffix(strings.TrimPrefix(file, "results/"), ".csv")
		if !ok {
			continue
		}
		tables[name] = resultRows(t, files, name)
		for _, row := range tables[name] {
			for column, cell := range row {
				if len(cell) > longestCell {
					t.Errorf("%s: %s has %d bytes", name, column, len(cell))
				}
			}
		}
	}

	var text strings.Builder // of the strata of one plot
	few, single := map[string]bool{}, map[string]bool{}
	rows := map[string]map[string]string{} // by table and key
	for _, note := range tables["warnings"] {
		key := note["table"] + ": " + note["row"]
		if rows[key] == nil {
			rows[key] = onlyRow(t, tables[note["table"]], note["row"])
		}
		if !strings.Contains(rows[key]["warnings"], note["code"]+": ") || !strings.Contains(rows[key]["warnings"], " more in results/warnings") {
			t.Fatalf("%v is a note of the row %v", note, rows[key])
		}
		if key != "density: method=plot; stratum=all; years_since_fire=all; mode=all; tree=all; taxon=all" {
			continue
		}
		switch note["code"] {
		case "stratum-few-units":
			few[note["stratum"]] = strings.HasPrefix(note["warning"], "in stratum "+note["stratum"]+": ")
		case "collapsed-strata":
			single[note["stratum"]] = strings.Contains(note["warning"], "stratum "+note["stratum"]+" ")
			text.WriteString(note["warning"] + "\n")
		}
	}
	for h := range strata {
		stratum := fmt.Sprintf("compartment %03d", h+1)
		if noted := few[stratum]; noted != (h%7 < 6) {
			t.Errorf("%s has two plots or one, and noted as few is %v", stratum, noted)
		}
		if h%7 == 6 && !strings.Contains(text.String(), "stratum "+stratum+" ") {
			t.Errorf("%s has one plot and no note", stratum)
		}
	}
	// Two that were collapsed with each other have one note.
	if len(single) < strata/14 || slices.Contains(slices.Collect(maps.Values(single)), false) {
		t.Errorf("%d strata of one plot are noted of %d", len(single), strata/7)
	}
}

// onlyRow is the row that a key of results/warnings names.
func onlyRow(t *testing.T, rows []map[string]string, key string) map[string]string {
	t.Helper()
	var found []map[string]string
	for _, row := range rows {
		fits := true
		for part := range strings.SplitSeq(key, "; ") {
			column, value, ok := strings.Cut(part, "=")
			fits = fits && ok && row[column] == value
		}
		if fits {
			found = append(found, row)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows are called %q", len(found), key)
	}
	return found[0]
}

// TestWarningsOfFewStrata: the rows of a survey of some strata have room for all.
func TestWarningsOfFewStrata(t *testing.T) {
	files := wholeResults(t)
	if notes := resultRows(t, files, "warnings"); len(notes) > 0 {
		t.Errorf("%d notes, of %v", len(notes), notes[0])
	}
}
