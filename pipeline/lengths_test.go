package pipeline

import (
	"bytes"
	"html"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/demo"
	"ashtally/pipeline/page"
	"ashtally/stats/statstest"
)

// The lengths of the report: a first screen that is read in two minutes, and
// sentences of plain technical English (common practice, no source).
const (
	mostSummaryWords  = 250 // cautions and captions of figures left out
	mostChapterWords  = 150 // finding and sentences
	mostReportWords   = 2500
	mostWordsBefore   = 250 // the first figure
	mostSentenceMean  = 18
	mostSentenceWords = 30
)

// exampleSeason writes the example season with its finds edited, and runs it.
func exampleSeason(t *testing.T, edit func(finds []string) []string) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	for _, f := range demo.Example() {
		if f.Name == "finds.csv" {
			lines := strings.Split(strings.TrimSpace(string(f.Data)), "\n")
			f.Data = []byte(strings.Join(append(lines[:1:1], edit(lines[1:])...), "\n") + "\n")
		}
		if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return contents(t, mustRun(t, Options{Survey: dir}))
}

// half leaves every other line.
func half(lines []string) []string {
	var kept []string
	for i, line := range lines {
		if i%2 == 1 {
			kept = append(kept, line)
		}
	}
	return kept
}

func TestLengths(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	checkLengths(t, "the demo", wholeResults(t))
	checkLengths(t, "a small season", exampleSeason(t, half))
}

func checkLengths(t *testing.T, of string, files map[string][]byte) {
	t.Helper()
	report := string(files[page.ReportFile])
	if n := words(report); n > mostReportWords {
		t.Errorf("%s: %d words", of, n)
	}
	body := report[strings.Index(report, "<body"):]
	if n := words(body[:strings.Index(body, "<figure")]); n > mostWordsBefore {
		t.Errorf("%s: %d words before the first figure", of, n)
	}
	summary := 0
	for _, m := range regexp.MustCompile(`(?s)<section class="card ([a-z-]+)".*?</section>`).FindAllStringSubmatch(report, -1) {
		if m[1] != "cautions" {
			summary += words(regexp.MustCompile(`(?s)<figure.*?</figure>`).ReplaceAllString(m[0], ""))
		}
	}
	if summary < 30 || summary > mostSummaryWords {
		t.Errorf("%s: %d words in the summary", of, summary)
	}
	for _, m := range regexp.MustCompile(`(?s)<section class="chapter" id="([a-z-]+)".*?</section>`).FindAllStringSubmatch(report, -1) {
		n := 0
		for _, p := range regexp.MustCompile(`(?s)<p( class="finding")?>(.*?)</p>`).FindAllStringSubmatch(m[0], -1) {
			n += words(p[2])
		}
		if n > mostChapterWords {
			t.Errorf("%s: %d words in chapter %s", of, n, m[1])
		}
		figures := 1
		if m[1] == "where" {
			figures = 2 // with the map
		}
		if strings.Count(m[0], "<figure") > figures || strings.Count(m[0], "<table") > 1 || strings.Count(m[0], "<tr") > 13 {
			t.Errorf("%s: chapter %s has more than a figure and a table of twelve rows", of, m[1])
		}
	}
	for file, longest := range map[string]int{page.ReportFile: mostSentenceWords, page.AppendixFile: 0} {
		sum, list := 0, sentences(string(files[file]))
		for _, s := range list {
			n := len(strings.Fields(s))
			sum += n
			if longest > 0 && n > longest {
				t.Errorf("%s: %s: %d words: %s", of, file, n, s)
			}
		}
		if mean := float64(sum) / float64(len(list)); len(list) < 20 || mean > mostSentenceMean {
			t.Errorf("%s: %s: %.1f words a sentence, of %d", of, file, mean, len(list))
		}
	}
}

// notProse is what holds no sentences.
var notProse = regexp.MustCompile(`(?s)<(style|svg|head|table)\b.*?</(style|svg|head|table)>`)

