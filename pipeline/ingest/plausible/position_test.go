package plausible

import (
	"math"
	"testing"
)

func TestStrays(t *testing.T) {
	var area []Position
	for i := range 10 {
		area = append(area, Position{46.4 + float64(i)*0.01, -121.3 + float64(i%3)*0.01})
	}
	for _, c := range []struct {
		at  Position
		how string
	}{
		{Position{46.4, 121.3}, "the sign of the longitude"},
		{Position{-46.4, -121.3}, "the sign of the latitude"},
		{Position{46.4, -12.13}, "the point of the longitude"},
		{Position{43.4, -121.3}, ""},
	} {
		strays := Strays(append(area[:10:10], c.at), 100)
		if len(strays) != 1 || strays[0].Index != 10 || strays[0].How != c.how {
			t.Errorf("%v: %+v", c.at, strays)
		}
	}
	if strays := Strays(area, 100); len(strays) > 0 {
		t.Errorf("%v are strays", strays)
	}
	far := append([]Position{}, area...)
	for _, p := range area[:4] {
		far = append(far, Position{p.Lat + 3, p.Lon})
	}
	if strays := Strays(far, 100); len(strays) > 0 {
		t.Errorf("a second area: %v are strays", strays)
	}
	// 12.1, 46.4 exchanged, where both are latitudes.
	alps := []Position{{46.41, 12.11}, {46.42, 12.12}, {46.43, 12.13}, {46.4, 12.1}, {12.1, 46.4}}
	if strays := Strays(alps, 100); len(strays) != 1 || strays[0].How != "latitude and longitude exchanged" || strays[0].Meant != alps[3] {
		t.Errorf("%v", strays)
	}
}

// A degree of latitude is 111.2 km on a sphere of 6371 km: 2 pi 6371 / 360.
func TestKm(t *testing.T) {
	if got := (Position{0, 0}).Km(Position{1, 0}); math.Abs(got-2*math.Pi*6371/360) > 0.01 {
		t.Errorf("%g km", got)
	}
	if got := (Position{60, 179.5}).Km(Position{60, -179.5}); math.Abs(got-kmPerDegree/2) > 0.1 {
		t.Errorf("%g km over the date line", got)
	}
}
