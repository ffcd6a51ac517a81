package demo

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/survey"
)

const title = "The Quillet, Bramwold and Ostrey burns, an invented survey"

const invented = `# This survey is invented. No such fires, places or crew exist; the
# coordinates are made up and rounded, and lie in the open ocean.
# Nothing here tells where anything grows.

`

// surveyDesign is what the crew set of its adaptive cluster plots, and two
// harvests that it wants held against the crop.
func surveyDesign() string {
	return fmt.Sprintf("\n[adaptive]\nthreshold = %d # the plots beside one with so many were added\n", GridThreshold) + `
[[harvest]] # made up, like all else
name = "weekend permits"
people = 40
days = 6
limit = 1
unit = "us gallon"
kg_per_litre = 0.25
filled = 0.6
share = 0.3

[[harvest]]
name = "buyers"
people = 10
days = 20
limit = 5
unit = "kg"
share = 0.3
`
}

// settings returns the survey.toml of the sheets; design is the tables that
// only some surveys have.
func settings(files string, plotHeaders map[string]string, design string) []byte {
	var b strings.Builder
	b.WriteString(invented)
	fmt.Fprintf(&b, "title = %q\nconfidence = 0.95\nseed = 2031\nunits = \"metric\"\n", title)
	b.WriteString(files)
	if len(plotHeaders) > 0 {
		b.WriteString("\n[columns.plots] # the crew's header = our column\n")
		for _, c := range survey.Plots.Columns {
			if crews, ok := plotHeaders[c.Name]; ok {
				fmt.Fprintf(&b, "%q = %q\n", crews, c.Name)
			}
		}
	}
	fmt.Fprintf(&b, "\n[season] # the days that a visit may have\nfirst = \"%d-04-15\"\nlast = \"%d-07-05\"\n", VisitYear, VisitYear)
	fmt.Fprintf(&b, "\n[counting]\nrule = %q # each visit records only what was not recorded before\n", survey.New)
	fmt.Fprintf(&b, "\n[taxa]\ntarget = %s\n", quotedList(Targets()))
	fmt.Fprintf(&b, "\n[hosts]\ntrees = %s\ndistance_m = 3.0\n", quotedList(hostNames()))
	b.WriteString(design)
	return []byte(b.String())
}

func hostNames() []string {
	var names []string
	for _, h := range Hosts() {
		names = append(names, h.Tree)
	}
	return names
}

func quotedList(items []string) string {
	quoted := slices.Clone(items)
	for i, item := range quoted {
		quoted[i] = fmt.Sprintf("%q", item)
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}
