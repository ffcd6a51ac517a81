package plausible

import (
	"math"
	"slices"
)

// Position is a latitude and a longitude, in degrees.
type Position struct{ Lat, Lon float64 }

// kmPerDegree is a degree of latitude on a sphere of 6371 km.
const kmPerDegree = 111.195

// Km is the distance of two positions near each other: fine where what is asked is
// whether it is 1 km or 100.
func (p Position) Km(q Position) float64 {
	return kmPerDegree * math.Hypot(p.Lat-q.Lat, math.Remainder(p.Lon-q.Lon, 360)*math.Cos((p.Lat+q.Lat)/2*math.Pi/180))
}

// Stray is a position far from the others, and what it was probably meant to be.
type Stray struct {
	Index int
	Km    float64 // from the middle of the others
	Meant Position
	How   string // "" = not known
}

// The positions from which a middle is taken, and the share of them that may be
// far without a reason before they are a second area.
const (
	fewPlaces  = 4
	strayShare = 0.05
)

// Strays finds positions far from the middle of all, in the sense of the median
// of each coordinate: farther than km. Those that a slip would bring near are
// strays however many there are of them; others only where they are few, as a
// survey may have two areas.
func Strays(all []Position, km float64) []Stray {
	if len(all) < fewPlaces {
		return nil
	}
	lats, lons := make([]float64, len(all)), make([]float64, len(all))
	for i, p := range all {
		lats[i], lons[i] = p.Lat, p.Lon
	}
	slices.Sort(lats)
	slices.Sort(lons)
	middle := Position{lats[len(all)/2], lons[len(all)/2]}
	var strays, unexplained []Stray
	for i, p := range all {
		s := Stray{Index: i, Km: p.Km(middle)}
		if s.Km <= km {
			continue
		}
		if s.Meant, s.How = meantPosition(p, middle, km); s.How != "" {
			strays = append(strays, s)
		} else {
			unexplained = append(unexplained, s)
		}
	}
	if most := max(1, strayShare*float64(len(all))); float64(len(unexplained)) <= most {
		strays = append(strays, unexplained...)
	}
	slices.SortFunc(strays, func(a, b Stray) int { return a.Index - b.Index })
	return strays
}

// meantPosition is the slip that brings a position within km of the middle.
func meantPosition(p, middle Position, km float64) (Position, string) {
	for _, c := range []struct {
		to  Position
		how string
	}{
		{Position{p.Lat, -p.Lon}, "the sign of the longitude"},
		{Position{-p.Lat, p.Lon}, "the sign of the latitude"},
		{Position{-p.Lat, -p.Lon}, "both signs"},
		{Position{p.Lon, p.Lat}, "latitude and longitude exchanged"},
		{Position{-p.Lon, p.Lat}, "latitude and longitude exchanged, and a sign"},
		{Position{p.Lon, -p.Lat}, "latitude and longitude exchanged, and a sign"},
		{Position{p.Lat * 10, p.Lon}, "the point of the latitude"},
		{Position{p.Lat / 10, p.Lon}, "the point of the latitude"},
		{Position{p.Lat, p.Lon * 10}, "the point of the longitude"},
		{Position{p.Lat, p.Lon / 10}, "the point of the longitude"},
	} {
		if math.Abs(c.to.Lat) <= 90 && math.Abs(c.to.Lon) <= 180 && c.to.Km(middle) <= km {
			return c.to, c.how
		}
	}
	return Position{}, ""
}
