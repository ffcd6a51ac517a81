package ingest

import (
	"cmp"
	"fmt"
	"slices"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// passGaps tells of days whose passes do not count up from 1: a pass without
// finds has a visit too, and where its row is missing the catches seem to fall
// faster than they did. One word on them is enough.
func (a *acrossRows) passGaps() {
	var first survey.Fault
	gaps := 0
	for _, u := range a.known.unitOrder {
		visits := slices.DeleteFunc(a.known.visitsOf(u), func(v *visit) bool { return v.aside })
		slices.SortStableFunc(visits, func(a, b *visit) int {
			return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.pass, b.pass))
		})
		next := int32(1)
		for i, v := range visits {
			if i > 0 && visits[i-1].day != v.day {
				next = 1
			}
			if v.pass != next {
				if gaps++; gaps == 1 {
					first = survey.Fault{Place: a.placeOf(v.spot), Name: "pass",
						Problem: fmt.Sprintf("the unit %s has pass %d on %s and no pass %d", phrase.Quote(u.name), v.pass, v.date(), next),
						Remedy:  "give a pass without finds its row, or number the passes of a day from 1; such days tell nothing of what was missed"}
				}
			}
			next = v.pass + 1
		}
	}
	if gaps == 0 {
		return
	}
	if gaps > 1 {
		first.Problem += fmt.Sprintf("; %d visits are like this one", gaps)
	}
	a.notice(first)
}
