package report

import (
	"fmt"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// Everything in this file is invented: no such land, crew or count exists, and
// the limits are not those that any estimator would give.

const (
	hostileMarkup = `<script>alert("1")</script><b>&amp;`
	hostileBidi   = "ridge \u202Etfel ot thgir\u202C \u2066x"
	hebrew        = "רכס"
)

var hostileControl = "creek\x00\x1b[31m\nred\u2028line"

// inventedPage is a whole report.
func inventedPage() Page {
	s := survey.Defaults()
	s.Title = "Hollin Creek burn (invented)"
	s.Seed = 4127
	s.Taxa.Target = []string{"black morel", "grey morel"}
	s.Hosts.Trees = []string{"paper birch"}
	s.Columns = map[string]map[string]string{"plots": {"Plot No.": "plot", "Slope %": "slope_percent"}}
	r := inventedResults()
	return Page{
		Settings: s, Results: r, Figures: inventedFigures(r), Provenance: inventedProvenance(),
		Notices: []survey.Fault{{Place: survey.Place{File: "finds.csv", Line: 1}, Column: 9, Name: "substrat", Problem: "is not a known column and is carried as text", Remedy: `did you mean "tree"?`}},
	}
}

func inventedProvenance() Provenance {
	return Provenance{
		Program: "ashtally", Version: "0.1.0", Go: "go1.26.0", Platform: "linux/amd64",
		Inputs: []Input{
			{"survey.toml", "", 412, "3f5a0d7f5cf1b0a2f5b4e6a5b7d8c9e0f1a2b3c4d5e6f708192a3b4c5d6e7f80"},
			{"finds.csv", "finds", 88214, "9c56cc51b374c3ba189210d5b6d4bf57790d351c96c47c02190ecf1e430635ab"},
		},
		Tables: []TableCount{{"strata", 5, 5, 0}, {"plots", 163, 163, 0}, {"visits", 812, 811, 1}, {"finds", 2304, 2298, 6}},
	}
}

func inventedResults() analyze.Results {
	r := analyze.Results{}
	r.Observers, r.Passes, r.Corrected = inventedObservers(), inventedPasses(), inventedCorrected()
	reachedIn(&r)
	return r
}

// reachedIn labels the rows of methods that reached a part: strips and lines.
func reachedIn(r *analyze.Results) {
	of := func(method string, stratum *string) {
		if method != analyze.PlotMethod && *stratum == analyze.All {
			*stratum = analyze.Reached
		}
	}
	for i := range r.Corrected {
		of(r.Corrected[i].Method, &r.Corrected[i].Stratum)
	}
	for i := range r.Passes {
		of(r.Passes[i].Method, &r.Passes[i].Stratum)
	}
}

const inventedSVG = `<svg xmlns="http://www.w3.org/2000/svg" width="174mm" height="60mm" viewBox="0 0 493 170" role="img" aria-labelledby="%[1]s-title">
<title id="%[1]s-title">Invented drawing</title>
<rect x="2" y="2" width="489" height="166" fill="none" stroke="#8c8a83"/>
<text x="20" y="40" style="font-family:'Liberation Sans',Arial,sans-serif;font-size:10pt">an invented drawing</text>
</svg>
`

func inventedFigures(r analyze.Results) []Figure {
	figure := func(name, title, caption string) Figure {
		return Figure{Name: name, Title: title, Caption: caption, Alt: "An invented drawing.", SVG: fmt.Appendf(nil, inventedSVG, name)}
	}
	shares := figure("shares", "What each observer saw", "Bars are who saw what.")
	shares.Observers = inventedObservers()[:2]
	return []Figure{shares}
}

// americanPage is the invented report in US units.
func americanPage() Page {
	p := inventedPage()
	p.Settings.Units = survey.US
	return p
}

// hostilePage is the invented report with names that no crew should give.
func hostilePage() Page {
	p := inventedPage()
	long := string(slices.Repeat([]rune("long"), 3000))
	names := []string{hostileMarkup, hostileBidi, hostileControl, long, hebrew}
	r := &p.Results
	row := r.Corrected[0]
	r.Corrected = nil
	for _, row.Stratum = range names {
		r.Corrected = append(r.Corrected, row)
	}
	r.Corrected[0].Warnings = []stats.Warning{{Code: hostileMarkup, Text: hostileMarkup + hostileBidi}}
	p.Settings.Title = hostileMarkup + hostileBidi
	p.Settings.Taxa.Target = []string{hostileMarkup}
	p.Provenance.Inputs[0].Name = hostileMarkup
	p.SetAsideCount = 1204
	p.SetAside = []survey.Fault{{Place: survey.Place{File: "finds.csv", Line: 214}, Column: 7, Name: "distance_m", Problem: hostileMarkup + hostileControl, Remedy: "mend it"}}
	p.Figures[0].Title, p.Figures[0].Alt = hostileMarkup, hostileMarkup+`" onload="x`
	return p
}

// smallPage has a row or two of some kinds.
func smallPage() Page {
	r := analyze.Results{Observers: inventedObservers(), Corrected: inventedCorrected()}
	return Page{Settings: survey.Defaults(), Results: r, Figures: inventedFigures(r), Provenance: inventedProvenance()}
}
