package ingest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

// asked reads the base with changes and returns its questions.
func askedOf(t *testing.T, changes map[string]string, options Options) gathered {
	t.Helper()
	return gather(t, write(t, with(changes)), options)
}

// manyFinds are n finds of the base's plot P1, each of a given mass.
func manyFinds(n int, mass string) string {
	var b strings.Builder
	b.WriteString("unit,date,taxon,count,mass_g\n")
	for range n {
		fmt.Fprintf(&b, "P1,2031-05-17,black morel,1,%s\n", mass)
	}
	return b.String()
}

// Many questions that are alike are one, with their number.
func TestQuestionsAlikeAreOne(t *testing.T) {
	for _, c := range []struct{ n, want int }{{3, 3}, {4, 1}, {40, 1}} {
		g := askedOf(t, map[string]string{"finds.csv": manyFinds(c.n, "2500")}, Options{})
		if len(g.faults) > 0 || len(g.questions) != c.want || g.summary.Questions != c.want {
			t.Errorf("%d rows: faults %v, questions\n%s", c.n, g.faults, lines(g.questions))
		}
		if more := fmt.Sprintf("; %d more are like this one, the last on line %d", c.n-1, c.n+1); c.want == 1 && !strings.Contains(g.questions[0], more) {
			t.Errorf("%d rows: %s", c.n, g.questions[0])
		}
	}
}

// Questions are faults where that is asked for, and a survey without any is none
// the worse for it.
func TestStrict(t *testing.T) {
	changes := map[string]string{"finds.csv": manyFinds(1, "2500")}
	g := askedOf(t, changes, Options{Strict: true})
	if len(g.questions) > 0 || len(g.faults) != 1 || g.summary.Faults != 1 || g.summary.Blocking != 1 {
		t.Errorf("questions %v, faults %v", g.questions, g.faults)
	}
	changes["survey.toml"] = "title = \"Hollow Ridge\"\n[check]\nquestions = \"faults\"\n"
	if g := askedOf(t, changes, Options{}); len(g.questions) > 0 || len(g.faults) != 1 {
		t.Errorf("by the setting: questions %v, faults %v", g.questions, g.faults)
	}
	changes["survey.toml"] = "title = \"Hollow Ridge\"\n[check]\nquestions = \"off\"\n"
	if g := askedOf(t, changes, Options{Strict: true}); len(g.questions)+len(g.faults) > 0 {
		t.Errorf("off: questions %v, faults %v", g.questions, g.faults)
	}
	changes["survey.toml"] = "title = \"Hollow Ridge\"\n[check]\nquiet = [\"mass\"]\n"
	if g := askedOf(t, changes, Options{}); len(g.questions)+len(g.faults) > 0 {
		t.Errorf("quiet: questions %v, faults %v", g.questions, g.faults)
	}
	changes["survey.toml"] = "title = \"Hollow Ridge\"\n[check]\nbody_mass_g = [1, 5000]\n"
	if g := askedOf(t, changes, Options{}); len(g.questions)+len(g.faults) > 0 {
		t.Errorf("a range of the survey's own: questions %v, faults %v", g.questions, g.faults)
	}
	if g := askedOf(t, nil, Options{Strict: true}); len(g.questions)+len(g.faults) > 0 {
		t.Errorf("clean: questions %v, faults %v", g.questions, g.faults)
	}
}

