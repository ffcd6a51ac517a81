package ingest

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// published are real counts and maps laid out as surveys. Nobody made a mistake in
// them that a survey's questions are for, so none may be asked.
//
//	longleaf     584 longleaf pines on 4 ha, in plots of 400 m2 (Platt, Evans & Rathbun
//	             1988, American Naturalist 131: 491-525; spatstat.data::longleaf)
//	sporophores  fruit bodies round a birch, in cells of a quarter square metre (Ford,
//	             Mason & Pelham 1980, Transactions of the British Mycological Society 75:
//	             287-296; spatstat.data::sporophores)
//	insectsprays insects on plots under six sprays (Beall 1942, Biometrika 32: 243-262;
//	             datasets::InsectSprays)
func published(t *testing.T) map[string]map[string]string {
	t.Helper()
	pines := newLaidOut("longleaf pine", 400)
	for _, row := range csvOf(t, "../../cmd/calibrate/coverage/longleaf.csv") {
		pines.add("savanna", cell(t, row[0], row[1], 20), "longleaf pine", 1, row[0], row[1])
	}
	bodies := newLaidOut("", 0.25)
	for _, row := range csvOf(t, "../../notebooks/sporophores.csv") {
		bodies.add("birch", cell(t, row[0], row[1], 50), row[2], 1, inMetres(t, row[0]), inMetres(t, row[1]))
	}
	insects := newLaidOut("insect", 25)
	for i, row := range csvOf(t, "../../testdata/reference/regress_insectsprays.csv") {
		n, err := strconv.Atoi(row[0])
		if err != nil {
			t.Fatal(err)
		}
		insects.add("spray "+row[1], fmt.Sprint("plot ", i+1), "insect", n, "", "")
	}
	return map[string]map[string]string{"longleaf": pines.files(), "sporophores": bodies.files(), "insectsprays": insects.files()}
}

func csvOf(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// cell names the cell of a grid that a point lies in.
func cell(t *testing.T, x, y string, side float64) string {
	t.Helper()
	at := func(s string) int {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return int(math.Floor(v/side)) + 50
	}
	return fmt.Sprintf("c%02d-%02d", at(x), at(y))
}

// inMetres is a length in centimetres in metres.
func inMetres(t *testing.T, cm string) string {
	t.Helper()
	v, err := strconv.ParseFloat(cm, 64)
	if err != nil {
		t.Fatal(err)
	}
	return strconv.FormatFloat(v/100, 'f', 4, 64)
}

// laidOut is a survey of plots of one area, each searched once.
type laidOut struct {
	target string
	areaM2 float64
	strata []string
	plots  [][2]string // plot and stratum
	finds  []string
}

func newLaidOut(target string, areaM2 float64) *laidOut {
	return &laidOut{target: target, areaM2: areaM2}
}

func (l *laidOut) add(stratum, plot, taxon string, n int, x, y string) {
	if !slices.Contains(l.strata, stratum) {
		l.strata = append(l.strata, stratum)
	}
	if p := [2]string{plot, stratum}; !slices.Contains(l.plots, p) {
		l.plots = append(l.plots, p)
	}
	if n > 0 {
		l.finds = append(l.finds, fmt.Sprintf("%s,2031-05-08,%s,%d,undetermined,%s,%s", plot, taxon, n, x, y))
	}
}

func (l *laidOut) files() map[string]string {
	var strata, plots, visits strings.Builder
	for _, s := range l.strata {
		fmt.Fprintf(&strata, "%s,4\n", s)
	}
	for _, p := range l.plots {
		fmt.Fprintf(&plots, "%s,%s,%g\n", p[0], p[1], l.areaM2)
		fmt.Fprintf(&visits, "%s,2031-05-08\n", p[0])
	}
	settings := "title = \"published data\"\n"
	if l.target != "" {
		settings += fmt.Sprintf("[taxa]\ntarget = [%q]\n", l.target)
	}
	return map[string]string{
		"survey.toml": settings,
		"strata.csv":  "stratum,area_ha\n" + strata.String(),
		"plots.csv":   "plot,stratum,area_m2\n" + plots.String(),
		"visits.csv":  "unit,date\n" + visits.String(),
		"finds.csv":   "unit,date,taxon,count,mode,x_m,y_m\n" + strings.Join(l.finds, "\n") + "\n",
	}
}

// TestPublishedSurveys holds that real data are read without a fault, whole, and
// without a question.
func TestPublishedSurveys(t *testing.T) {
	finds := map[string]int{"longleaf": 584, "sporophores": 330, "insectsprays": 70}
	for name, files := range published(t) {
		g := gather(t, write(t, files), Options{})
		if len(g.faults)+len(g.questions) > 0 {
			t.Errorf("%s:\n%s%s", name, lines(g.faults), lines(g.questions))
		}
		if got := strings.Count(files["finds.csv"], "\n") - 1; got != finds[name] {
			t.Errorf("%s: %d rows of finds, want %d", name, got, finds[name])
		}
	}
}
