package transect

import (
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// covariates are what the settings let the scale depend on, of every find. One
// that does not differ between the finds used, or is measured and was not
// recorded for all of them, is left out with a word on it.
func covariates(t *Lines) ([]detect.Covariate, []stats.Warning) {
	var list []detect.Covariate
	var doubts []stats.Warning
	for _, name := range t.s.Settings.Lines.Covariates {
		c, doubt := covariate(t, name)
		if doubt != nil {
			doubts = append(doubts, *doubt)
		}
		if c != nil {
			list = append(list, *c)
		}
	}
	if !slices.Contains(t.s.Settings.Lines.Covariates, survey.Observer) {
		doubts = append(doubts, untried(t)...)
	}
	return list, doubts
}

// untried tells of several teams whose sight nobody asks about. The lines of a
// team that sees farther have more finds, so that densities differ less between
// lines than finds do, and the limits, which rest on the finds, lie too far apart:
// the calibration saw 0.975 for 0.95, with the lower limit hardly ever above the truth.
func untried(t *Lines) []stats.Warning {
	teams := map[string]bool{}
	for i, f := range t.finds {
		if team := levelOf(t, survey.Observer, i); team != "" && t.Range.Holds(f.DistanceM) {
			teams[team] = true
		}
	}
	if len(teams) < 2 {
		return nil
	}
	return []stats.Warning{ObserversUntried.With("%d crews walked the lines, and nobody asks how far each of them sees: if some see farther "+
		"than others, the lower limit lies too low and the interval is wider than need be; covariates = [\"observer\"] in [lines] compares them", len(teams))}
}

func covariate(t *Lines, name string) (*detect.Covariate, *stats.Warning) {
	switch name {
	case survey.GroupSize:
		return measured(t, name, func(i int) column.Float { return column.Finite(math.Log(t.size[i])) })
	case survey.GroundCover:
		return measured(t, name, func(i int) column.Float { return cover(t, t.finds[i]) })
	}
	return levelled(t, name, func(i int) string { return levelOf(t, name, i) })
}

// cover is how much of the ground is hidden around a find: its own record, or
// that of its visit.
func cover(t *Lines, f fieldwork.LineFind) column.Float {
	if f.CoverPercent.Known {
		return f.CoverPercent
	}
	return t.s.Visits[f.Visit].CoverPercent
}

// levelOf is the level of a find; "" if it was not recorded. The observers are
// those of the visit, all of them together: who saw a find is known of those
// found alone, and what two saw lies nearer than what one saw.
func levelOf(t *Lines, name string, i int) string {
	f := t.finds[i]
	g := t.s.Groups[f.Group]
	switch name {
	case survey.Observer:
		return strings.ReplaceAll(t.s.Visits[f.Visit].Team, ";", " and ")
	case survey.InStratum:
		return t.s.Strata[t.Units[t.on[i]].Unit.Stratum].Name
	case survey.OfMode:
		return g.Mode
	case survey.NearTree:
		return g.Tree
	case survey.OfTaxon:
		return g.Taxon
	}
	panic("transect: no covariate " + name)
}

func measured(t *Lines, name string, of func(find int) column.Float) (*detect.Covariate, *stats.Warning) {
	c := detect.Covariate{Name: name, Value: make([]float64, len(t.finds))}
	var used []float64
	missing := 0
	for i, f := range t.finds {
		v := of(i)
		c.Value[i] = v.Value
		switch {
		case !t.Range.Holds(f.DistanceM):
		case v.Known:
			used = append(used, v.Value)
		default:
			missing++
		}
	}
	if missing > 0 {
		return nil, warning(CovariateUnrecorded.With("%s was not recorded for %d of the %d finds used along lines, so it could not be tried as "+
			"what sight depends on", naming(name), missing, missing+len(used)))
	}
	if len(used) > 0 && slices.Max(used) == slices.Min(used) {
		return nil, alike(name)
	}
	return &c, nil
}

func levelled(t *Lines, name string, of func(find int) string) (*detect.Covariate, *stats.Warning) {
	c := detect.Covariate{Name: name, Level: make([]string, len(t.finds))}
	seen := map[string]bool{}
	missing := 0
	for i, f := range t.finds {
		level := of(i)
		if level == "" {
			level = result.Unrecorded
		}
		c.Level[i] = level
		if t.Range.Holds(f.DistanceM) {
			seen[level] = true
			if level == result.Unrecorded {
				missing++
			}
		}
	}
	switch {
	case len(seen) == 1:
		return nil, alike(name)
	case missing > 0:
		return &c, warning(CovariateUnrecorded.With("%s was not recorded for %d of the finds along lines, which stand as a level of their own",
			naming(name), missing))
	}
	return &c, nil
}

func alike(name string) *stats.Warning {
	return warning(CovariateAlike.With("%s is the same for all finds used along lines, so nothing can be said of what it does to sight", naming(name)))
}

// naming is a covariate as the beginning of a sentence.
func naming(name string) string {
	return map[string]string{
		survey.Observer: "the observer", survey.InStratum: "the stratum", survey.OfMode: "the mode", survey.NearTree: "the tree",
		survey.OfTaxon: "the taxon", survey.GroupSize: "the size of groups", survey.GroundCover: "the cover of the ground",
	}[name]
}

func warning(w stats.Warning) *stats.Warning { return &w }
