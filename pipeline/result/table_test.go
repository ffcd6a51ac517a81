package result_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/table"
	"ashtally/stats"
)

type row struct {
	stratum  string
	units    column.Int
	last     column.Date
	ours     column.Bool
	kg       result.Estimate
	grams    result.Estimate
	warnings []stats.Warning
}

var types stats.WarningTypes

var few = types.New("few-units", stats.Coverage, "Few units")

var declared = result.Declaration[row]{
	Name: "crop", About: "the crop of a stratum",
	Key: []result.Columns[row]{result.Text("stratum", "a stratum", func(r *row) *string { return &r.stratum })},
	Columns: []result.Columns[row]{
		result.Whole("units", "", "units searched", func(r *row) *column.Int { return &r.units }),
		result.Day("last", "last visit", func(r *row) *column.Date { return &r.last }),
		result.Truth("ours", "whether it is ours", func(r *row) *column.Bool { return &r.ours }),
		result.EstimateOf(func(r *row) *result.Estimate { return &r.kg },
			result.Value("mass_kg", "kg", "fresh mass"), result.SE("mass_se_kg"), result.CV(),
			result.Lower("mass_lower_kg"), result.Upper("mass_upper_kg").Says("its end"),
			result.Confidence(), result.Interval(), result.DF()),
		result.EstimateOf(func(r *row) *result.Estimate { return &r.grams }, result.Value("mean_g", "g", "mean mass")),
	},
	Warnings: func(r *row) []stats.Warning { return r.warnings },
}

