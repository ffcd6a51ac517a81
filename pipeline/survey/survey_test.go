package survey

import (
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"ashtally/pipeline/column"
)

func TestFaultString(t *testing.T) {
	tests := []struct {
		name  string
		fault Fault
		want  string
	}{
		{"cell", Fault{Place{"finds.csv", 214}, 7, "distance_m", `"4,2o" is not a number`, "write the figure alone"},
			`finds.csv:214:7: distance_m: "4,2o" is not a number; write the figure alone`},
		{"row", Fault{Place: Place{"plots.csv", 3}, Problem: "the plot has no size"}, "plots.csv:3: the plot has no size"},
		{"file", Fault{Place: Place{File: "plots.csv"}, Column: 4, Problem: "has no rows"}, "plots.csv: has no rows"},
		{"column of a file", Fault{Place: Place{File: "plots.csv", Line: 1}, Name: "plot", Problem: "there is no such column"},
			"plots.csv:1: plot: there is no such column"},
		{"hostile text", Fault{Place: Place{"a\nb.csv", 1}, Problem: "\x1b[2J\u202e\u2028\xff"}, "a\ufffdb.csv:1: \ufffd[2J\ufffd\ufffd\ufffd"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.fault.String(); got != tt.want {
				t.Errorf("String() = %q, want %q", got, tt.want)
			}
		})
	}
}

func TestPrintableKeepsOneLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOf(rapid.Byte()).Draw(t, "s"))
		p := Printable(s)
		if !utf8.ValidString(p) || strings.ContainsAny(p, "\n\r\x1b\u2028\u2029") {
			t.Fatalf("Printable(%q) = %q", s, p)
		}
		if Printable(p) != p {
			t.Fatalf("Printable(%q) is not printable", s)
		}
	})
}

// TestDefaultsKeepTheirKeys holds the defaults to the bounds and words that a
// crew's settings must keep.
func TestDefaultsKeepTheirKeys(t *testing.T) {
	s := Defaults()
	for _, k := range Keys {
		switch v := k.At(&s).(type) {
		case *string:
			if k.Words != nil && !slices.Contains(k.Words, *v) {
				t.Errorf("%s is %q by default, not one of %q", k.Path(), *v, k.Words)
			}
		case *float64:
			keeps(t, k, *v)
		case *Range:
			keeps(t, k, v.Low)
			keeps(t, k, v.High)
		case *uint64:
			keeps(t, k, float64(*v))
		case *int:
			keeps(t, k, float64(*v))
		case *[]string, *[]float64, *column.Date:
		default:
			t.Errorf("%s has a type that no reader knows, %T", k.Path(), v)
		}
		if k.About == "" {
			t.Errorf("%s is not explained", k.Path())
		}
	}
	for _, name := range TableNames() {
		if want := []string{name + ".csv"}; !slices.Equal(s.Files[name], want) {
			t.Errorf("the files of %s are %q by default, want %q", name, s.Files[name], want)
		}
	}
}

func keeps(t *testing.T, k Key, v float64) {
	t.Helper()
	if k.Bounds.Set && !(v >= k.Bounds.Min && v <= k.Bounds.Max) {
		t.Errorf("%s is %v by default, outside %+v", k.Path(), v, k.Bounds)
	}
}

func TestKeysReachDifferentSettings(t *testing.T) {
	s := Defaults()
	seen := map[any]string{}
	for _, k := range Keys {
		to := k.At(&s)
		if other, twice := seen[to]; twice {
			t.Errorf("%s and %s are one setting", other, k.Path())
		}
		seen[to] = k.Path()
	}
}

// units are what a stored column can be in.
var units = []string{"", "m", "m2", "ha", "g", "h", "percent", "deg", "°C", "fruit bodies"}

// TestDeclarations holds what every reader of the declarations relies on.
func TestDeclarations(t *testing.T) {
	declares(t, Strata)
	declares(t, Plots)
	declares(t, Transects)
	declares(t, Visits)
	declares(t, Finds)
	declares(t, Trees)
	declares(t, ReferencePoints)
	declares(t, Weather)
}

func declares[R any](t *testing.T, table column.Table[R]) {
	t.Helper()
	var row R
	names, places := map[string]bool{}, map[any]bool{}
	for _, c := range table.Columns {
		at := c.At(&row)
		if names[c.Name] || places[at] {
			t.Errorf("%s.%s shares its name or its place with another column", table.Name, c.Name)
		}
		names[c.Name], places[at] = true, true
		if c.Name != strings.ToLower(c.Name) || c.About == "" || !slices.Contains(units, c.Unit) {
			t.Errorf("%s.%s: name, unit or sentence is not as it should be: %+v", table.Name, c.Name, c.Field)
		}
		if c.Unit == "m" || c.Unit == "m2" || c.Unit == "ha" || c.Unit == "g" {
			if !strings.HasSuffix(c.Name, "_"+c.Unit) {
				t.Errorf("%s.%s does not end in its unit %s", table.Name, c.Name, c.Unit)
			}
		}
		if !suits(c.Form, at) {
			t.Errorf("%s.%s: form %d cannot live in %T", table.Name, c.Name, c.Form, at)
		}
		if c.Required && c.Default != "" {
			t.Errorf("%s.%s is required and has a default", table.Name, c.Name)
		}
		if (c.Form == column.Choice) != (len(c.Words) > 0) {
			t.Errorf("%s.%s: only a choice has words, and it needs them", table.Name, c.Name)
		}
		if c.Bounds.Set && !(c.Bounds.Min < c.Bounds.Max) || math.IsInf(c.Bounds.Min, 0) {
			t.Errorf("%s.%s: bounds %+v", table.Name, c.Name, c.Bounds)
		}
	}
}

func suits(form column.Form, at any) bool {
	switch at.(type) {
	case *string:
		return slices.Contains([]column.Form{column.Text, column.ID, column.Fire, column.List, column.Choice}, form)
	case *column.Float:
		return form == column.Number
	case *column.Int:
		return form == column.Whole
	case *column.Date:
		return form == column.Day
	case *column.Bool:
		return form == column.Truth
	}
	return false
}

// TestTablesOfTheContract holds tables and columns to the contract of a survey
// folder, whose names a crew's sheets rely on: required columns are marked.
func TestTablesOfTheContract(t *testing.T) {
	want := map[string]string{
		"strata":           "stratum* area_ha* fire_date severity",
		"plots":            "plot* stratum* site radius_m length_m width_m area_m2 slope_percent laid added network latitude longitude elevation_m aspect_deg roadside",
		"transects":        "transect* stratum* site kind* length_m* half_width_m sides sequence bearing_deg slope_percent laid latitude longitude elevation_m aspect_deg roadside",
		"visits":           "unit* date* pass observers hours ground_cover_percent",
		"finds":            "unit* date* pass taxon* count mode tree tree_distance_m tree_alive distance_m seen_by mass_g hollow harvested x_m y_m ground_cover_percent",
		"trees":            "unit* tree* alive stems basal_area_m2 cover_percent",
		"reference_points": "unit* tree tree_distance_m tree_alive",
		"weather":          "date* temperature_c* station",
	}
	tables := Tables()
	if len(tables) != len(want) {
		t.Errorf("%d tables, want %d", len(tables), len(want))
	}
	for _, table := range tables {
		var names []string
		for _, f := range table.Fields {
			name := f.Name
			if f.Required {
				name += "*"
			}
			names = append(names, name)
		}
		if got := strings.Join(names, " "); got != want[table.Name] {
			t.Errorf("%s: %s, want %s", table.Name, got, want[table.Name])
		}
	}
}
