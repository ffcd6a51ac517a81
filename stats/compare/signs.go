package compare

import "ashtally/stats/permute"

// Signs tests that two densities are the same. A cluster adds
//
//	a = W_h y_A / a_h,  b = W_h y_B / a_h
//
// to them, with a_h the area searched in its stratum and W_h the stratum's share of the
// land. If there is no difference and the two groups are alike, a and b of each
// cluster may change places, whatever its units share, and p is the share of
// these arrangements whose log ratio, in units of its own standard error, is at least
// as far from 0 (see [permute.Modes]). It has an answer where nothing was found of
// one group or where the spread is not believed.
//
// Where the groups clump differently an arrangement is not as likely as another; but the
// log ratio over its standard error is then distributed much alike in all, and the
// test keeps its level from some thirty clusters on (ERRORS.md).
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
