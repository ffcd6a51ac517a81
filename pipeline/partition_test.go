package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// knollSeasons are the sheets of a survey whose units were visited in two years, with
// points drawn in them once.
func knollSeasons() map[string]string {
	return map[string]string{
		"survey.toml": "title = \"Knoll, invented\"\n[check]\nquestions = \"off\"\n",
		"strata.csv":  "stratum,area_ha,fire_date\nburn,120,2029-08-14\ngreen,80,\n",
		"plots.csv":   "plot,stratum,site,area_m2\nP1,burn,A,100\nP2,burn,B,100\nP3,green,C,100\nP4,green,D,100\n",
		"visits.csv": "unit,date\nP1,2030-05-17\nP2,2030-05-17\nP3,2030-05-18\nP4,2030-05-18\n" +
			"P1,2031-05-12\nP2,2031-05-12\nP3,2031-05-13\nP4,2031-05-13\n",
		"finds.csv": "unit,date,taxon,count,mode,tree\nP1,2030-05-17,black morel,3,saprotrophic,\nP2,2030-05-17,black morel,5,host-associated,fir\nP3,2030-05-18,black morel,1,saprotrophic,\n" +
			"P1,2031-05-12,black morel,2,saprotrophic,\nP2,2031-05-12,black morel,1,host-associated,fir\nP4,2031-05-13,black morel,1,host-associated,fir\n",
		"trees.csv":            "unit,tree,alive,stems\nP1,fir,yes,4\nP2,fir,yes,2\nP3,fir,yes,9\nP4,fir,yes,7\n",
		"reference_points.csv": "unit,tree,tree_distance_m,tree_alive\nP1,fir,1.5,yes\nP1,fir,1.5,yes\nP2,fir,0.5,yes\n",
	}
}

// TestPartitionedArchive writes the archive by season and region, and runs it whole, a
// season of it, and with another region beside it.
func TestPartitionedArchive(t *testing.T) {
	onceIsEnough(t)
	light(t)
	out := mustRun(t, Options{Survey: writeSheets(t, knollSeasons())})
	dir := mustExport(t, out, "partitioned")
	const first, second = "season=2030/region=knoll-invented", "season=2031/region=knoll-invented"
	for _, name := range []string{first + "/finds-0.parquet", second + "/finds-0.parquet", second + "/strata-0.parquet", second + "/survey.toml", "survey.toml"} {
		if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			t.Error(err)
		}
	}
	want := contents(t, out)
	whole := contents(t, mustRun(t, Options{Survey: dir}))
	wantSameTables(t, whole, want)
	if !strings.Contains(string(whole["run.json"]), "has 4 rows that another season of its region has too") {
		t.Error("run.json does not say that plots were read once")
	}

	t.Run("a season", func(t *testing.T) {
		sheets := knollSeasons()
		for _, name := range []string{"visits.csv", "finds.csv"} {
			var kept []string
			for _, line := range strings.SplitAfter(sheets[name], "\n") {
				if !strings.Contains(line, "2030-") {
					kept = append(kept, line)
				}
			}
			sheets[name] = strings.Join(kept, "")
		}
		wantSameTables(t, contents(t, mustRun(t, Options{Survey: filepath.Join(dir, filepath.FromSlash(second))})),
			contents(t, mustRun(t, Options{Survey: writeSheets(t, sheets)})))
	})

	t.Run("two regions", func(t *testing.T) {
		// The same numbers, in tables that are not a copy.
		sheets := knollSeasons()
		sheets["survey.toml"] = strings.Replace(sheets["survey.toml"], "Knoll, invented", "Ridge", 1)
		for _, name := range []string{"visits.csv", "finds.csv"} {
			header, rows, _ := strings.Cut(sheets[name], "\n")
			sheets[name] = header + ",notes\n" + strings.ReplaceAll(rows, "\n", ",on the ridge\n")
		}
		ridge := mustExport(t, mustRun(t, Options{Survey: writeSheets(t, sheets)}), "partitioned")
		for _, season := range []string{"season=2030", "season=2031"} {
			if err := os.CopyFS(filepath.Join(dir, season, "region=ridge"), os.DirFS(filepath.Join(ridge, season, "region=ridge"))); err != nil {
				t.Fatal(err)
			}
		}
		// The intervals are not those of one alone: how finds clump is learned from all.
		both := contents(t, mustRun(t, Options{Survey: dir}))
		alone := map[string]string{}
		for _, row := range resultRows(t, want, "density") {
			if row["stratum"] != "all" {
				alone[row["stratum"]+row["years_since_fire"]+row["mode"]+row["tree"]+row["taxon"]] = row["density_per_ha"] + " " + row["se"] + " " + row["finds"]
			}
		}
		met := 0
		for _, row := range resultRows(t, both, "density") {
			region, stratum, ok := strings.Cut(row["stratum"], "/")
			if !ok || region != "ridge" && region != "knoll-invented" {
				if row["stratum"] != "all" {
					t.Errorf("the stratum %q has no region", row["stratum"])
				}
				continue
			}
			met++
			if got := row["density_per_ha"] + " " + row["se"] + " " + row["finds"]; got != alone[stratum+row["years_since_fire"]+row["mode"]+row["tree"]+row["taxon"]] {
				t.Errorf("%v: alone %s", row, alone[stratum+row["years_since_fire"]+row["mode"]+row["tree"]+row["taxon"]])
			}
		}
		if met != 2*len(alone) || met == 0 {
			t.Errorf("%d rows of strata, and %d of one survey", met, len(alone))
		}
	})

	t.Run("another plot of the same name", func(t *testing.T) {
		sheets := knollSeasons()
		sheets["plots.csv"] = strings.Replace(sheets["plots.csv"], "P1,burn,A,100", "P1,burn,A,200", 1)
		other := mustExport(t, mustRun(t, Options{Survey: writeSheets(t, sheets)}), "partitioned")
		const plots = "season=2031/region=ridge/plots-0.parquet"
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(plots)), fileOf(t, other, second+"/plots-0.parquet"), 0o644); err != nil {
			t.Fatal(err)
		}
		var faults []survey.Fault
		_, err := Check(context.Background(), dir, false, Watch{Fault: func(f survey.Fault) { faults = append(faults, f) }})
		if err == nil || len(faults) != 1 || faults[0].File != plots || faults[0].Line != 1 {
			t.Errorf("a plot that is described in two ways: %v, %v", err, faults)
		}
	})
}

// TestPartitionsKeepThePointsOfBoth reads the points of two files that differ whole,
// though some of them lie alike.
func TestPartitionsKeepThePointsOfBoth(t *testing.T) {
	onceIsEnough(t)
	light(t)
	dir := mustExport(t, mustRun(t, Options{Survey: writeSheets(t, knollSeasons())}), "partitioned")
	sheets := knollSeasons()
	sheets["reference_points.csv"] += "P3,fir,2.5,yes\n"
	other := mustExport(t, mustRun(t, Options{Survey: writeSheets(t, sheets)}), "partitioned")
	const name = "season=2031/region=knoll-invented/reference_points-0.parquet"
	if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), fileOf(t, other, filepath.FromSlash(name)), 0o644); err != nil {
		t.Fatal(err)
	}
	summary, err := Check(context.Background(), dir, false, Watch{})
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range summary.Tables {
		if table.Name == "reference_points" && table.Kept != 3+4 {
			t.Errorf("%d points of 3 and 4", table.Kept)
		}
	}
	if !bytes.Contains(fileOf(t, dir, "survey.toml"), []byte("Knoll, invented")) {
		t.Error("the settings have no title")
	}
}
