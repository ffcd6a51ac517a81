package pipeline

import (
	"io/fs"
	"testing"

	"ashtally/pipeline/survey"
)

// FuzzRecord seals any text as a run.json and reads it: there is no panic, and
// what is taken is within its bounds and names no file outside of the folder.
func FuzzRecord(f *testing.F) {
	text, err := Record{Settings: survey.Defaults(), Outputs: []Output{{Name: "results/density.csv"}}}.marshal(nil)
	if err != nil {
		f.Fatal(err)
	}
	sealed, _, _ := cutSeal(text)
	f.Add(sealed)
	f.Add([]byte("{\n  \"settings\": {\"confidence\": 1e400, \"files\": null},\n  \"outputs\": [{\"name\": \"../x\"}],\n"))
	f.Add([]byte("{\n  \"program\": [[[[\n"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, head []byte) {
		for _, end := range []string{"\"\n}\n", "\",\n  \"times\": null\n}\n", "\"}"} {
			head = append(head[:len(head):len(head)], '\n')
			whole := append(head[:len(head):len(head)], sealMark[1:]+sum(head)+end...)
			r, fault := parseRecord(whole)
			if fault != "" {
				continue
			}
			if misfits := r.Settings.Misfits(); len(misfits) > 0 {
				t.Error(misfits)
			}
			for _, o := range r.Outputs {
				if !fs.ValidPath(o.Name) {
					t.Errorf("%q was taken", o.Name)
				}
			}
			_ = r.Build.String()
		}
	})
}
