package pipeline

import (
	"context"
	"fmt"
	"maps"
	"strings"
	"testing"

	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// TestRecordOfAnEarlierVersion: a record with the names that values had is read
// as if it had those of today, and the folder verifies as equal.
func TestRecordOfAnEarlierVersion(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range survey.Renamings {
		if r.Was == "" {
			continue
		}
		record := recordOf(t, files[recordName])
		table, name := at(t, record, "settings/"+strings.ReplaceAll(r.Key, ".", "/"))
		present := table[name]
		table[name] = r.Was
		old := sealedRecord(t, record)
		got, fault := parseRecord(old)
		if fault != "" {
			t.Errorf("%s = %s: %s", r.Key, r.Was, fault)
		}
		table[name] = r.Is
		want, _ := parseRecord(sealedRecord(t, record))
		if fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) {
			t.Errorf("%s = %s is not read as %s", r.Key, r.Was, r.Is)
		}
		if present == r.Is {
			verifiesAsEqual(t, files, old)
		}
	}
}

// TestRecordSilentOfSettings: a record without the settings that came later is
// read with their defaults, those of a harvest too.
func TestRecordSilentOfSettings(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	record := recordOf(t, files[recordName])
	settings, _ := at(t, record, "settings/title")
	for _, table := range []string{"curve", "missed", "adaptive", "selection"} {
		delete(settings, table)
	}
	for _, key := range []string{"filled", "share"} {
		harvest, name := at(t, record, "settings/harvest/"+key)
		delete(harvest, name)
	}
	verifiesAsEqual(t, files, sealedRecord(t, record))
}

func verifiesAsEqual(t *testing.T, files map[string][]byte, record []byte) {
	t.Helper()
	folder := maps.Clone(files)
	folder[recordName] = record
	if v, err := verifyFiles(t, folder); err != nil || len(v.Findings) > 0 {
		t.Errorf("%+v, %v", v.Findings, err)
	}
}

// TestRecordHasEverySetting: each setting stands in a record under its path.
func TestRecordHasEverySetting(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	record := recordOf(t, files[recordName])
	for _, k := range survey.Keys {
		if strings.HasPrefix(k.Path(), "plan.") { // no result rests on it
			continue
		}
		table, name := at(t, record, "settings/"+strings.ReplaceAll(k.Path(), ".", "/"))
		if _, ok := table[name]; !ok {
			t.Errorf("a record does not have %s under its path", k.Path())
		}
	}
}

// TestRecordCanBeReadAgain: what verify would refuse is not written.
func TestRecordCanBeReadAgain(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	record, fault := parseRecord(files[recordName])
	if fault != "" {
		t.Fatal(fault)
	}
	for _, c := range []struct {
		inputs, letters int // of a sheet's name
		want            string
	}{
		{8 * 2000, 240, ""}, // eight tables of as many files as each may have
		{maxInputs + 1, 10, "the record of this run, run.json, cannot be used: it names 20001 sheets, more than a run reads"},
		{60_000, 10, "the record of this run, run.json, is longer than 8 MiB"},
	} {
		work := stageFiles(t, files)
		record.Inputs = make([]ingest.Input, c.inputs)
		for i := range record.Inputs {
			record.Inputs[i] = ingest.Input{Name: fmt.Sprintf("%0*d.csv", c.letters, i), Table: survey.ReferencePoints.Name, Bytes: 1 << 40, SHA256: strings.Repeat("0", 64)}
		}
		said := ""
		if err := writeRecord(work, record, nil); err != nil {
			said = err.Error()
		}
		if said != c.want {
			t.Errorf("%d sheets: %q, want %q", c.inputs, said, c.want)
		}
	}
}

// stageFiles puts all files but the record into a folder in the making.
func stageFiles(t *testing.T, files map[string][]byte) *staging {
	t.Helper()
	work, err := stageAside()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { work.discard() })
	for _, name := range []string{tableFile(archiveFolder, survey.Strata.Name), tableFile(archiveFolder, survey.Visits.Name), tableFile(earlierArchive(0), survey.Strata.Name), tableFile(earlierArchive(0), survey.Visits.Name)} {
		if err := work.folder(name[:strings.LastIndexByte(name, '/')]); err != nil {
			t.Fatal(err)
		}
		if err := work.write(name, bytesOf(files[name])); err != nil {
			t.Fatal(err)
		}
	}
	return work
}

// TestTooManyFormerSeasons: more than a record may name are refused before any
// is read.
func TestTooManyFormerSeasons(t *testing.T) {
	work := stageFiles(t, nil)
	for n, want := range map[int]string{maxEarlier + 1: "101 former seasons are more than the 100 that one run can take", maxEarlier: "the earlier nowhere: "} {
		o := Options{Earlier: make([]string, n)}
		for i := range o.Earlier {
			o.Earlier[i] = "nowhere"
		}
		if _, err := o.readEarlier(context.Background(), work); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%d seasons: %v, want %q", n, err, want)
		}
	}
}
