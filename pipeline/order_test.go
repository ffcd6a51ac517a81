package pipeline

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashtally/stats/statstest"
)

// TestOrderOfRowsOfSheets turns the rows of every sheet of the demo: each result
// table has the same rows to the last byte, and in the same order where that is not
// the order of strata.csv.
func TestOrderOfRowsOfSheets(t *testing.T) {
	statstest.Long(t)
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	want := wholeResults(t)
	for _, turned := range []struct {
		strata bool
		seed   uint64
	}{{false, 1}, {true, 2}} {
		r := rand.New(rand.NewPCG(turned.seed, 0))
		got := contents(t, mustRun(t, Options{Survey: writeSurvey(t, func(name string, data []byte) []byte {
			if !strings.HasSuffix(name, ".csv") || name == "strata.csv" && !turned.strata {
				return data
			}
			header, rows := cutRows(data)
			r.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
			return append(header, bytes.Join(rows, nil)...)
		})}))
		tables := 0
		for name, data := range want {
			if !strings.HasPrefix(name, "results/") || !strings.HasSuffix(name, ".csv") {
				continue
			}
			tables++
			if turned.strata {
				data, got[name] = sortRows(data), sortRows(got[name])
			}
			if at := firstDifference(got[name], data); at >= 0 {
				t.Errorf("%s, strata turned %v:\n%s\n%s", name, turned.strata, bytes.Split(got[name], []byte("\n"))[at], bytes.Split(data, []byte("\n"))[at])
			}
		}
		if tables < 25 {
			t.Errorf("only %d tables", tables)
		}
	}
}

// TestRoundingIsZero: what stands for zero is zero in the tables, as on another
// processor its digits would be others. All units have one density.
func TestRoundingIsZero(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	plots, transects := "plot,stratum,radius_m\n", "transect,stratum,kind,length_m,half_width_m\n"
	visits, finds := "unit,date\n", "unit,date,taxon,count,mode,tree,distance_m\n"
	for i := range 12 {
		stratum, k := []string{"zeta", "alpha"}[i%2], 1+i%3
		plots += fmt.Sprintf("P%d,%s,5.64\n", i, stratum)
		transects += fmt.Sprintf("S%d,%s,strip,%.1f,1.1\nL%d,%s,line,%.1f,4\n", i, stratum, 33.3*float64(k), i, stratum, 33.3*float64(k))
		visits += fmt.Sprintf("P%d,2031-05-01\nS%d,2031-05-02\nL%d,2031-05-03\n", i, i, i)
		for _, mode := range []string{"saprotrophic", "host-associated"} {
			finds += fmt.Sprintf("P%d,2031-05-01,black morel,3,%s,spruce,\nS%d,2031-05-02,black morel,%d,%s,spruce,\n", i, mode, i, 3*k, mode)
			for range k {
				for _, m := range []string{"0.3", "0.9", "1.4", "2.2", "3.1"} {
					finds += fmt.Sprintf("L%d,2031-05-03,black morel,1,%s,spruce,%s\n", i, mode, m)
				}
			}
		}
	}
	files := contents(t, mustRun(t, Options{Survey: writeSheets(t, map[string]string{
		"survey.toml": "title = \"One density\"\n", "strata.csv": "stratum,area_ha,fire_date\nzeta,123.4,2030\nalpha,77.7,2029\n",
		"plots.csv": plots, "transects.csv": transects, "visits.csv": visits, "finds.csv": finds,
	})}))
	for name := range files {
		table, ok := strings.CutSuffix(strings.TrimPrefix(name, "results/"), ".csv")
		if !ok || strings.Contains(table, "/") {
			continue
		}
		for _, row := range resultRows(t, files, table) {
			for column, cell := range row {
				v, err := strconv.ParseFloat(cell, 64)
				if err == nil && v != 0 && math.Abs(v) < 1e-11 && !strings.HasSuffix(column, "_p") && column != "akaike_weight" {
					t.Errorf("%s: %s is %s in %v", table, column, cell, row)
				}
			}
		}
	}
	for _, row := range resultRows(t, files, "density") {
		if row["method"] == "line" && row["stratum"] == "all" && numberIn(t, row, "upper") < 1.1*numberIn(t, row, "lower") {
			t.Errorf("lines of one rate have the limits %s and %s", row["lower"], row["upper"])
		}
	}
}

// cutRows copies a sheet without cells of several lines.
func cutRows(sheet []byte) (header []byte, rows [][]byte) {
	lines := bytes.SplitAfter(append(bytes.TrimSuffix(bytes.Clone(sheet), []byte("\n")), '\n'), []byte("\n"))
	lines = lines[:len(lines)-1] // what follows the last line
	return slices.Clip(lines[0]), lines[1:]
}

func sortRows(sheet []byte) []byte {
	header, rows := cutRows(sheet)
	slices.SortFunc(rows, bytes.Compare)
	return append(header, bytes.Join(rows, nil)...)
}

// firstDifference is the first line that is not the same; -1 if all are.
func firstDifference(a, b []byte) int {
	one, other := bytes.Split(a, []byte("\n")), bytes.Split(b, []byte("\n"))
	for i := range one {
		if i >= len(other) || !bytes.Equal(one[i], other[i]) {
			return min(i, len(other)-1)
		}
	}
	if len(other) > len(one) {
		return len(one) - 1
	}
	return -1
}
