package compare

import "ashtally/stats/permute"

// Signs tests that two densities are the same. By each cluster the one is ahead
// of the other by
//
//	d = W_h (y_A - y_B) / a_h
//
// with a_h the area searched in its stratum and W_h the stratum's share of the
// land; the d add up to the difference of the densities. If there is none and
// the two groups are alike, each d is as likely to be as far below 0 as above,
// whatever the units of a cluster share, and p is the share of the arrangements
// of signs whose sum is at least as far from 0 (see [permute.Modes]). No
// variance and no degrees of freedom come into it, and it has an answer where
// nothing was found of one group or where the spread is not believed.
//
// Where the groups clump differently the d are skewed, and signs hold for many
// clusters only (Hemerik, Goeman & Finos 2020, Journal of the Royal Statistical
// Society B 82: 841-864).
//
// It panics as [Ratio] does.
func Signs(parts []Part, o permute.Options) permute.Result {
	const any = 0.95 // no interval is asked for
	check(parts, any)
	var first, base []float64
	for _, h := range gather(parts).strata {
		for _, c := range h.clusters {
			first, base = append(first, h.weight*c.a/h.area), append(base, h.weight*c.b/h.area)
		}
	}
	return permute.Modes(first, base, o)
}
