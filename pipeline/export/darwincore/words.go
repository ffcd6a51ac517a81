package darwincore

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
)

// list joins values as Darwin Core recommends: with a vertical bar and spaces.
func list(values []string) string { return strings.Join(values, " | ") }

// localName is the part of a URI behind its last slash.
func localName(uri string) string { return uri[strings.LastIndexByte(uri, '/')+1:] }

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// known writes a number, and nothing where there is none.
func known(f column.Float) string {
	if !f.Known {
		return ""
	}
	return number(f.Value)
}

func truth(b bool) string { return strconv.FormatBool(b) }

// unitID and visitID identify events. The names of units may be any text: what
// stands before them keeps the two apart.
func unitID(u *export.Unit) string { return "unit:" + u.ID }

func visitID(v *export.Visit) string {
	return "visit:" + v.Date().String() + ":" + strconv.FormatInt(v.Pass, 10) + ":" + v.Of.ID
}

// protocol names how a unit was searched.
func protocol(u *export.Unit) string {
	switch u.Kind {
	case export.Plot:
		return "fixed-area plot"
	case "strip":
		return "strip transect"
	}
	return "line transect with distances"
}

// unnamed lists the recorded and searched taxa without a scientific name.
func (a *archive) unnamed() []string {
	taxa := map[string]bool{}
	for _, taxon := range a.survey.Taxa {
		taxa[taxon] = true
	}
	for _, u := range a.survey.Units {
		for _, v := range u.Visits {
			for taxon := range v.Bodies {
				taxa[taxon] = true
			}
		}
	}
	return slices.DeleteFunc(slices.Sorted(maps.Keys(taxa)), func(taxon string) bool {
		_, ok := a.survey.Scientific(taxon)
		return ok
	})
}
