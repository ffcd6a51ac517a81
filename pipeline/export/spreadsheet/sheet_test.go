package spreadsheet

import (
	"bytes"
	"encoding/xml"
	"strings"
	"testing"

	"ashtally/pipeline/column"
)

// cellIs writes one cell and returns what it is.
func cellIs(t *testing.T, write func(*sheet)) (xmlText string) {
	t.Helper()
	var b bytes.Buffer
	s := newSheet(&b)
	write(s)
	if err := s.out.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := xml.Unmarshal(b.Bytes(), new(struct{})); err != nil {
		t.Errorf("%s: %v", &b, err)
	}
	return b.String()
}

// TestTexts holds texts to stay texts, whatever they begin with.
func TestTexts(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "=1+1", "@x": "@x", "12": "12", "a<b&c": "a&lt;b&amp;c", "x\x00y": "x\uFFFDy", "\xff": "\uFFFD", " a ": " a ",
		"_x000D_": "_x005F_x000D_", "_x00_": "_x00_", "a\rb": "a_x000D_b", "\uFFFE": "\uFFFD",
	} {
		got := cellIs(t, func(s *sheet) { s.text(plain, text) })
		if got != `<c t="inlineStr"><is><t xml:space="preserve">`+want+`</t></is></c>` {
			t.Errorf("%q is %s", text, got)
		}
	}
	if got := escape(strings.Repeat("é", mostText+1)); len([]rune(got)) > mostText || !strings.HasSuffix(got, cut) {
		t.Errorf("a long text has %d characters", len([]rune(got)))
	}
	if whole := strings.Repeat("é", mostText); escape(whole) != whole {
		t.Error("a text that just fits is cut")
	}
}

// TestDays holds dates to their numbers. That 2031-05-17 is 47985 and 1900-03-01 is
// 61 was counted by R: as.integer(as.Date("2031-05-17") - as.Date("1899-12-30")).
func TestDays(t *testing.T) {
	for day, want := range map[string]string{
		"2031-05-17": `<c s="5"><v>47985</v></c>`, "1900-03-01": `<c s="5"><v>61</v></c>`,
		"1900-02-28": `<c t="inlineStr"><is><t xml:space="preserve">1900-02-28</t></is></c>`,
	} {
		d, err := column.ParseDate(day)
		if err != nil {
			t.Fatal(err)
		}
		if got := cellIs(t, func(s *sheet) { s.day(d) }); got != want {
			t.Errorf("%s is %s, want %s", day, got, want)
		}
	}
}
