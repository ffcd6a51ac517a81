package ingest

import (
	"maps"
	"slices"

	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// namedIn is a setting that names taxa or trees of the sheets.
type namedIn struct {
	kind  string   // "taxon" or "tree"
	key   []string // in survey.toml
	names []string
	// alone says of a name that stands nowhere and is near to none; "" = nothing.
	alone string
}

// namedInSettings lists the settings that name taxa and trees.
func (a *acrossRows) namedInSettings() []namedIn {
	s := a.folder.Settings
	list := []namedIn{
		{"taxon", []string{"taxa", "target"}, s.Taxa.Target, "it is estimated as not found"},
		{"tree", []string{"hosts", "trees"}, s.Hosts.Trees, ""},
		{"taxon", []string{survey.DatasetTable, "blurred"}, s.Dataset.Blurred, ""},
		{"taxon", []string{survey.DatasetTable, "withheld"}, s.Dataset.Withheld, ""},
	}
	for _, table := range survey.NameTables {
		kind := map[string]string{"taxa": "taxon", "trees": "tree"}[table]
		for _, name := range slices.Sorted(maps.Keys(*s.Dataset.Names(table))) {
			list = append(list, namedIn{kind, []string{survey.DatasetTable, table, name}, []string{name}, ""})
		}
	}
	return list
}

// settingsNames lets the names of survey.toml be known as such: of two that are
// almost equal, they are right.
func (a *acrossRows) settingsNames() {
	for _, in := range a.namedInSettings() {
		for _, text := range in.names {
			one := a.names(in.kind).seen[text]
			if one == nil {
				one = a.names(in.kind).add(text)
			}
			if one != nil {
				one.setting = true
			}
		}
	}
}

// namesOfSettings holds the names of survey.toml to those of the sheets. One that
// stands nowhere while one almost equal is there is a fault: what it is for would
// not be done, and nothing would show it. One that nobody found is a season
// without finds of it.
func (a *acrossRows) namesOfSettings() {
	if _, lost := a.known.lost[survey.Finds.Name]; lost {
		return
	}
	for _, in := range a.namedInSettings() {
		found := a.names(in.kind)
		listed := map[string]bool{}
		for _, text := range in.names {
			listed[text] = true
		}
		for _, text := range in.names {
			if !found.has(text) && !found.full() {
				a.notFound(in, text, found.others(listed))
			}
		}
	}
}

// notFound speaks of a name in survey.toml that no row has.
func (a *acrossRows) notFound(in namedIn, text string, others []string) {
	what, verb := "find is of the taxon ", "finds are of "
	if in.kind == "tree" {
		what, verb = "row has the tree ", "rows have "
	}
	f := survey.Fault{
		Place: survey.Place{File: settingsName, Line: a.folder.lines.line(in.key...)}, Name: in.key[0] + "." + in.key[1],
		Problem: "no " + what + phrase.Quote(text),
	}
	if i := slices.IndexFunc(others, func(o string) bool { return plausible.NewName(text).Alike(plausible.NewName(o)) }); i >= 0 {
		f.Problem += ", and " + verb + phrase.Quote(others[i])
		f.Remedy = "did you mean " + phrase.Quote(others[i]) + "? write it alike in both"
		a.block(f)
		return
	}
	if near := nearest(text, others); near != "" {
		f.Problem += ", and " + verb + phrase.Quote(near)
		f.Remedy = join("did you mean "+phrase.Quote(near)+"?", in.alone)
		a.ask(survey.NearName, text, f)
		return
	}
	if in.alone != "" {
		f.Remedy = in.alone
		a.notice(f)
	}
}
