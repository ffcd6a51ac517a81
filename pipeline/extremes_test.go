//go:build unix

package pipeline

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

// surveys is how many TestExtremes draws; by default four, a dozen where
// long tests run, and none with -short:
//
//	go test ./pipeline -run Extremes -v -surveys 2000 -timeout 0
var surveys = flag.Int("surveys", 0, "surveys with extreme values to carry to results")

// firstSurvey is the number of the first of them, to draw one again.
var firstSurvey = flag.Uint64("first", 0, "number of the first survey with extreme values")

// What a survey of some dozen units may take on its way to results: processor
// time, more of it where a setting asks for more to be computed, and memory.
const (
	mostTime     = 10 * time.Second
	mostTimeMore = time.Minute
	mostBytes    = 500 << 20
)

// TestExtremes draws small surveys with values at the ends of what columns and
// settings hold, in one of them or in two. Each survey that check passes is
// carried to a results folder, whatever becomes of single figures; most pass.
func TestExtremes(t *testing.T) {
	if testing.Short() {
		t.Skip("runs a process for each survey")
	}
	n := *surveys
	if n == 0 {
		n = statstest.Times(4, 12)
	}
	passed, worst := 0, usage{}
	for i := range n {
		number := *firstSurvey + uint64(i)
		e := drawExtremes(number)
		dir := writeSheets(t, e.files())
		if _, err := Check(context.Background(), dir, false, Watch{}); err != nil {
			t.Logf("survey %d, %s: %v", number, e.what(), err)
			continue
		}
		passed++
		used := e.carried(t, number, dir)
		worst = usage{max(worst.time, used.time), max(worst.bytes, used.bytes)}
	}
	t.Logf("%d of %d surveys passed check; the most that one took was %s", passed, n, worst)
	if n >= 100 && passed < n*6/10 {
		t.Errorf("only %d of %d surveys passed check", passed, n)
	}
}

// usage is what a run took of the machine.
type usage struct {
	time  time.Duration // of all cores together
	bytes int64         // at its peak
}

func (u usage) String() string { return fmt.Sprintf("%.1f s and %d MB", u.time.Seconds(), u.bytes>>20) }

// carried runs the survey as a process of its own, and holds it to its bounds.
func (e *extremes) carried(t *testing.T, number uint64, dir string) usage {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	defer os.RemoveAll(out)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Hour)
	defer cancel()
	images := number%16 == 0
	cmd := exec.CommandContext(ctx, self, fmt.Sprintf("-test.short=%t", !images))
	var told bytes.Buffer
	cmd.Env, cmd.Stderr = append(os.Environ(), runSurvey+"="+dir, runOut+"="+out, runTold+"=yes"), &told
	err = cmd.Run()
	if err != nil || strings.Contains(told.String(), "mistake of this program") {
		t.Errorf("survey %d, %s: %v\n%s", number, e.what(), err, firstLines(told.String(), 30))
		return usage{}
	}
	used := usage{cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(), peakBytes(cmd.ProcessState)}
	if used.time > e.most || used.bytes > mostBytes {
		t.Errorf("survey %d, %s: %s", number, e.what(), used)
	}
	for name, data := range contents(t, out) {
		if strings.HasSuffix(name, ".csv") && notFinite.Match(data) {
			t.Errorf("survey %d, %s: %s holds %s", number, e.what(), name, notFinite.Find(data))
		}
	}
	return used
}

// notFinite is a cell of what is no number.
var notFinite = regexp.MustCompile(`(?m)(^|,)[-+]?(NaN|Inf)(,|$)`)

// peakBytes is the most memory that a process held.
func peakBytes(s *os.ProcessState) int64 {
	most := int64(s.SysUsage().(*syscall.Rusage).Maxrss)
	if runtime.GOOS == "linux" {
		most <<= 10 // there it is in KiB
	}
	return most
}

func firstLines(text string, n int) string {
	lines := strings.SplitAfterN(text, "\n", n+1)
	return strings.Join(lines[:min(n, len(lines))], "")
}

// extremes is a small survey as cells, and the cells that were replaced.
type extremes struct {
	rng      *rand.Rand
	sheets   map[string]*cells
	settings map[string]string // by path
	replaced []string
	most     time.Duration // that its run may take
}

// cells are the rows of one sheet, by column.
type cells struct {
	header []string
	rows   []map[string]string
}

func (c *cells) add(pairs ...string) {
	row := map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		row[pairs[i]] = pairs[i+1]
	}
	c.rows = append(c.rows, row)
}

func (e *extremes) what() string { return strings.Join(e.replaced, "; ") }

// drawExtremes draws the survey of a number, always the same.
func drawExtremes(number uint64) *extremes {
	e := &extremes{rng: rand.New(rand.NewPCG(number, 77)), sheets: map[string]*cells{}, settings: map[string]string{}, most: mostTime}
	for _, t := range survey.Tables() {
		e.sheets[t.Name] = &cells{}
		for _, f := range t.Fields {
			e.sheets[t.Name].header = append(e.sheets[t.Name].header, f.Name)
		}
	}
	e.land()
	e.search()
	e.choose()
	for range 1 + e.rng.IntN(2) {
		if e.rng.IntN(5) == 0 {
			e.extremeSetting()
		} else {
			e.extremeColumn()
		}
	}
	return e
}

