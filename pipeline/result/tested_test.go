package result

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/stats/multiple"
)

// TestAdjust: of three rows one has no p-value; Holm's method by hand.
func TestAdjust(t *testing.T) {
	type row struct {
		p, adjusted column.Float
		how         string
	}
	rows := []row{{p: column.Finite(0.04)}, {}, {p: column.Finite(0.01)}}
	Adjust(rows, multiple.ByHolm, "strata", func(r *row) (column.Float, *column.Float, *string) { return r.p, &r.adjusted, &r.how })
	if rows[0].adjusted.Value != 0.04 || rows[2].adjusted.Value != 0.02 || rows[0].how != "holm over 2 strata" {
		t.Errorf("%+v", rows)
	}
	if rows[1].adjusted.Known || rows[1].how != "" {
		t.Errorf("without a p-value: %+v", rows[1])
	}
}

func TestTested(t *testing.T) {
	for name, c := range map[string]struct {
		got  Tested
		test string
	}{
		"Wald":  {ByWald(0.2), WaldTest},
		"none":  {ByWald(math.NaN()), ""},
		"all":   {BySigns(0.1, 0, 0.2, true, AllSigns, DrawnSigns), AllSigns},
		"drawn": {BySigns(0.1, 0.01, 0.2, false, AllSigns, DrawnSigns), DrawnSigns},
		"open":  {BySigns(math.NaN(), math.NaN(), 0.2, false, AllSigns, DrawnSigns), ""},
	} {
		if c.got.Test != c.test {
			t.Errorf("%s: %+v, want test %q", name, c.got, c.test)
		}
	}
	if r := BySigns(math.NaN(), math.NaN(), 0.2, false, AllSigns, DrawnSigns); r.P.Known || r.WaldP.Value != 0.2 {
		t.Errorf("Wald's beside none: %+v", r)
	}
}