func day(t *testing.T, s string) column.Date {
	t.Helper()
	d, err := column.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func sample(t *testing.T) result.Table {
	open := stats.Estimate{Value: 12.5, SE: 2.5, Interval: stats.Interval{Lower: 8, Upper: math.NaN(), Confidence: 0.9, DF: math.Inf(1), Method: "log-t"}}
	return declared.Of([]row{
		{stratum: "north", units: column.Count(3), last: day(t, "2031-05-17"), ours: column.Bool{Value: true, Known: true},
			kg: result.Of(open), grams: result.Of(stats.Estimate{Value: 7}), warnings: []stats.Warning{few.With("%d are few", 3), few.With("n").InStratum("x")}},
		{stratum: "all", kg: result.Of(stats.Missing(0.9, 0, few.With("none")))},
	})
}

func TestTableAsCSV(t *testing.T) {
	var out strings.Builder
	csv := table.NewCSV(&out, sample(t).Schema())
	for b := range sample(t).Batches() {
		if err := csv.Write(b); err != nil {
			t.Fatal(err)
		}
	}
	if err := csv.Flush(); err != nil {
		t.Fatal(err)
	}
	want := `stratum,units,last,ours,mass_kg,mass_se_kg,cv,mass_lower_kg,mass_upper_kg,confidence,interval,df,mean_g,warnings
north,3,2031-05-17,yes,12.5,2.5,0.2,8,,0.9,log-t,,7,few-units: 3 are few | stratum-few-units: in stratum x: n
all,,,,,,,,,0.9,none,,,
`
	if out.String() != want {
		t.Errorf("the table is\n%swant\n%s", out.String(), want)
	}
}

func TestTableFields(t *testing.T) {
	s := sample(t)
	units := map[string]string{}
	abouts := map[string]string{}
	for _, f := range s.Fields() {
		units[f.Name], abouts[f.Name] = f.Unit, f.About
	}
	for name, want := range map[string]string{"mass_kg": "kg", "mass_se_kg": "kg", "mass_lower_kg": "kg", "mass_upper_kg": "kg", "cv": "", "confidence": "", "df": "", "mean_g": "g"} {
		if units[name] != want {
			t.Errorf("%s is in %q, want %q", name, units[name], want)
		}
	}
	if abouts["mass_upper_kg"] != "its end" || abouts["mass_lower_kg"] != "lower confidence limit" {
		t.Errorf("limits are described as %q and %q", abouts["mass_lower_kg"], abouts["mass_upper_kg"])
	}
	if s.Name() != "crop" || s.About() != "the crop of a stratum" || s.Rows() != 2 || len(s.Warnings(0)) != 2 || s.Warnings(1) != nil {
		t.Errorf("the table %q of %q has %d rows", s.Name(), s.About(), s.Rows())
	}
	if empty := declared.Of(nil); empty.Rows() != 0 || len(empty.Fields()) != len(s.Fields()) {
		t.Error("a table without rows has other columns")
	}
}

func TestCell(t *testing.T) {
	s := sample(t)
	c := s.Cell(0, "mass_kg")
	if c.Table != "crop" || c.Column != "mass_kg" || c.Row != 0 || c.Unit != "kg" || c.Number != column.Finite(12.5) || c.Confidence != column.Finite(0.9) {
		t.Errorf("the cell is %+v", c)
	}
	if c.Lower.Column != "mass_lower_kg" || c.Lower.Unit != "kg" || c.Lower.Number != column.Finite(8) || c.Upper.Known() || !c.Bounded() || !math.IsNaN(c.HalfWidth()) {
		t.Errorf("its limits are %+v and %+v", c.Lower, c.Upper)
	}
	if alone := s.Cell(0, "mean_g"); alone.Lower != nil || alone.Bounded() || !alone.Known() {
		t.Errorf("an estimate without limits has %+v", alone)
	}
	if none := s.Cell(1, "mass_kg"); none.Known() || none.Bounded() {
		t.Errorf("a missing estimate is known: %+v", none)
	}
	upper := result.Cell{Number: column.Finite(9)}
	lower := result.Cell{Number: column.Finite(4)}
	if w := (result.Cell{Lower: &lower, Upper: &upper}).HalfWidth(); w != 2.5 {
		t.Errorf("half of 4 to 9 is %v", w)
	}
	for name, want := range map[string]string{"stratum": "north", "units": "3", "last": "2031-05-17", "ours": "yes", "cv": "0.2", "df": "", "interval": "log-t"} {
		if got := s.Cell(0, name).String(); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	if c := s.Cell(0, "units"); !c.Whole {
		t.Error("a count is no whole number")
	}
	if key := s.Key(1); !slices.Equal(key, []string{"all"}) {
		t.Errorf("the key of a row is %q", key)
	}
}

// TestSum: a sum names all its rows, and is unknown where one of them is.
func TestSum(t *testing.T) {
	units := declared.Of([]row{{units: column.Count(3)}, {units: column.Count(4)}, {}})
	c := result.Sum(units, []int{1, 0}, "units")
	if c.Number.Value != 7 || !c.Whole || c.Row != 1 || !slices.Equal(c.Also, []int{0}) {
		t.Errorf("3 and 4 are %+v", c)
	}
	if c := result.Sum(units, []int{0, 2}, "units"); c.Number.Known {
		t.Errorf("with an unknown number the sum is %v", c.Number)
	}
	if c := result.Sum(units, nil, "units"); c.Known() {
		t.Errorf("the sum of nothing is %v", c.Number)
	}
}

// TestIn: a standard error may have a unit of its own.
func TestIn(t *testing.T) {
	d := result.Declaration[row]{
		Name: "days",
		Columns: []result.Columns[row]{result.EstimateOf(func(r *row) *result.Estimate { return &r.kg },
			result.Value("peak_day", "", "day of the year"), result.SE("se").In("days"), result.Lower("lower"))},
		Warnings: func(*row) []stats.Warning { return nil },
	}
	var units []string
	for _, f := range d.Of(nil).Fields() {
		units = append(units, f.Unit)
	}
	if !slices.Equal(units, []string{"", "days", "", ""}) {
		t.Errorf("the units are %q", units)
	}
}

func TestMisuse(t *testing.T) {
	at := func(r *row) *result.Estimate { return &r.kg }
	for what, f := range map[string]func(){
		"a column that is not there":   func() { sample(t).Cell(0, "mass_t") },
		"an estimate without a value":  func() { result.EstimateOf(at, result.SE("se")) },
		"an estimate with two of them": func() { result.EstimateOf(at, result.Value("a", "", ""), result.Value("b", "", "")) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s is no panic", what)
				}
			}()
			f()
		}()
	}
}

func TestEstimate(t *testing.T) {
	e := stats.Estimate{Value: 10, SE: 2, Interval: stats.Interval{Lower: 6, Upper: math.NaN(), Confidence: 0.95, DF: 4, Method: "t"}}
	back := result.Of(e).Stats([]stats.Warning{few.With("x")})
	if back.Value != 10 || back.SE != 2 || back.Lower != 6 || !math.IsNaN(back.Upper) || back.DF != 4 || back.Method != "t" || len(back.Warnings) != 1 {
		t.Errorf("there and back it is %+v", back)
	}
	half := result.Of(e).Over(2)
	if half.Value.Value != 5 || half.SE.Value != 1 || half.Lower.Value != 3 || half.Upper.Known || half.CV.Value != 0.2 {
		t.Errorf("half of it is %+v", half)
	}
}

func TestCompareYears(t *testing.T) {
	years := []string{"10", result.Unburned, "2", result.All, "0"}
	slices.SortFunc(years, result.CompareYears)
	if want := []string{result.All, "0", "2", "10", result.Unburned}; !slices.Equal(years, want) {
		t.Errorf("in order: %q, want %q", years, want)
	}
}
