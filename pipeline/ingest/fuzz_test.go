package ingest

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// FuzzFinds reads any bytes as finds.csv: there is no panic, every row is kept
// or set aside, and what is kept is whole.
func FuzzFinds(f *testing.F) {
	f.Add([]byte(base["finds.csv"]))
	f.Add([]byte("unit;date;taxon;tree_distance_ft\r\nP1;2031-05-17;\"a\nb\";1,5\r\n\"P1;x\n"))
	f.Add([]byte("\ufeffunit\tdate\ttaxon\rP1\t2031-05-17\tb\"\r\x00\t\xff\t\r"))
	f.Add([]byte("unit,date,taxon\nP1,2031-05-17,\"black"))
	f.Fuzz(func(t *testing.T, text []byte) {
		dir := t.TempDir()
		for name, s := range with(map[string]string{"finds.csv": string(text)}) {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(s), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		folder, faults, err := Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		var kept int64
		sink := Sink{
			Find: func(r *survey.Find) error {
				kept++
				return wholeFind(t, r, len(faults) == 0)
			},
			Fault: func(f survey.Fault) error {
				if s := f.String(); strings.ContainsAny(s, "\n\r\x00") || !utf8.ValidString(s) || f.File == "" || f.Problem == "" {
					t.Errorf("fault %q", s)
				}
				return nil
			},
		}
		for _, aside := range []bool{false, true} {
			kept = 0
			s, err := folder.Read(t.Context(), sink, Options{SetAside: aside})
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range s.Tables {
				if c.Read != c.Kept+c.SetAside || c.Name == "finds" && c.Kept != kept {
					t.Errorf("%+v with %d finds given", c, kept)
				}
				if c.SetAside > 0 && s.Faults == 0 {
					t.Errorf("%+v without a fault", c)
				}
			}
		}
	})
}

func wholeFind(t *testing.T, r *survey.Find, hasHeader bool) error {
	if hasHeader && (r.Unit == "" || !r.Date.Known() || r.Taxon == "") {
		t.Errorf("a find was kept without its key: %+v", r)
	}
	if r.Count.Known && (r.Count.Value < 1 || r.Count.Value > 1e6) || math.IsNaN(r.MassG.Value) || r.MassG.Value < 0 {
		t.Errorf("a find was kept outside its bounds: %+v", r)
	}
	if !utf8.ValidString(r.Taxon + strings.Join(r.Extra, "")) {
		t.Errorf("a find was kept with broken text: %+v", r)
	}
	return nil
}

// FuzzSettings reads any bytes as survey.toml: there is no panic, and whatever
// the faults, the settings are within their bounds.
func FuzzSettings(f *testing.F) {
	for _, file := range Template("Hollow Ridge", true) {
		if file.Name == settingsName {
			f.Add(file.Data)
			f.Add(bytes.ReplaceAll(file.Data, []byte("\n# "), []byte("\n")))
		}
	}
	f.Add([]byte("title = 1\n[files]\nfinds = ['a', 2]\n[columns.plots]\na.b = 'c'\n[[hosts]]\ntrees = []\n"))
	f.Fuzz(func(t *testing.T, document []byte) {
		s, ok := parseSettings(document)
		if !ok && len(s.faults) == 0 {
			t.Error("unreadable without a fault")
		}
		count := int64(bytes.Count(document, []byte("\n")) + 1)
		for _, fault := range s.faults {
			if fault.Line < 0 || fault.Line > count {
				t.Errorf("a fault beyond the document: %s", fault)
			}
		}
		for _, k := range survey.Keys {
			if v, ok := k.At(&s.Settings).(*float64); ok && !k.Bounds.Hold(*v) {
				t.Errorf("%s = %v", k.Path(), *v)
			}
		}
		for _, d := range survey.Tables() {
			newHeaders(d, &s)
		}
	})
}

// FuzzDate holds the reading of dates to their one form.
func FuzzDate(f *testing.F) {
	for _, s := range []string{"2031-05-17", "2031-5-17", "0000-01-01", "2100-02-29", "2031-05-17 ", "+031-05-17"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := column.ParseDate(s)
		if err == nil && d.String() != s {
			t.Errorf("%q is read as %s", s, d)
		}
		if err == nil && !hasShape(s, "dddd-dd-dd") {
			t.Errorf("%q is read as a date", s)
		}
		if problem, _ := noDate(s); err != nil && problem == "" {
			t.Errorf("%q is no date and nothing is said", s)
		}
	})
}

// FuzzNumber holds the reading of numbers to finite decimal ones.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"4.2", "4,2", "1.234,5", "-.5e-3", "0x1p4", "1_0", "Inf", "nan", "1e400", "+", "4 m", "٣"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if s == "" {
			t.Skip() // an empty cell is not read as a number
		}
		v, mark, problem, _ := parseNumber(s, true)
		if problem != "" {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) || strings.Trim(s, "0123456789.,+-eE") != "" {
			t.Errorf("%q is read as %v", s, v)
		}
		if mark != 0 && strings.Count(s, string(mark)) != 1 || strings.Contains(s, ",") && strings.Contains(s, ".") {
			t.Errorf("%q is read as %v", s, v)
		}
		if w, _, problem, _ := parseNumber(strings.ReplaceAll(s, ",", "."), false); problem != "" || w != v {
			t.Errorf("%q is read as %v, with a point as %v", s, v, w)
		}
	})
}
