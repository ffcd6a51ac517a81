package stats

import "testing"

func TestWarningTypes(t *testing.T) {
	var list WarningTypes
	few := list.New("few-units", Coverage, "Few units")
	empty := list.New("no-finds", Unavailable, "Nothing was found")
	if len(list) != 2 || list[0] != few || list[1] != empty {
		t.Errorf("the list has %v", list)
	}
	w := few.With("%d units are few", 3)
	if w.String() != "few-units: 3 units are few" {
		t.Errorf("the warning is %q", w)
	}
	if got := few.With("100 % of the area"); got.Text != "100 % of the area" {
		t.Errorf("a text without arguments is formatted: %q", got.Text)
	}
	carried := w.InStratum("north")
	if carried.String() != "stratum-few-units: in stratum north: 3 units are few" {
		t.Errorf("carried over it is %q", carried)
	}
	if got := w.InStratum("").Text; got != "in a stratum: 3 units are few" {
		t.Errorf("of a stratum without a name it is %q", got)
	}
	for _, c := range []struct {
		warnings []Warning
		of       *WarningType
		want     bool
	}{
		{[]Warning{carried, w}, few, true},
		{[]Warning{carried}, few, false},
		{[]Warning{w}, empty, false},
		{[]Warning{{Code: "few-units"}}, few, false}, // of another type, whatever its code
		{[]Warning{{Code: "few"}}, few, false},
		{nil, few, false},
	} {
		if got := c.of.In(c.warnings); got != c.want {
			t.Errorf("%s in %q: %t", c.of.Code, c.warnings, got)
		}
	}
	if found, ok := few.Find([]Warning{carried, w}); !ok || found != w {
		t.Errorf("found %v", found)
	}
}

func TestAppendDistinct(t *testing.T) {
	w := NoFinds.With("nothing")
	all := AppendDistinct([]Warning{w}, w, w.InStratum("a"), w.InStratum("a"), NoFinds.With("nothing at all"))
	if len(all) != 3 {
		t.Errorf("%d are distinct of 3: %q", len(all), all)
	}
}

func TestJoinWarnings(t *testing.T) {
	w, other := NoFinds.With("nothing"), NoFinds.With("nothing at all")
	if got := Distinct([]Warning{w, other}, nil, []Warning{w}); len(got) != 2 {
		t.Errorf("%d are distinct of 2: %q", len(got), got)
	}
	if got := AppendNewCodes([]Warning{w}, other, OneUnit.With("one"), OneUnit.With("only one")); len(got) != 2 || got[1].Text != "one" {
		t.Errorf("of each code once: %q", got)
	}
}
