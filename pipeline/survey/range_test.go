package survey

import (
	"encoding/json"
	"math"
	"testing"
)

// TestRange: a range goes to JSON and back, and what is none is refused.
func TestRange(t *testing.T) {
	for text, want := range map[string]Range{"10": {10, 10}, "[7,14]": {7, 14}} {
		var got Range
		if err := json.Unmarshal([]byte(text), &got); err != nil || got != want {
			t.Errorf("%s: %v, %v", text, got, err)
		}
		if back, err := json.Marshal(got); err != nil || string(back) != text {
			t.Errorf("%v goes to %s, %v", got, back, err)
		}
	}
	for _, text := range []string{"[14, 7]", "[]", "[1, 2, 3]", `"7 to 14"`, `[7, "14"]`, "null2"} {
		var got Range
		if err := json.Unmarshal([]byte(text), &got); err == nil {
			t.Errorf("%s is read as %v", text, got)
		}
	}
	if m := (Range{4, 9}).Middle(); m != 6 { // sqrt(36)
		t.Errorf("the middle of 4 to 9 is %v", m)
	}
	if a, b := (Range{7, 14}).String(), (Range{10, 10}).String(); a != "7 to 14" || b != "10" {
		t.Errorf("%q, %q", a, b)
	}
	for _, r := range []Range{{0.5, 10}, {10, 400}, {14, 7}, {math.NaN(), math.NaN()}} {
		s := Defaults()
		s.Title, s.Curve.StandingDays = "x", r
		if len(s.Misfits()) != 1 {
			t.Errorf("%v: %v", r, s.Misfits())
		}
	}
}