// prose is the text of a page or of a piece of it.
func prose(page string) string {
	return html.UnescapeString(regexp.MustCompile(`<[^>]+>`).ReplaceAllString(notProse.ReplaceAllString(page, " "), ""))
}

func words(page string) int { return len(strings.Fields(prose(page))) }

// sentences are those of all paragraphs, of three words or more.
func sentences(page string) []string {
	var list []string
	for _, p := range regexp.MustCompile(`(?s)<p\b[^>]*>(.*?)</p>`).FindAllStringSubmatch(notProse.ReplaceAllString(page, " "), -1) {
		text := regexp.MustCompile(`([.!?])\s+([A-Z0-9])`).ReplaceAllString(prose(p[1]), "$1\n$2")
		for s := range strings.SplitSeq(text, "\n") {
			if len(strings.Fields(s)) > 2 {
				list = append(list, s)
			}
		}
	}
	return list
}

// linesOnly is the demo without plots and strip transects.
func linesOnly(t *testing.T) map[string][]byte {
	t.Helper()
	return contents(t, mustRun(t, Options{Survey: writeSurvey(t, func(name string, data []byte) []byte {
		if !strings.HasSuffix(name, ".csv") || name == "strata.csv" {
			return data
		}
		kept := slices.DeleteFunc(bytes.SplitAfter(data, []byte("\n"))[1:], func(line []byte) bool { return !bytes.HasPrefix(line, []byte("L")) })
		head, _, _ := bytes.Cut(data, []byte("\n"))
		return append(append(bytes.Clone(head), '\n'), bytes.Join(kept, nil)...)
	})}))
}

// twoSeasons is the example season a year after itself.
func twoSeasons(t *testing.T) map[string][]byte {
	t.Helper()
	dirs := [2]string{t.TempDir(), t.TempDir()}
	for _, f := range demo.Example() {
		if err := os.WriteFile(filepath.Join(dirs[0], f.Name), f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
		later := f.Data
		if f.Name == "visits.csv" || f.Name == "finds.csv" || f.Name == "survey.toml" {
			later = regexp.MustCompile(`\b20([0-9][0-9])-`).ReplaceAllFunc(f.Data, func(year []byte) []byte {
				n, _ := strconv.Atoi(string(year[:4]))
				return []byte(strconv.Itoa(n+1) + "-")
			})
		}
		if err := os.WriteFile(filepath.Join(dirs[1], f.Name), later, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return contents(t, mustRun(t, Options{Survey: dirs[1], Earlier: []string{mustRun(t, Options{Survey: dirs[0]})}}))
}

// TestFirstScreen: the summary alone answers how many, how sure, where, when and what a
// harvest takes, or says why it cannot.
func TestFirstScreen(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	statstest.Long(t)
	seasons := map[string]map[string][]byte{
		"the demo":               wholeResults(t),
		"a small season":         exampleSeason(t, half),
		"a season without finds": exampleSeason(t, func([]string) []string { return nil }),
		"lines only":             linesOnly(t),
		"two seasons":            twoSeasons(t),
	}
	for _, of := range slices.Sorted(maps.Keys(seasons)) {
		report := string(seasons[of][page.ReportFile])
		screen := regexp.MustCompile(`(?s)<section class="summary".*<nav id="contents"`).FindString(report)
		text := regexp.MustCompile(`\s+`).ReplaceAllString(prose(screen), " ")
		for question, answer := range map[string]string{
			"how many": `[0-9][0-9,.]* (fruit bodies )?per ha`, "how sure": `95 % CI|upper limit`,
			"where": `highest|lowest|No fruit body|stratum was sampled`, "when": `peak|flush`, "harvest": `[Cc]rop`,
		} {
			if !regexp.MustCompile(answer).MatchString(text) {
				t.Errorf("%s: %s is not answered: %s", of, question, text)
			}
		}
	}
}