// An answer in accepted.csv keeps its question quiet, wherever the row has moved
// to, and no other; a cell that was changed is asked about again.
func TestAccepted(t *testing.T) {
	two := "unit,date,taxon,count,mass_g\nP1,2031-05-17,black morel,1,2500\nP1,2031-05-17,black morel,1,2600\n"
	for _, c := range []struct {
		name, accepted string
		left           int // questions
		faults         string
		unused         int
	}{
		{"by line", "file,line\nfinds.csv,2\n", 1, "", 0},
		{"by column", "file,column\nfinds.csv,mass_g\n", 0, "", 0},
		{"by text", "file;text;who\nfinds.csv;2600;Ada, weighed twice\n", 1, "", 0},
		{"by all", "who,file,line,column,text\nAda,finds.csv,3,mass_g,2600\n", 1, "", 0},
		{"of a cell that was changed", "file,line,column,text\nfinds.csv,3,mass_g,260\n", 2, "", 1},
		{"of another file", "file,column\nvisits.csv,mass_g\n", 2, "", 1},
		{"of a whole file", "file,line\nfinds.csv,\n", 2, "accepted.csv:2: has a file alone, and would answer every question of it; write the line, the column or the text of the question too\n", 0},
		{"without a file", "file,line\n,2\n", 2, "accepted.csv:2:1: file: is empty, and it is needed; write the file of the question\n", 0},
		{"of no line", "file,line\nfinds.csv,two\n", 2, "accepted.csv:2:2: line: \"two\" is not the number of a line; count lines from 1, the header being the first; or leave it empty\n", 0},
		{"without headers", "finds.csv,2\n", 2, "accepted.csv:1: file: there is no such column, and it is needed; the columns are file, line, column or text; others are free\n", 0},
		{"with an open quote", "file,text\nfinds.csv,\"2600\n", 2, "accepted.csv:2:2: opens a quote that is never closed; close it, or double it if it belongs to the text\n", 0},
		{"empty", "", 2, "accepted.csv: is empty: it has not even a header; write the header, or remove the file\n", 0},
		{"as UTF-16", "\xff\xfef\x00", 2, "accepted.csv: is UTF-16, not UTF-8; save it as \"CSV UTF-8\"\n", 0},
	} {
		g := askedOf(t, map[string]string{"finds.csv": two, "accepted.csv": c.accepted}, Options{})
		if len(g.questions) != c.left || lines(g.faults) != c.faults || g.summary.Answered != 2-c.left {
			t.Errorf("%s: %d answered, questions:\n%sfaults:\n%s", c.name, g.summary.Answered, lines(g.questions), lines(g.faults))
		}
		if len(g.notices) != c.unused {
			t.Errorf("%s: notices %v", c.name, g.notices)
		}
		if c.faults == "" && !slices.ContainsFunc(g.summary.Inputs, func(in Input) bool {
			return in.Name == acceptedName && in.Table == AcceptedTable && len(in.SHA256) == 64
		}) {
			t.Errorf("%s: accepted.csv is not among the inputs", c.name)
		}
	}
}

