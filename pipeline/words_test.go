package pipeline

import (
	"bytes"
	"context"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/ingest/ingesttest"
)

// TestDamagedArchiveIsToldInWords flips bytes of archived tables, with every
// digest made right: what show and verify say of it is in the words of people.
func TestDamagedArchiveIsToldInWords(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(8, 8))
	told := 0
	for name, data := range files {
		if !strings.HasPrefix(name, archiveFolder+"/") || strings.Contains(name, "earlier") {
			continue
		}
		for i := range 40 {
			damaged := bytes.Clone(data)
			switch i % 4 {
			case 0:
				damaged = damaged[:rng.IntN(len(damaged))]
			default:
				for range 1 << (i % 4) {
					damaged[rng.IntN(len(damaged))] ^= byte(1 + rng.IntN(255))
				}
			}
			folder := maps.Clone(files)
			folder[name] = damaged
			record := recordOf(t, files[recordName])
			for _, o := range record["outputs"].([]any) {
				if o := o.(map[string]any); o["name"] == name {
					o["bytes"], o["sha256"] = len(damaged), sum(damaged)
				}
			}
			folder[recordName] = sealedRecord(t, record)
			dir := folderOf(t, folder)
			table := strings.TrimSuffix(filepath.Base(name), ".parquet")
			if _, err := Show(context.Background(), ShowOptions{Out: dir, Table: table}, io.Discard); err != nil {
				told++
				ingesttest.Words(t, err.Error())
			}
			if i%4 == 1 || testing.Short() {
				continue
			}
			if v, err := verifyFiles(t, folder); err != nil {
				told++
				ingesttest.Words(t, err.Error())
			} else if len(v.Findings) == 0 {
				t.Logf("%s: a flipped byte is in no result", name)
			}
			os.RemoveAll(dir)
		}
	}
	if told < 100 {
		t.Errorf("only %d messages", told)
	}
}
