package analyze

import (
	"fmt"
	"math"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/compare"
)

// leastNotHollow is the share of fruit bodies that are not hollow above which a
// density is told of it.
const leastNotHollow = 0.01

// notHollow estimates the share of the target finds of some domains that were no true
// ones, from those that were cut: units of a site together, strata by their area. N is
// 0 where nothing was cut.
func (s *Season) notHollow(domains []fieldwork.Domain) (share stats.Estimate, all, not float64) {
	var parts []compare.Part
	for _, f := range domains {
		p := compare.Part{Stratum: s.CollapsedWith(f), LandHa: s.Strata[f.Stratum].AreaHa, AreaHa: f.AreaHa, Cluster: f.Clusters}
		for i, e := range f.Units {
			var here fieldwork.Cut
			for _, v := range e.Counted {
				here.All += s.Cuts[v].All
				here.NotHollow += s.Cuts[v].NotHollow
			}
			p.A, p.B = append(p.A, float64(here.NotHollow)), append(p.B, float64(here.All))
			if f.Method == LineMethod {
				if i == 0 {
					p.AreaHa = nil
				}
				p.AreaHa = append(p.AreaHa, e.Unit.HorizontalM/fieldwork.SquareMetresPerHa) // a metre wide
			}
		}
		all += fieldwork.Sum(p.B)
		not += fieldwork.Sum(p.A)
		parts = append(parts, p)
	}
	if not == 0 {
		return stats.Estimate{}, all, 0
	}
	return compare.Share(parts, s.Settings.Confidence), all, not
}

// notHollowWarning tells a density of all target finds what share of them the cuts
// say were no true ones.
func (s *Season) notHollowWarning(domains []fieldwork.Domain, density float64) []stats.Warning {
	share, all, not := s.notHollow(domains)
	if !(share.Value > leastNotHollow) {
		return nil
	}
	text := fmt.Sprintf("%.1f %% of the target finds were not hollow", 100*share.Value)
	if !math.IsNaN(share.Lower) && !math.IsNaN(share.Upper) {
		text += fmt.Sprintf(" (%g %% CI %.2g to %.2g %%)", 100*share.Confidence, 100*share.Lower, 100*share.Upper)
	}
	text += fmt.Sprintf(", by %.0f of %.0f fruit bodies that were cut lengthwise, and so were no true morels; they are counted", not, all)
	if density > 0 {
		text += fmt.Sprintf(", and without them the density would be about %.3g per ha", density*(1-share.Value))
	}
	return []stats.Warning{{Code: "not-hollow-share", Text: text, Moves: share.Value}}
}

// withNotHollow appends to the densities of all target finds what the cuts say of them.
func (s *Season) withNotHollow(rows []DensityRow, domains []fieldwork.Domain) {
	over := s.PooledStratum(domains)
	for i := range rows {
		r := &rows[i]
		if r.Mode != All || r.Tree != All || r.Taxon != All || !r.Value.Known {
			continue
		}
		var members []fieldwork.Domain
		for _, f := range domains {
			if f.Years == r.Years && (r.Stratum == over || r.Stratum == s.Strata[f.Stratum].Name) {
				members = append(members, f)
			}
		}
		r.Warnings = append(r.Warnings[:len(r.Warnings):len(r.Warnings)], s.notHollowWarning(members, r.Value.Value)...)
	}
}