func (e *extremes) one(of ...string) string { return of[e.rng.IntN(len(of))] }

func (e *extremes) figure(low, high float64) string {
	return strconv.FormatFloat(math.Round(100*(low+(high-low)*e.rng.Float64()))/100, 'f', -1, 64)
}

// land lays strata, plots and transects.
func (e *extremes) land() {
	strata := []string{"burn", "edge", "green"}[:1+e.rng.IntN(3)]
	for i, s := range strata {
		e.sheets["strata"].add("stratum", s, "area_ha", e.figure(20, 900), "fire_date", []string{"2030-08-14", "2028", ""}[(i+e.rng.IntN(2))%3])
	}
	kinds := e.rng.IntN(7) + 1 // which of plots, strips and lines there are
	for i := range 12 {
		stratum := strata[i%len(strata)]
		ground := []string{"site", e.one("", "", "near", "far"), "slope_percent", e.figure(0, 60), "laid", e.one(survey.Horizontal, survey.AlongSlope),
			"elevation_m", e.figure(400, 1900), "aspect_deg", e.figure(0, 360), "latitude", e.figure(40, 41), "longitude", e.figure(-120, -119), "roadside", e.one("no", "no", "no", "yes")}
		if kinds&1 != 0 {
			size := [][]string{{"radius_m", e.figure(2, 9)}, {"length_m", e.figure(5, 20), "width_m", e.figure(2, 9)}, {"area_m2", e.figure(20, 300)}}[e.rng.IntN(3)]
			e.sheets["plots"].add(append(append([]string{"plot", fmt.Sprint("P", i), "stratum", stratum}, size...), ground...)...)
		}
		if i%2 == 0 && kinds&2 != 0 {
			e.sheets["transects"].add(append([]string{"transect", fmt.Sprint("S", i), "stratum", stratum, "kind", survey.Strip, "length_m", e.figure(40, 200), "half_width_m", e.figure(1, 3), "sides", e.one("1", "2", "2"), "sequence", fmt.Sprint(i), "bearing_deg", e.figure(0, 360)}, ground...)...)
		}
		if i%2 == 1 && kinds&4 != 0 {
			e.sheets["transects"].add(append([]string{"transect", fmt.Sprint("L", i), "stratum", stratum, "kind", survey.Line, "length_m", e.figure(90, 400), "half_width_m", e.one("", "12"), "sides", "2", "sequence", fmt.Sprint(i)}, ground...)...)
		}
	}
	if e.rng.IntN(3) == 0 {
		for day := range 60 {
			e.sheets["weather"].add("date", survey2031(90+day), "temperature_c", e.figure(-2, 16), "station", "")
		}
	}
}

// survey2031 is a day of the year 2031 as a cell.
func survey2031(day int) string { return column.DateInYear(2031, day).String() }

// search visits the units and finds something in most.
func (e *extremes) search() {
	for _, unit := range append(e.ids("plots", "plot"), e.ids("transects", "transect")...) {
		for _, day := range []int{120, 128, 139, 150}[:1+e.rng.IntN(4)] {
			for pass := range 1 + e.rng.IntN(2) {
				visit := []string{"unit", unit, "date", survey2031(day), "pass", fmt.Sprint(pass + 1)}
				observers := e.one("Ada", "Ada", "Ada;Ben")
				e.sheets["visits"].add(append(visit, "observers", observers, "hours", e.figure(0.2, 2), "ground_cover_percent", e.figure(0, 100))...)
				for range e.rng.IntN(4) {
					e.find(unit, visit, observers)
				}
			}
		}
		for _, tree := range []string{"birch", "pine"} {
			e.sheets["trees"].add("unit", unit, "tree", tree, "alive", e.one("yes", "no"), "stems", fmt.Sprint(e.rng.IntN(12)), "basal_area_m2", e.figure(0, 1), "cover_percent", e.figure(0, 60))
			e.sheets["reference_points"].add("unit", unit, "tree", tree, "tree_distance_m", e.figure(0, 8), "tree_alive", e.one("yes", "no"))
		}
	}
}

func (e *extremes) ids(table, name string) []string {
	var ids []string
	for _, row := range e.sheets[table].rows {
		ids = append(ids, row[name])
	}
	return ids
}

func (e *extremes) find(unit string, visit []string, observers string) {
	mode := e.one(survey.Saprotrophic, survey.HostAssociated, survey.Undetermined)
	find := append(visit[:len(visit):len(visit)], "taxon", e.one("black morel", "burn morel"), "count", fmt.Sprint(1+e.rng.IntN(6)), "mode", mode, "tree", e.one("birch", "pine"),
		"tree_distance_m", e.figure(0, 6), "tree_alive", e.one("yes", "no"), "seen_by", e.one("Ada", observers), "mass_g", e.one("", e.figure(2, 60)),
		"hollow", e.one("yes", "unchecked", ""), "harvested", e.one("yes", "no"), "x_m", e.figure(-3, 3), "y_m", e.figure(-3, 3))
	if strings.HasPrefix(unit, "L") {
		find = append(find, "distance_m", e.figure(0, 10))
	}
	e.sheets["finds"].add(find...)
}

