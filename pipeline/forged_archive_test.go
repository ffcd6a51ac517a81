package pipeline

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/ingesttest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// parquetOf is a table of the archive as a file.
func parquetOf[R any, P row[R]](t *testing.T, declared column.Table[R], rows []R) []byte {
	t.Helper()
	build := table.NewBuilder(declared, table.Options[R]{Source: func(r *R) (string, int64) { return declared.Name + ".csv", 2 }})
	for i := range rows {
		build.Append(&rows[i])
	}
	path := filepath.Join(t.TempDir(), "t.parquet")
	out, err := archive.Create(path, build.Schema())
	if err != nil {
		t.Fatal(err)
	}
	b := build.Flush()
	defer b.Release()
	if err := out.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func known(v float64) column.Float { return column.Float{Value: v, Known: true} }

// TestForgedArchive puts rows into an archive that no sheet can have given, with
// every digest and the seal made right: verify says what is wrong with them, and
// nothing panics.
func TestForgedArchive(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	day := column.DateInYear(2031, 137)
	stratum := survey.Stratum{Stratum: "burn", AreaHa: known(12)}
	plot := survey.Plot{Plot: "P1", Stratum: "burn", RadiusM: known(5), Laid: survey.Horizontal}
	visit := survey.Visit{Unit: "P1", Date: day, Pass: column.Count(1)}
	strata := make([]survey.Stratum, survey.MostStrata+1)
	for i := range strata {
		strata[i] = stratum
		strata[i].Stratum = strings.Repeat("s", i+1)
	}
	plots := func(change func(*survey.Plot)) []byte {
		p := plot
		change(&p)
		return parquetOf(t, survey.Plots, []survey.Plot{p})
	}
	visits := func(change func(*survey.Visit)) []byte {
		v := visit
		change(&v)
		return parquetOf(t, survey.Visits, []survey.Visit{v})
	}
	finds := func(unit string, day int, n int64) []byte {
		return parquetOf(t, survey.Finds, []survey.Find{{
			Unit: unit, Date: column.DateInYear(2031, day), Pass: column.Count(1), Taxon: "x", Mode: survey.Undetermined, Count: column.Int{Value: n, Known: true},
		}})
	}
	for _, c := range []struct {
		table string
		data  []byte
		want  string
	}{
		{"strata", parquetOf(t, survey.Strata, strata), "it has over 300 strata"},
		{"strata", parquetOf(t, survey.Strata, []survey.Stratum{{Stratum: "burn", AreaHa: known(1e200)}}), `row 1 has 1e+200 in the column "area_ha"`},
		{"strata", parquetOf(t, survey.Strata, []survey.Stratum{{AreaHa: known(5)}}), `row 1 has nothing in the column "stratum"`},
		{"strata", parquetOf(t, survey.Strata, []survey.Stratum{{Stratum: "burn", AreaHa: known(1), FireDate: "soon"}}), `row 1 has "soon" in the column "fire_date"`},
		{"plots", plots(func(p *survey.Plot) { p.RadiusM = known(1e-200) }), `row 1 has 1e-200 in the column "radius_m"`},
		{"plots", plots(func(p *survey.Plot) { p.RadiusM = column.Float{} }), `unit "P1" covers 0 m2`},
		{"plots", plots(func(p *survey.Plot) { p.RadiusM, p.LengthM = column.Float{}, known(5) }), `unit "P1" covers 0 m2`},
		{"plots", plots(func(p *survey.Plot) { p.Stratum = "moon" }), `unit "P1" lies in stratum "moon"`},
		{"visits", visits(func(v *survey.Visit) { v.Unit = "moon" }), `a visit names unit "moon"`},
		{"visits", visits(func(v *survey.Visit) { v.Date = column.DateInYear(3031, 1) }), `row 1 has 3031-01-01 in the column "date"`},
		{"visits", visits(func(v *survey.Visit) { v.Hours = known(-1) }), `row 1 has -1 in the column "hours"`},
		{"finds", finds("P1", 1, 1), `a find names unit "P1" on 2031-01-01`},
		{"finds", finds("L1", 138, 1), `a find along line "L1" has no distance`},
		{"finds", finds("P1", 137, -3), `row 1 has -3 in the column "count"`},
		{"plots", []byte("PAR1 and no more PAR1"), "plots.parquet"},
	} {
		name := tableFile(archiveFolder, c.table)
		forged := maps.Clone(files)
		forged[name] = c.data
		record := recordOf(t, files[recordName])
		for _, o := range record["outputs"].([]any) {
			if o := o.(map[string]any); o["name"] == name {
				o["bytes"], o["sha256"] = len(c.data), sum(c.data)
			}
		}
		forged[recordName] = sealedRecord(t, record)
		v, err := verifyFiles(t, forged)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %+v, %v, want %q", c.table, v.Findings, err, c.want)
			continue
		}
		ingesttest.Words(t, err.Error())
	}
}
