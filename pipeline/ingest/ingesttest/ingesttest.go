// Package ingesttest makes surveys that are small, invented and at fault, for
// the tests of whatever reads one.
package ingesttest

import (
	"maps"
	"os"
	"path/filepath"
	"testing"
)

// Base returns the files of a survey without a fault; tests change a file or
// two of it.
func Base() map[string]string {
	return map[string]string{
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
}

// Gone is the text of a file that is not there.
const Gone = "\x00gone"

// With returns the base with files changed, added or gone.
func With(changes map[string]string) map[string]string {
	files := Base()
	maps.Copy(files, changes)
	maps.DeleteFunc(files, func(_, text string) bool { return text == Gone })
	return files
}

// Write makes a survey folder of files.
func Write(t testing.TB, files map[string]string) string {
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
