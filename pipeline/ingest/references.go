package ingest

import (
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// kinds of names that are compared with each other: those that name a thing,
// not those that refer to one, whose fault is to be unknown.
var kinds = map[[2]string]string{
	{"strata", "stratum"}:        "stratum",
	{"plots", "plot"}:            "unit",
	{"transects", "transect"}:    "unit",
	{"plots", "site"}:            "site",
	{"transects", "site"}:        "site",
	{"plots", "network"}:         "network",
	{"finds", "taxon"}:           "taxon",
	{"finds", "tree"}:            "tree",
	{"trees", "tree"}:            "tree",
	{"reference_points", "tree"}: "tree",
}

// named is a column of names, of which equal ones become one string.
type named[R any] struct {
	column string
	at     func(*R) any
	names  *names
}

func namedColumns[R any](c *checks, t column.Table[R]) (list []named[R]) {
	for _, one := range t.Columns {
		if kind, ok := kinds[[2]string{t.Name, one.Name}]; ok {
			list = append(list, named[R]{one.Name, one.At, c.names(kind)})
		}
	}
	return list
}

// take notes the name in a row.
func (n *named[R]) take(l *line, row *R) {
	if text := n.at(row).(*string); *text != "" {
		*text = n.names.take(*text, l, n.column)
	}
}

// maxSearches bounds the near names that are looked for in one run, as each
// goes through all known ones; a crew mends the first thousand first.
const (
	maxSearches   = 1000
	maxCandidates = 5000
)

// nearKnown says which known id or name is near a text. Names with other
// figures are other things: P11 is not near P12.
func (c *checks) nearKnown(text string, candidates func() []string) string {
	if c.searches++; c.searches > maxSearches {
		return ""
	}
	all := candidates()
	if len(all) > maxCandidates {
		return ""
	}
	key := plausible.Misread(text)
	if i := slices.IndexFunc(all, func(c string) bool { return plausible.Misread(c) == key }); i >= 0 {
		return "did you mean " + phrase.Quote(all[i]) + "?"
	}
	var alike []string
	for _, c := range all {
		if figures(c) == figures(text) {
			alike = append(alike, c)
		}
	}
	if near := closest(text, alike, len(letters(text))/4); near != "" {
		return "did you mean " + phrase.Quote(near) + "?"
	}
	return ""
}

// figures is the digits of a text.
func figures(s string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, s)
}

// unknown reports a reference to what is not there. Where it may be in a row
// or file that could not be read, that is at fault already, and this row only
// follows from it.
func (l *line) unknown(name, what, text string, lost survey.Place, isLost bool, candidates func() []string) {
	problem := "the " + what + " " + phrase.Quote(text) + " is not known"
	switch {
	case !isLost:
		l.fault(name, problem, join(l.nearKnown(text, candidates), "write it as in its own file, or add it there"))
	case l.options.SetAside:
		l.fault(name, problem+"; it may be in "+at(lost)+", which could not be read", "mend that first")
	default:
		l.once("unknown "+what+lost.File, survey.Fault{
			Place: l.place, Name: name, Problem: problem + "; it may be in " + at(lost) + ", which could not be read",
			Remedy: "others like this are not told before that is mended",
		})
	}
}

// follow sets a row aside because of the one it refers to. Without setting
// aside, the fault of that row is told once, with the row itself.
func (l *line) follow(name, what, text string, parent survey.Place) {
	if l.options.SetAside && l.clean() {
		l.fault(name, "the "+what+" "+phrase.Quote(text)+" ("+at(parent)+") is set aside", "mend that row")
	}
}

// stratumOf looks a stratum up; nil where it is not known.
func (l *line) stratumOf(name string) *stratum {
	if name == "" {
		return nil
	}
	s := l.known.strata[name]
	if s == nil {
		lost, isLost := l.known.lost[survey.Strata.Name]
		l.unknown("stratum", "stratum", name, lost, isLost, l.known.stratumNames)
		return nil
	}
	if s.aside {
		l.follow("stratum", "stratum", name, s.place)
	}
	return s
}

// unitOf looks a unit up; nil where it is not known.
func (l *line) unitOf(name string) *unit {
	if name == "" {
		return nil
	}
	u := l.known.unit(name)
	if u == nil {
		lost, isLost := l.known.lostUnit()
		l.unknown("unit", "unit", name, lost, isLost, l.known.unitNames)
		return nil
	}
	if u.aside {
		l.follow("unit", "unit", name, l.placeOf(u.spot))
	}
	return u
}
