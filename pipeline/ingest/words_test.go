package ingest

import (
	"bytes"
	"compress/gzip"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/ingesttest"
	"ashtally/pipeline/survey"
)

// badTexts are cells and values that no form takes, or only some.
var badTexts = []string{
	"1e999", "-1e999", "99999999999999999999", "-99999999999999999999", "9223372036854775808", "1.5", "0x1F", "0b1", "0o7", "1_0", "1__0", "1e", "1e+", ".", "-", "+", "--1",
	"NaN", "Inf", "-inf", "nan", "true", "maybe", "2031-13-01", "2031-02-30", "2031-5-1", "0000-00-00", "99999-01-01", "31.5.2031", "2031-05-17T25:00:00", "2031-05-17T10:00:00Z",
	"1,5", "1.234,5", "5e-324", "1e-400", "\x00", "\xff\xfe", "\u202e", "=1+1", strings.Repeat("9", 400), strings.Repeat("x", 70_000), "[1", "{a", `"`, "'", "a;a", `\u12`, `\q`,
}

// TestCellsAreToldInWords puts texts that cannot be read into each column, and
// holds what is said of them to the words of people.
func TestCellsAreToldInWords(t *testing.T) {
	told := 0
	for _, d := range survey.Tables() {
		for _, f := range d.Fields {
			if f.Form == column.Text || f.Form == column.ID {
				continue
			}
			sheet := "note," + f.Name + "\n"
			for _, text := range badTexts {
				sheet += `x,"` + strings.ReplaceAll(text, `"`, `""`) + "\"\n"
			}
			for _, setAside := range []bool{false, true} {
				got := gather(t, write(t, with(map[string]string{d.Name + ".csv": sheet})), Options{SetAside: setAside})
				for _, message := range slices.Concat(got.faults, got.notices, got.questions) {
					told++
					ingesttest.Words(t, message)
				}
			}
		}
	}
	if told < 1000 {
		t.Errorf("only %d messages", told)
	}
}

// TestSettingsAreToldInWords does so with values of each key, bare and quoted,
// and with documents that are no TOML.
func TestSettingsAreToldInWords(t *testing.T) {
	told := 0
	look := func(document string) {
		s, _ := parseSettings([]byte(document))
		for _, f := range s.faults {
			told++
			ingesttest.Words(t, f.String())
		}
	}
	for _, line := range []string{
		"[a", "[[a]", "a", "a =", "= 1", "a.b = 1\na = 1", "a = 1\n[a]", "a = 1\n[[a]]", "[a]\n[a]", "[[a]]\n[a]", "a = [1, ", "a = {b = 1", "a = {b = 1, b = 2}", `a = """x`, "a = '''x", "a = 1979-05-27T",
		"\x00 = 1", "\xff = 1", `a = "\uD800"`, `a = "\q"`, "a = 'x\ny'", "# \x01", "a = 1 b = 2", "[harvest]\nx = 1\n[[harvest]]\nname = 1", "[[harvest]]\nname = 1\n[harvest.x]\ny = 1",
		"files = 1", "files = []", "[files]\nfinds = 1e999", "[columns]\nfinds = 1", "[columns.finds]\n\"a\" = 1e999", "harvest = 1e999", "[files.finds.x]\ny = 1", "[title]\nx = 1", "[density.replicates]\nx = 1",
	} {
		look("title = \"x\"\n" + line + "\n")
	}
	for _, k := range survey.Keys {
		for _, text := range badTexts {
			for _, value := range []string{text, `"` + text + `"`, "[" + text + "]", `["` + text + `"]`, "{a = " + text + "}"} {
				document := "title = \"x\"\n"
				if k.Table != "" {
					document += "[" + k.Table + "]\n"
				}
				look(document + k.Name + " = " + value + "\n")
			}
		}
	}
	if told < 5000 {
		t.Errorf("only %d messages", told)
	}
}

// TestDamagedGzipIsToldInWords flips each byte of a compressed sheet, and cuts it
// off at each.
func TestDamagedGzipIsToldInWords(t *testing.T) {
	var packed bytes.Buffer
	gz := gzip.NewWriter(&packed)
	gz.Write([]byte(base["finds.csv"]))
	gz.Close()
	told := 0
	for i := range packed.Len() {
		damaged := bytes.Clone(packed.Bytes())
		damaged[i] ^= 0x55
		for _, data := range [][]byte{damaged, packed.Bytes()[:i]} {
			got := gather(t, write(t, with(map[string]string{"finds.csv": gone, "finds.csv.gz": string(data)})), Options{})
			for _, message := range slices.Concat(got.faults, got.notices, got.questions) {
				told++
				ingesttest.Words(t, message)
			}
		}
	}
	if told < packed.Len() {
		t.Errorf("%d messages of %d damaged sheets", told, 2*packed.Len())
	}
}
