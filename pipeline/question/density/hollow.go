package density

import (
	"fmt"
	"math"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/compare"
)

// warnings are the types that this question declares.
var warnings stats.WarningTypes

var notHollowShare = warnings.New("not-hollow-share", stats.Scope, "Target finds that were not hollow, as a share")

// leastNotHollow is the share of fruit bodies that are not hollow above which a
// density is told of it (common practice, no source).
const leastNotHollow = 0.01

// notHollow is the share of the target finds of some domains that were not hollow, of
// those that were cut: a ratio estimate, units of a site together, strata by area.
func (e *estimator) notHollow(domains []fieldwork.Domain) (share stats.Estimate, cut, not float64) {
	var parts []compare.Part
	for _, d := range domains {
		p := compare.Part{Stratum: e.CollapsedWith(d), LandHa: e.Strata[d.Stratum].AreaHa, AreaHa: d.AreaHa, Cluster: d.Clusters}
		if d.Method == result.Line {
			p.AreaHa = nil
		}
		for _, u := range d.Units {
			var here fieldwork.Cut
			for _, v := range u.Counted {
				here.All += e.Cuts[v].All
				here.NotHollow += e.Cuts[v].NotHollow
			}
			p.A, p.B = append(p.A, float64(here.NotHollow)), append(p.B, float64(here.All))
			if d.Method == result.Line {
				p.AreaHa = append(p.AreaHa, u.Unit.HorizontalM/fieldwork.SquareMetresPerHa) // a metre wide
			}
		}
		cut += fieldwork.Sum(p.B)
		not += fieldwork.Sum(p.A)
		parts = append(parts, p)
	}
	if not == 0 {
		return stats.Estimate{}, cut, 0
	}
	return compare.Share(parts, e.Settings.Confidence), cut, not
}

// notHollowWarning tells a density of all target finds what share of them was not
// hollow, by those that were cut.
func (e *estimator) notHollowWarning(domains []fieldwork.Domain, density float64) []stats.Warning {
	share, cut, not := e.notHollow(domains)
	if !(share.Value > leastNotHollow) {
		return nil
	}
	text := fmt.Sprintf("%.1f %% of the target finds were not hollow", 100*share.Value)
	if !math.IsNaN(share.Lower) && !math.IsNaN(share.Upper) {
		text += fmt.Sprintf(" (%g %% CI %.2g to %.2g %%)", 100*share.Confidence, 100*share.Lower, 100*share.Upper)
	}
	text += fmt.Sprintf(", by %.0f of %.0f fruit bodies that were cut lengthwise, and so were no true morels; they are counted", not, cut)
	if density > 0 {
		text += fmt.Sprintf(", and without them the density would be about %.3g per ha", density*(1-share.Value))
	}
	return []stats.Warning{notHollowShare.With("%s", text).Moving(share.Value)}
}

// tellNotHollow appends to the densities of all target finds what the cuts say of
// them.
func (e *estimator) tellNotHollow(rows []Row, domains []fieldwork.Domain) {
	over := e.PooledStratum(domains)
	for i := range rows {
		r := &rows[i]
		if !r.allFinds() || !r.Density.Value.Known {
			continue
		}
		var members []fieldwork.Domain
		for _, d := range domains {
			if d.Years == r.Years && (r.Stratum == over || r.Stratum == e.Strata[d.Stratum].Name) {
				members = append(members, d)
			}
		}
		r.Warnings = append(r.Warnings[:len(r.Warnings):len(r.Warnings)], e.notHollowWarning(members, r.Density.Value.Value)...)
	}
}