// Each kind of question is put where it belongs, once, and about nothing else.
func TestQuestions(t *testing.T) {
	base := with(nil)
	after := func(name, text string) map[string]string { return map[string]string{name: base[name] + text} }
	visits := func(hours ...string) map[string]string {
		var b strings.Builder
		b.WriteString("unit,date,pass,observers,hours\n")
		for i, h := range hours {
			fmt.Fprintf(&b, "P1,2031-05-17,%d,Ada,%s\n", i+1, h)
		}
		b.WriteString("P2,2031-05-17,1,,\nT1,2031-05-18,1,Ada,\nL1,2031-05-18,1,Ada,\n")
		return map[string]string{"visits.csv": b.String(), "finds.csv": "unit,date,taxon\nP1,2031-05-17,black morel\n"}
	}
	visitsOf := func(rows []string) string {
		var b strings.Builder
		for _, row := range rows {
			plot, _, _ := strings.Cut(row, ",")
			fmt.Fprintf(&b, "%s,2031-05-17,1,\n", plot)
		}
		return b.String()
	}
	plots := func(rows ...string) map[string]string {
		var b strings.Builder
		b.WriteString("plot,stratum,radius_m,slope_percent,latitude,longitude,elevation_m\nP1,burn,5,,,,\nP2,green,5,,,,\n")
		for _, row := range rows {
			b.WriteString(row + "\n")
		}
		return map[string]string{"plots.csv": b.String(), "visits.csv": base["visits.csv"] + "P3,2031-05-17,1,\nP4,2031-05-17,1,\nP5,2031-05-17,1,\nP6,2031-05-17,1,\nP7,2031-05-17,1,\n" + visitsOf(rows[min(len(rows), 5):])}
	}
	five := func(form string) []string {
		var rows []string
		for i := range 5 {
			rows = append(rows, fmt.Sprintf(form, i+3))
		}
		return rows
	}
	for _, c := range []struct {
		kind    string
		changes map[string]string
		want    string // "" = nothing is asked
	}{
		{survey.OfCount, map[string]string{"finds.csv": "unit,date,taxon,count\nP1,2031-05-17,black morel,150\n"}, `finds.csv:2:4: count: "150" fruit bodies is outside of 1 to 100`},
		{survey.TreeDistance, map[string]string{"finds.csv": "unit,date,taxon,tree_distance_ft\nP1,2031-05-17,black morel,120\n"}, `finds.csv:2:4: tree_distance_m: "120" ft is outside of 0 to 98.4 ft`},
		{survey.TreeDistance, map[string]string{"reference_points.csv": "unit,tree_distance_m\nP1,31\n"}, `reference_points.csv:2:2: tree_distance_m: "31" m`},
		{survey.OfStems, map[string]string{"trees.csv": "unit,tree,stems,basal_area_m2\nP1,paper birch,2,1010\n"}, `trees.csv:2:4: basal_area_m2: "1010" m2 for 2 is 505 m2 each`},
		{survey.InUnit, map[string]string{"finds.csv": "unit,date,taxon,x_m,y_m\nP1,2031-05-17,black morel,1,12\n"}, `finds.csv:2:5: y_m: "12" m lies outside of the plot "P1", which is 10 m`},
		{survey.InUnit, map[string]string{"finds.csv": "unit,date,taxon,x_m,y_m\nP1,2031-05-17,black morel,10,-9.9\n"}, ""}, // from a corner of its square
		{survey.OfHours, visits("0"), `visits.csv:2:5: hours: "0" h is outside of 0.02 to 10 h`},
		{survey.OfHours, visits("9", "9", "1"), `visits.csv:4:5: hours: makes 19 hours of "Ada" on 2031-05-17`},
		{survey.OfHours, visits("9", "8"), ""},
		{survey.UnitSize, plots(append(five("P%d,burn,5,,,,")[:4], "P7,burn,16.4,,,,")...), `plots.csv:8:3: radius_m: "16.4" m is 3.28 times the 5 m of 6 others (plots.csv:2); is it 5 m, written in feet?`},
		{survey.UnitSize, plots(append(five("P%d,burn,5,,,,")[:4], "P7,burn,8,,,,")...), ""},
		{survey.UnitSize, plots("P3,burn,5,,,,", "P4,burn,5,,,,", "P5,burn,5,,,,", "P6,burn,5,,,,", "P7,burn,5,,,,", "P8,burn,5,,,,", "P9,burn,22,5.02,,,", "Q1,burn,5,,,,", "Q2,burn,5,,,,"), `plots.csv:10:3: radius_m: "22" m is unlike the 5 m of 10 others (plots.csv:2); slope_percent of the row is "5.02": were the two exchanged?`},
		{survey.Series, plots("P3,burn,6,,,,", "P4,burn,7,,,,", "P5,burn,8,,,,", "P6,burn,9,,,,", "P7,burn,9,,,,"), `plots.csv:4:3: radius_m: "6" m begins a series after "5" m`},
		{survey.OfSlope, plots(append(five("P%d,burn,5,20,,,")[:4], "P7,burn,5,200,,,")...), `plots.csv:8:4: slope_percent: "200" percent is outside of 0 to 150 percent, what a slope usually is; is it 20 percent`},
		{survey.OfPercent, plots(five("P%d,burn,5,0.2,,,")...), `plots.csv:4:4: slope_percent: none of the 5 figures is over 1`},
		{survey.OfPosition, plots(append(five("P%d,burn,5,,46.1,-120.1,")[:4], "P7,burn,5,,46.1,120.1,")...), `plots.csv:8:6: longitude: 46.1, 120.1 lies`},
		{survey.OfElevation, plots("P3,burn,5,,,,1320", "P4,burn,5,,,,1340", "P5,burn,5,,,,1350", "P6,burn,5,,,,1360", "P7,burn,5,,,,1370", "P8,burn,5,,,,1380", "P9,burn,5,,,,22", "Q1,burn,5,,,,1400", "Q2,burn,5,,,,1410"), `plots.csv:10:7: elevation_m: "22" m is far from the others`},
		{survey.OfFire, map[string]string{"strata.csv": "stratum,area_ha,fire_date\nburn,12,1930\ngreen,8,\n"}, `strata.csv:2:3: fire_date: the fire of 1930 is 101 years before the first visit`},
		{survey.OfFire, map[string]string{"strata.csv": "stratum,area_ha,fire_date\nburn,12,1931\ngreen,8,\n"}, ""},
		{survey.NotVisited, after("plots.csv", "P3,burn,5\n"), `plots.csv:4: the unit "P3" was never visited`},
		{survey.NearName, after("finds.csv", "P2,2031-05-17,black morrel,1,,,,\n"), `finds.csv:5:3: taxon: "black morrel", in 1 row, is almost "black morel", in 3 (finds.csv:2)`},
		{survey.NearName, after("finds.csv", "P2,2031-05-17,burn morel,1,,,,\n"), ""},
		{survey.NearName, map[string]string{"survey.toml": "title = \"x\"\n[taxa]\ntarget = [\"blk morel\"]\n"}, `survey.toml:3: taxa.target: no find is of the taxon "blk morel", and finds are of "black morel"; did you mean "black morel"? it is estimated as not found`},
		{survey.SameRow, map[string]string{"finds.csv": "unit,date,taxon,tree_distance_m,mass_g\nP1,2031-05-17,black morel,1.2,31\nP1,2031-05-17,black morel,1.2,31\n"}, "finds.csv:3: equals finds.csv:2, cell for cell"},
		{survey.SameRow, map[string]string{"finds.csv": "unit,date,taxon,tree_distance_m\nP1,2031-05-17,black morel,1.2\nP1,2031-05-17,black morel,1.2\n"}, ""},
	} {
		g := askedOf(t, c.changes, Options{})
		if c.want == "" {
			if len(g.questions)+len(g.faults) > 0 {
				t.Errorf("%s: %s%s", c.kind, lines(g.faults), lines(g.questions))
			}
			continue
		}
		if len(g.faults) > 0 || len(g.questions) != 1 || !strings.HasPrefix(g.questions[0], c.want) {
			t.Errorf("%s: faults:\n%squestions:\n%swant:\n%s", c.kind, lines(g.faults), lines(g.questions), c.want)
		}
		quiet := base["survey.toml"]
		if text, ok := c.changes["survey.toml"]; ok {
			quiet = text
		}
		c.changes["survey.toml"] = quiet + "[check]\nquiet = [\"" + c.kind + "\"]\n"
		if g := askedOf(t, c.changes, Options{}); len(g.questions) > 0 {
			t.Errorf("%s is not quiet:\n%s", c.kind, lines(g.questions))
		}
	}
}