// choose draws settings; replicates are few, as all else is about the same at any number.
func (e *extremes) choose() {
	for _, k := range survey.Keys {
		switch {
		case k.Name == "replicates":
			e.settings[k.Path()] = "199"
		case k.Words != nil && k.Table != "model" && k.Table != "compare" && k.Path() != "lines.covariates" && k.Path() != "check.quiet" && e.rng.IntN(4) == 0:
			e.settings[k.Path()] = strconv.Quote(e.one(k.Words...))
		}
	}
	if e.rng.IntN(8) == 0 {
		e.settings["lines.covariates"] = strconv.Quote(e.one(survey.LineCovariates...))
		e.settings["lines.covariates"] = "[" + e.settings["lines.covariates"] + "]"
		delete(e.settings, "lines.function")
	}
}

// ends are values at the ends of what bounds hold, and now and then beyond.
func (e *extremes) end(b column.Bounds, whole bool) string {
	var v float64
	switch within := e.rng.IntN(10); {
	case within == 0:
		v = []float64{1e-200, 5e-324, 1e200, -1, b.Max * 1.01, b.Min - 1, 0}[e.rng.IntN(7)]
	case within == 1 && b.Least > 0:
		v = b.Least
	case within < 5:
		v = b.Max
	case within < 8:
		v = b.Min
	default: // anywhere between, by the logarithm
		low := max(b.Min, b.Least, 1e-3)
		v = low * math.Pow(b.Max/low, e.rng.Float64())
	}
	if whole && math.Abs(v) < 1e15 {
		return strconv.FormatInt(int64(v), 10)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// extremeColumn replaces one cell of a column, some of them or all.
func (e *extremes) extremeColumn() {
	tables := survey.Tables()
	for {
		t := tables[e.rng.IntN(len(tables))]
		f := t.Fields[e.rng.IntN(len(t.Fields))]
		var rows []map[string]string
		for _, row := range e.sheets[t.Name].rows {
			if row[f.Name] != "" {
				rows = append(rows, row)
			}
		}
		if f.Form != column.Number && f.Form != column.Whole || len(rows) == 0 {
			continue
		}
		value := e.end(f.Bounds, f.Form == column.Whole)
		chance := []float64{0, 0.3, 1}[e.rng.IntN(3)]
		n := 0
		first := e.rng.IntN(len(rows))
		for i, row := range rows {
			if i == first || e.rng.Float64() < chance {
				row[f.Name] = value
				n++
			}
		}
		e.replaced = append(e.replaced, fmt.Sprintf("%s.%s = %s in %d of %d rows", t.Name, f.Name, value, n, len(rows)))
		return
	}
}

// extremeSetting replaces a setting that is a number.
func (e *extremes) extremeSetting() {
	for {
		k := survey.Keys[e.rng.IntN(len(survey.Keys))]
		s := survey.Defaults()
		if !k.Bounds.Set || k.Name == "replicates" {
			continue
		}
		_, whole := k.At(&s).(*int)
		if _, seed := k.At(&s).(*uint64); seed {
			whole = true
		}
		if _, list := k.At(&s).(*[]float64); list {
			continue
		}
		value := e.end(k.Bounds, whole)
		e.settings[k.Path()] = value
		if k.Path() == "lines.adjustments" {
			e.most = mostTimeMore
		}
		e.replaced = append(e.replaced, k.Path()+" = "+value)
		return
	}
}

// files writes the survey as sheets.
func (e *extremes) files() map[string]string {
	files := map[string]string{}
	for name, c := range e.sheets {
		if len(c.rows) == 0 && name != "finds" {
			continue
		}
		var b strings.Builder
		b.WriteString(strings.Join(c.header, ",") + "\n")
		for _, row := range c.rows {
			for i, column := range c.header {
				if i > 0 {
					b.WriteByte(',')
				}
				b.WriteString(row[column])
			}
			b.WriteByte('\n')
		}
		files[name+".csv"] = b.String()
	}
	files["survey.toml"] = e.toml()
	return files
}

func (e *extremes) toml() string {
	var b strings.Builder
	b.WriteString("title = \"Extremes\"\n")
	table := ""
	for _, k := range survey.Keys {
		value, ok := e.settings[k.Path()]
		if !ok || k.Name == "title" {
			continue
		}
		if k.Table != table {
			table = k.Table
			fmt.Fprintf(&b, "[%s]\n", table)
		}
		fmt.Fprintf(&b, "%s = %s\n", k.Name, value)
	}
	b.WriteString("[[harvest]]\nname = \"permits\"\npeople = 40\ndays = 6\nlimit = 1\nunit = \"kg\"\n")
	return b.String()
}
