package crop

import (
	"fmt"

	"ashtally/stats"
)

// What a crop can give reason to doubt.
var (
	noDensity = stats.Warning{Code: "no-density",
		Text: "there is no density here, so there is no crop"}
	noMass = stats.Warning{Code: "no-mass",
		Text: "no find has a mass, so the crop is given in fruit bodies alone; weigh some finds, not only the large ones"}
	massesAlike = stats.Warning{Code: "masses-alike",
		Text: "every fruit body weighed has the same mass; where a standard mass was written down, nothing was weighed"}
	massApart = stats.Warning{Code: "mass-apart",
		Text: "density and mass are taken as independent, and the mix of kinds is that of the finds"}
)

func warn(code, text string, args ...any) stats.Warning {
	return stats.Warning{Code: code, Text: fmt.Sprintf(text, args...)}
}

// Under these the interval of a mean mass may not keep its level (common
// practice, no source).
const (
	fewWeighed = 20
	fewSites   = 5
)

func weighedDoubts(sites int, weighed float64) []stats.Warning {
	switch {
	case sites == 1:
		return []stats.Warning{warn("weighed-in-one-place", "fruit bodies were weighed in one unit or site alone, which tells nothing of the others, so the mass has no interval")}
	case sites < fewSites || weighed < fewWeighed:
		return []stats.Warning{warn("few-weighed", "%.0f fruit bodies in %d units or sites were weighed, which is few; under %d in %d the interval may not keep its level", weighed, sites, fewWeighed, fewSites)}
	}
	return nil
}

// mostWeighed is the share from which finds count as weighed all.
const mostWeighed = 0.9

// doubts are those of a mass that its mean does not have already.
func (p Part) doubts(t sums, c Crop) []stats.Warning {
	var w []stats.Warning
	counted := over(t.count, every(p.Kinds))
	if c.Weighed < mostWeighed*counted {
		w = append(w, warn("weighed-in-part", "%.0f of %.0f fruit bodies were weighed; if they were picked, as the larger ones often are, the mass is too high", c.Weighed, counted))
	}
	pooled := 0
	for g, n := range t.weighed {
		if n < leastWeighed && t.count[g] > 0 {
			pooled++
		}
	}
	if pooled > 0 && p.Kinds > 1 {
		w = append(w, warn("kinds-pooled", "fewer than %d fruit bodies were weighed of %d of the %d kinds; these count with the mean mass of all kinds", leastWeighed, pooled, p.Kinds))
	}
	if p.Apart {
		w = append(w, massApart)
	}
	return w
}
