package plausible

import (
	"fmt"
	"slices"
	"time"
)

// Days are counted from 1 January 1970.

// The gap that makes days two seasons, or a season and a slip; and how many days
// of a cluster, as a share and as a number, are few enough to be slips.
const (
	seasonGap = 45
	slipShare = 0.03
	slipMost  = 3
	fewDays   = 6 // with fewer nothing is usual
)

// LoneDay is a day far from all others, and what it was probably meant to be.
type LoneDay struct {
	Index int
	Meant int32 // day; 0 = not known
	How   string
}

// LoneDays finds the days that lie apart from all others by weeks. Days that
// several units share, in seasons of their own, are none.
func LoneDays(days []int32) []LoneDay {
	if len(days) < fewDays {
		return nil
	}
	order := make([]int, len(days))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(days[a]) - int(days[b]) })
	var usual []int32
	var lone []LoneDay
	for start := 0; start < len(order); {
		end := start + 1
		for end < len(order) && days[order[end]]-days[order[end-1]] <= seasonGap {
			end++
		}
		cluster := order[start:end]
		few := len(cluster) == 1 || len(cluster) <= slipMost && float64(len(cluster)) <= slipShare*float64(len(days))
		for _, i := range cluster {
			if few {
				lone = append(lone, LoneDay{Index: i})
			} else {
				usual = append(usual, days[i])
			}
		}
		start = end
	}
	if len(usual) < len(days)/2 {
		return nil // scattered over the year: nothing is usual
	}
	usual = slices.Compact(usual)
	for i := range lone {
		lone[i].Meant, lone[i].How = meantDay(days[lone[i].Index], usual)
	}
	slices.SortFunc(lone, func(a, b LoneDay) int { return a.Index - b.Index })
	return lone
}

// meantDay is the slip that brings a day nearest to the usual ones, within days of
// them; "" for none.
func meantDay(day int32, usual []int32) (meant int32, how string) {
	t := time.Unix(int64(day)*86400, 0).UTC()
	y, m, d := t.Date()
	best := int32(seasonGap / 3)
	try := func(year int, month time.Month, dom int, why string) {
		c := time.Date(year, month, dom, 0, 0, 0, 0, time.UTC)
		if c.Month() != month || c.Day() != dom {
			return
		}
		at := int32(c.Unix() / 86400)
		for _, u := range usual {
			if off := max(at-u, u-at); off < best {
				best, meant, how = off, at, why
			}
		}
	}
	try(y, time.Month(d), int(m), "day and month exchanged")
	years := map[int]bool{}
	for _, u := range usual {
		years[time.Unix(int64(u)*86400, 0).UTC().Year()] = true
	}
	for year := y - 100; year <= y+100; year++ {
		if years[year] && year != y {
			try(year, m, d, fmt.Sprintf("the year %d", year))
			try(year, time.Month(d), int(m), fmt.Sprintf("the year %d, day and month exchanged", year))
		}
	}
	for _, month := range []time.Month{m - 1, m + 1, m - 2, m + 2} {
		try(y, month, d, "another month")
	}
	return meant, how
}
