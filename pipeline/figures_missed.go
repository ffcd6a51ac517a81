package pipeline

import (
	"math"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/report"
	"ashtally/plots"
)

// observersShares draws what each observer saw of what was there.
func (d *drawer) observersShares() {
	in := plots.ObserversShares{Confidence: d.settings.Confidence}
	var shown []analyze.ObserverRow
	for _, s := range d.results.Shares {
		if math.IsNaN(s.Unseen) {
			continue
		}
		part := plots.ObserversPart{Method: s.Method, Together: share(s.Together), Several: s.Both, Unseen: s.Unseen, Lower: s.Lower, Upper: s.Upper}
		for i, o := range s.Observers {
			one := share(o)
			one.Alone = int(s.Alone[i])
			part.Observers = append(part.Observers, one)
		}
		in.Parts = append(in.Parts, part)
		for _, r := range d.results.Observers {
			if r.Method == s.Method && fieldwork.OverStrata(r.Stratum) && r.Selected.Value {
				shown = append(shown, r)
			}
		}
	}
	d.add("What each observer saw of what was there", in, report.Figure{Observers: shown})
}

func share(s analyze.SeenShare) plots.ObserverShare {
	return plots.ObserverShare{Name: s.Observer, Seen: s.Finds, Share: s.Value, Lower: s.Lower, Upper: s.Upper}
}