// Yes and no are read alike in every column that has them, whatever else it may hold.
func TestYesAndNo(t *testing.T) {
	for _, yes := range []string{"yes", "Yes", "Y", "true", "1"} {
		g := askedOf(t, map[string]string{"finds.csv": "unit,date,taxon,hollow,harvested,tree_alive\nP1,2031-05-17,black morel," + yes + "," + yes + "," + yes + "\n"}, Options{})
		if len(g.faults) > 0 || len(g.finds) != 1 || g.finds[0].Hollow != "yes" || !g.finds[0].Harvested.Value || !g.finds[0].TreeAlive.Value {
			t.Errorf("%s: %v %+v", yes, g.faults, g.finds)
		}
	}
	for _, no := range []string{"no", "NO", "n", "false", "0"} {
		g := askedOf(t, map[string]string{"finds.csv": "unit,date,taxon,hollow,harvested\nP1,2031-05-17,black morel," + no + "," + no + "\n"}, Options{})
		if len(g.faults) > 0 || len(g.finds) != 1 || g.finds[0].Hollow != "no" || !g.finds[0].Harvested.Known || g.finds[0].Harvested.Value {
			t.Errorf("%s: %v %+v", no, g.faults, g.finds)
		}
	}
}

// A near id is named, by what ids are mistyped by.
func TestNearIDs(t *testing.T) {
	for _, c := range [][2]string{{"P01", "P1"}, {"p1", "P1"}, {"P-1", "P1"}, {"Pl", "P1"}, {"TI", "T1"}} {
		g := askedOf(t, map[string]string{"finds.csv": "unit,date,taxon\n" + c[0] + ",2031-05-17,black morel\n"}, Options{})
		if len(g.faults) != 1 || !strings.Contains(g.faults[0], `did you mean "`+c[1]+`"?`) {
			t.Errorf("%s: %v", c[0], g.faults)
		}
	}
	g := askedOf(t, map[string]string{"finds.csv": "unit,date,taxon\nP9,2031-05-17,black morel\n"}, Options{})
	if len(g.faults) != 1 || strings.Contains(g.faults[0], "did you mean") {
		t.Errorf("P9: %v", g.faults)
	}
}
