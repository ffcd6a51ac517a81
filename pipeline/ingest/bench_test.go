package ingest

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// benchFinds is the number of rows of the benchmark's finds.
const benchFinds = 1_000_000

// writeLarge makes a survey with many finds: 400 plots of two visits each.
func writeLarge(b *testing.B, finds int) string {
	var plots, visits, rows strings.Builder
	plots.WriteString("plot,stratum,radius_m\n")
	visits.WriteString("unit,date,pass,observers\n")
	rows.WriteString("unit,date,pass,taxon,count,mode,tree,tree_distance_m,seen_by,mass_g,hollow,x_m,y_m\n")
	days := []string{"2031-05-17", "2031-05-24"}
	for i := range 400 {
		fmt.Fprintf(&plots, "P%03d,burn,5\n", i)
		for _, day := range days {
			fmt.Fprintf(&visits, "P%03d,%s,1,Ada;Ben\n", i, day)
		}
	}
	rng := rand.New(rand.NewPCG(1, 0))
	trees := []string{"paper birch", "quaking aspen", "white spruce"}
	for range finds {
		fmt.Fprintf(&rows, "P%03d,%s,1,black morel,%d,host-associated,%s,%.1f,Ada;Ben,%.1f,yes,%.2f,%.2f\n",
			rng.IntN(400), days[rng.IntN(2)], 1+rng.IntN(3), trees[rng.IntN(3)], 3*rng.Float64(), 1+20*rng.Float64(), 5*rng.Float64(), 5*rng.Float64())
	}
	return write(b, map[string]string{
		"survey.toml": "title = \"Large\"\n",
		"strata.csv":  "stratum,area_ha,fire_date\nburn,1200,2030-08-14\n",
		"plots.csv":   plots.String(),
		"visits.csv":  visits.String(),
		"finds.csv":   rows.String(),
	})
}

func BenchmarkRead(b *testing.B) {
	dir := writeLarge(b, benchFinds)
	info, err := os.Stat(filepath.Join(dir, "finds.csv"))
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(info.Size())
	b.ReportAllocs()
	for b.Loop() {
		folder, faults, err := Open(dir)
		if err != nil || len(faults) > 0 {
			b.Fatal(faults, err)
		}
		rows := 0
		sink := Sink{
			Find:  func(*survey.Find) error { rows++; return nil },
			Fault: func(f survey.Fault) error { return fmt.Errorf("%s", f) },
		}
		if _, err := folder.Read(b.Context(), sink, Options{}); err != nil || rows != benchFinds {
			b.Fatal(rows, err)
		}
	}
	b.ReportMetric(benchFinds*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

// BenchmarkFaults reads finds that are all at fault.
func BenchmarkFaults(b *testing.B) {
	dir := writeLarge(b, 0)
	const n = 100_000
	bad := "unit,date,taxon,count\n" + strings.Repeat("P001,2031-05-17,\"black\" morel,x\n", n/2) + strings.Repeat("Q001,2031-05-17,black morel,x\n", n/2)
	if err := os.WriteFile(filepath.Join(dir, "finds.csv"), []byte(bad), 0o644); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(bad)))
	for b.Loop() {
		folder, _, err := Open(dir)
		if err != nil {
			b.Fatal(err)
		}
		if s, err := folder.Read(b.Context(), Sink{}, Options{}); err != nil || s.Faults < n {
			b.Fatal(s.Faults, err)
		}
	}
}
