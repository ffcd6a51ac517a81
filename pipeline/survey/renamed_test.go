package survey

import (
	"reflect"
	"slices"
	"testing"
)

// TestTranslate gives recorded settings the names of today: values, values in
// lists and keys, at their own place alone.
func TestTranslate(t *testing.T) {
	defer func(was []Renaming) { Renamings = was }(Renamings)
	Renamings = append(slices.Clone(Renamings),
		Renaming{Key: "curve.standing_days", WasKey: "curve.lifetime_days"},
		Renaming{Key: "model.terms", Was: "year", Is: "years"},
		Renaming{Key: "harvest.unit", Was: "bodies", Is: "fruit bodies"},
	)
	tables := func(systematic, title, key, term, unit string) map[string]any {
		return map[string]any{
			"title":   title,
			"density": map[string]any{"systematic": systematic, "interval": "t"},
			"curve":   map[string]any{key: 10, "elevation_band_m": 200},
			"model":   map[string]any{"terms": []any{"mode", term}, "comparisons": []any{"year"}},
			"harvest": []any{map[string]any{"name": "bodies", "unit": unit}},
		}
	}
	got := tables("O2", "O2", "lifetime_days", "year", "bodies")
	Translate(got)
	if want := tables("successive-differences", "O2", "standing_days", "years", "fruit bodies"); !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestRenamingsLeadToSettings: each ends at a setting of today and at one of its
// values, and none begins at one.
func TestRenamingsLeadToSettings(t *testing.T) {
	for _, r := range Renamings {
		i := slices.IndexFunc(Keys, func(k Key) bool { return k.Path() == r.Key })
		if i < 0 || slices.ContainsFunc(Keys, func(k Key) bool { return k.Path() == r.WasKey }) {
			t.Errorf("%+v: no setting, or one of today", r)
			continue
		}
		if words := Keys[i].Words; r.Was != "" && (!slices.Contains(words, r.Is) || slices.Contains(words, r.Was)) {
			t.Errorf("%+v: no value, or one of today", r)
		}
	}
}

// TestMostPairsOfStrata: no more strata are named than there can be.
func TestMostPairsOfStrata(t *testing.T) {
	s := Defaults()
	s.Title, s.SingleUnitStrata = "Hollow Ridge", map[string]string{}
	name := func(i int) string { return string(rune('a'+i%26)) + string(rune('a'+i/26)) }
	for i := range MostStrata {
		s.SingleUnitStrata[name(i)] = "burn"
	}
	if list := s.Misfits(); len(list) > 0 {
		t.Errorf("%d pairs: %v", MostStrata, list)
	}
	s.SingleUnitStrata["one more"] = "burn"
	if list := s.Misfits(); len(list) != 1 || list[0].Key != SingleUnitStrata || list[0].Problem != "names 301 strata, more than 300" {
		t.Errorf("%d pairs: %v", MostStrata+1, list)
	}
}
