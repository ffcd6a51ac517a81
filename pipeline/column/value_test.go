package column

import (
	"cmp"
	"encoding/json"
	"errors"
	"math"
	"testing"
	"time"
)

func TestParseDate(t *testing.T) {
	tests := []struct {
		text string
		days int32 // since 1 January 1970, counted by R: as.integer(as.Date("2031-05-17"))
		ok   bool
	}{
		{"1970-01-01", 0, true},
		{"1969-12-31", -1, true},
		{"2000-02-29", 11016, true},
		{"2031-05-17", 22416, true},
		{"0001-01-01", -719162, true},
		{"9999-12-31", 2932896, true},
		{"2031-02-29", 0, false},
		{"2031-13-01", 0, false},
		{"2031-00-10", 0, false},
		{"2031-5-17", 0, false},
		{"31-05-17", 0, false},
		{"17-05-2031", 0, false},
		{"05/17/2031", 0, false},
		{"2031/05/17", 0, false},
		{"2031-05-17Z", 0, false},
		{" 2031-05-17", 0, false},
		{"2031-05-1\u0667", 0, false},
		{"", 0, false},
	}
	for _, tt := range tests {
		d, err := ParseDate(tt.text)
		if tt.ok != (err == nil) || !tt.ok && !errors.Is(err, ErrDate) {
			t.Errorf("ParseDate(%q) = %v", tt.text, err)
		}
		if d.Known() != tt.ok || tt.ok && d.Days() != tt.days {
			t.Errorf("ParseDate(%q) is day %d (known: %v), want %d", tt.text, d.Days(), d.Known(), tt.days)
		}
		if tt.ok && d.String() != tt.text {
			t.Errorf("ParseDate(%q) is written as %q", tt.text, d)
		}
	}
}

func TestDateOfKeepsTheLocalDay(t *testing.T) {
	east := time.FixedZone("east", 13*3600)
	for _, moment := range []time.Time{
		time.Date(2031, 5, 17, 0, 30, 0, 0, east),
		time.Date(2031, 5, 17, 23, 59, 59, 0, time.FixedZone("west", -11*3600)),
		time.Date(1931, 5, 17, 0, 0, 1, 0, time.UTC),
	} {
		if got, want := DateOf(moment).String(), moment.Format(time.DateOnly); got != want {
			t.Errorf("DateOf(%s) = %s", moment, got)
		}
	}
}

func TestDateOrderAndYear(t *testing.T) {
	a, b := DateFromDays(-1), DateFromDays(0)
	if a.Compare(b) != -1 || b.Compare(a) != 1 || a.Compare(a) != 0 {
		t.Error("dates are out of order")
	}
	if a.Year() != 1969 || b.Year() != 1970 {
		t.Errorf("years = %d, %d", a.Year(), b.Year())
	}
	if (Date{}).Known() || (Date{}).String() != "" || !b.Known() {
		t.Error("no date and the first day are not told apart")
	}
}

func TestDateAsJSON(t *testing.T) {
	for _, want := range []Date{{}, DateFromDays(0), DateFromDays(22416)} {
		text, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var got Date
		if err := json.Unmarshal(text, &got); err != nil || got != want {
			t.Errorf("%s is read as %v: %v", text, got, err)
		}
	}
	var d Date
	if err := json.Unmarshal([]byte(`"17.5.2031"`), &d); !errors.Is(err, ErrDate) {
		t.Errorf("a date in another form is read as %v: %v", d, err)
	}
}

func TestFinite(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := Finite(v); got != (Float{}) {
			t.Errorf("Finite(%v) = %+v", v, got)
		}
	}
	if got := Finite(0); got != (Float{Known: true}) {
		t.Errorf("Finite(0) = %+v", got)
	}
}

func TestOr(t *testing.T) {
	if (Float{}).Or(2) != 2 || (Float{Value: 0, Known: true}).Or(2) != 0 {
		t.Error("Float.Or mistakes 0 for unknown")
	}
	if (Int{}).Or(2) != 2 || Count(0).Or(2) != 0 {
		t.Error("Int.Or mistakes 0 for unknown")
	}
}

func TestFieldsKeepOrder(t *testing.T) {
	type row struct{ a, b string }
	table := Table[row]{Name: "t", Columns: []Column[row]{
		{Field: Field{Name: "a"}, At: func(r *row) any { return &r.a }},
		{Field: Field{Name: "b", Required: true}, At: func(r *row) any { return &r.b }},
	}}
	fields := table.Fields()
	if len(fields) != 2 || fields[0].Name != "a" || fields[1].Name != "b" || !fields[1].Required {
		t.Errorf("Fields() = %+v", fields)
	}
}

func TestBoundsHold(t *testing.T) {
	span := Bounds{Set: true, Min: 0, Max: 1000, Least: 0.001}
	for _, c := range []struct {
		bounds Bounds
		v      float64
		want   bool
	}{
		{span, 0, true}, {span, math.Copysign(0, -1), true}, {span, 0.001, true}, {span, 1000, true},
		{span, 0.000999, false}, {span, 5e-324, false}, {span, 1000.1, false}, {span, -0.001, false},
		{Bounds{Set: true, Min: -1, Max: 1, Least: 0.5}, -0.4, false},
		{Bounds{Set: true, Min: -1, Max: 1, Least: 0.5}, -0.5, true},
		{Bounds{Set: true, Min: 0, Max: 1, Above: true}, 0, false},
		{Bounds{}, -1e300, true}, {Bounds{}, math.Inf(1), false}, {span, math.NaN(), false},
	} {
		if got := c.bounds.Hold(c.v); got != c.want {
			t.Errorf("%+v holds %v: %v, want %v", c.bounds, c.v, got, c.want)
		}
	}
}

// TestOrderOfUnrecorded: what was not recorded comes first, then false before true
// and numbers by their size.
func TestOrderOfUnrecorded(t *testing.T) {
	floats := []Float{{}, Finite(-1), Finite(0), Finite(2)}
	truths := []Bool{{}, {Known: true}, {Value: true, Known: true}}
	for i := range floats {
		for j := range floats {
			if got, want := floats[i].Compare(floats[j]), cmp.Compare(i, j); got != want {
				t.Errorf("%v against %v: %d, want %d", floats[i], floats[j], got, want)
			}
		}
	}
	for i := range truths {
		for j := range truths {
			if got, want := truths[i].Compare(truths[j]), cmp.Compare(i, j); got != want {
				t.Errorf("%v against %v: %d, want %d", truths[i], truths[j], got, want)
			}
		}
	}
}
