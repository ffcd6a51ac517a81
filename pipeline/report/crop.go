package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// cropUnit is what a crop is shown in: a mass, of the stored kg, and an area.
type cropUnit struct {
	mass string
	kg   float64
	area unit
}

const kgPerPound = gramsPerPound / 1000

func (w writer) cropUnits() []cropUnit {
	metric := cropUnit{"kg", 1, hectare}
	if w.page.Settings.Units == survey.US {
		return []cropUnit{{"lb", kgPerPound, acre}, metric}
	}
	return []cropUnit{metric}
}

// PerMass is the unit of mass that a report of these settings shows a crop in:
// its name, and the kg in it.
func PerMass(s survey.Settings) (name string, kg float64) {
	u := writer{page: Page{Settings: s}}.cropUnits()[0]
	return u.mass, u.kg
}

// cropAnswers say what the land carries by each method, and what each harvest
// would take of it.
func (w writer) cropAnswers() []claim {
	var says []claim
	for _, r := range w.page.Results.Crop {
		if fieldwork.OverStrata(r.Stratum) && r.Ground == analyze.All && r.Years == analyze.All && r.Bodies.Value.Known && r.Bodies.Value.Value > 0 {
			says = append(says, w.cropClaim(r, len(says) == 0))
		}
	}
	says = append(says, w.harvestClaims()...)
	if len(says) > 0 {
		says = append(says, noPermission())
	}
	return says
}

// noPermission is the caution that goes with every crop and harvest.
func noPermission() claim {
	return claim{"None of this is a permission, and none of it is food for certain.",
		" Permits, closures, bag limits and who owns the land are for the local authority to say, and nothing here is identified: see the cautions below."}
}

// cropClaim says what the land carries by one method; the first of several says
// what the masses rest on.
func (w writer) cropClaim(r analyze.CropRow, first bool) claim {
	bodies := round(r.Bodies, 1)
	lead := "By " + methodOf(r.Method).many + " the land carries some " + bodies.value + " fruit bodies"
	if r.Stratum == analyze.Reached {
		lead = "By " + methodOf(r.Method).many + " the part of the survey area that they reached, " + amount(r.LandHa.Value, w.units.area) + ", carries some " + bodies.value + " fruit bodies"
	}
	rest := " (" + w.limitsOr(r.Bodies, 1)
	if !r.Kg.Value.Known {
		return claim{lead, rest + "). " + reasonOf(r.Warnings, "no-mass")}
	}
	for i, u := range w.cropUnits() {
		mass, per := round(r.Kg, u.kg), round(r.KgPerHa, u.kg/u.area.size)
		if i == 0 {
			lead += ", " + mass.value + noBreak + u.mass + " fresh"
			rest += "; of the mass in " + u.mass + ", " + w.limitsOr(r.Kg, u.kg) + ", or " + per.value + noBreak + u.mass + " per " + u.area.each
			continue
		}
		rest += "; " + mass.value + noBreak + u.mass + ", " + per.value + noBreak + u.mass + " per " + u.area.each
	}
	rest += ")."
	if !first {
		return claim{lead, rest}
	}
	rest += " A fruit body weighs " + round(r.Grams, 1).value + noBreak + "g on average, by " + several(r.Weighed.Or(0), "fruit body", "fruit bodies") + " weighed."
	if part, ok := find(r.Warnings, "weighed-in-part"); ok {
		rest += " " + sentence(words(part.Text))
	}
	return claim{lead, rest}
}

// limitsOr writes the interval of a figure, or that there is none.
func (w writer) limitsOr(e analyze.Estimate, size float64) string {
	if round(e, size).interval() == none {
		return "no interval can be given"
	}
	return w.limits(e, size)
}

// HarvestMethod is the method whose crop the sentences and the figure of the
// harvest are of: the first that reached all strata and tells of a share, or else the
// first that tells of any, or "".
func HarvestMethod(rows []analyze.HarvestRow) string {
	for _, stratum := range []string{analyze.All, analyze.Reached} {
		for _, r := range rows {
			if r.Share.Value.Known && r.Ground == analyze.All && r.Stratum == stratum {
				return r.Method
			}
		}
	}
	if len(rows) > 0 {
		return rows[0].Method
	}
	return ""
}

// mostScenarios bounds the sentences; all are in the table.
const mostScenarios = 5

func (w writer) harvestClaims() []claim {
	rows := w.page.Results.Harvest
	method := HarvestMethod(rows)
	var says []claim
	for _, r := range rows {
		if r.Method == method && r.Ground == analyze.All && len(says) < mostScenarios {
			says = append(says, w.harvestClaim(r, rows))
		}
	}
	return says
}

func (w writer) harvestClaim(r analyze.HarvestRow, rows []analyze.HarvestRow) claim {
	who := "“" + name(r.Scenario) + "”: " + w.who(r)
	if !r.Share.Value.Known {
		return claim{who, ". " + reason(r.Warnings)}
	}
	lead := who + ", take " + w.taken(r) + ": " + percent(r.Share.Value.Value) + " of the crop by " + methodOf(r.Method).many + reachedOnly(r.Stratum)
	rest := " (" + w.shareLimits(r) + ")."
	if r.Passes.Known {
		rest += " The chance that this passes " + asGiven(r.Asked) + noBreak + "% is " + probability(r.Passes) + "."
	}
	for _, other := range rows {
		if other.Scenario == r.Scenario && other.Method == r.Method && other.Ground != analyze.All && other.Share.Value.Known {
			rest += " All taken on " + other.Ground + " land, it would be " + percent(other.Share.Value.Value) + " of what stands there (" + w.shareLimits(other) + ")."
		}
	}
	if warned(r.Warnings, "over-crop") {
		rest += " They would find less than they may take."
	}
	return claim{lead, rest}
}

func (w writer) shareLimits(r analyze.HarvestRow) string {
	if round(r.Share, 1).interval() == none {
		return "no interval can be given"
	}
	return w.limits(r.Share, 1) + noBreak + "%"
}

// probability writes a chance, of which the interval of a crop settles no third digit.
func probability(p column.Float) string {
	switch {
	case p.Value < 0.005:
		return "under 0.01"
	case p.Value > 0.995:
		return "over 0.99"
	}
	return fmt.Sprintf("%.2f", p.Value)
}

// who says the people, days and limit of a scenario.
func (w writer) who(r analyze.HarvestRow) string {
	unit := strings.Replace(r.LimitUnit, "us ", "US ", 1)
	text := asGiven(r.People) + noBreak + "people, " + asGiven(r.Days) + noBreak + "days each, at " + asGiven(r.Limit) + noBreak + unit + " a day"
	if r.Filled.Value < 100 {
		text += " of which " + asGiven(r.Filled) + noBreak + "% is filled"
	}
	return text
}

// asGiven writes a number of the settings as it was given.
func asGiven(f column.Float) string {
	return grouped(strconv.FormatFloat(math.Round(f.Value*1e6)/1e6, 'f', -1, 64))
}

// taken writes what is taken in the units of the report.
func (w writer) taken(r analyze.HarvestRow) string {
	if r.Unit == survey.FruitBodies {
		return number(r.Taken) + noBreak + "fruit bodies"
	}
	var text string
	for i, u := range w.cropUnits() {
		v := r.Taken.Value / u.kg
		one := fixed(v, decimals(v)) + noBreak + u.mass
		if i == 0 {
			text = one
			continue
		}
		text += " (" + one + ")"
	}
	return text
}

func reasonOf(warnings []stats.Warning, code string) string {
	if own, ok := find(warnings, code); ok {
		return sentence(words(own.Text))
	}
	return reason(warnings)
}

// cropGrid is the table of the crop.
func (w writer) cropGrid() (grid, bool) {
	all := w.cropRows()
	rows, left := shorten(all, func(r analyze.CropRow) int64 { return r.Counted.Or(0) }, analyze.CropTable.Name)
	g := grid{ID: "crop", Caption: "What the land carries"}
	w.fillCrop(&g, rows)
	g.below("Beneath a figure stand the limits of its " + w.level + " interval. Mass is fresh mass, of the fruit bodies that were counted at the mean of those that were weighed.")
	g.below(left)
	return g, slices.ContainsFunc(all, func(r analyze.CropRow) bool { return r.Bodies.Value.Known })
}

// cropRows leaves out a year where a part of the land has but one, and what was
// not reached.
func (w writer) cropRows() []analyze.CropRow {
	return slices.DeleteFunc(slices.Clone(w.page.Results.Crop), func(r analyze.CropRow) bool {
		_, single := w.density.single(place{r.Method, r.Stratum})
		return single && r.Years != analyze.All || !r.Bodies.Value.Known && r.Counted.Or(0) == 0
	})
}

func (w writer) fillCrop(g *grid, rows []analyze.CropRow) {
	heads := []head{textual("Land"), numeric("Area (" + w.units.area[0].name + ")"), numeric("Fruit bodies")}
	for _, u := range w.cropUnits() {
		heads = append(heads, numeric("Mass ("+u.mass+")"), numeric(u.mass+" per "+u.area.each))
	}
	g.Heads = [][]head{append(heads, numeric("g of a fruit body"), numeric("Finds"), textual(notesHead))}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		at.Rows = append(at.Rows, row{
			Label: label{Text: landName(r)}, Cells: w.cropCells(r), Marks: notes.marks(r.Warnings),
			Strong: r.Stratum == analyze.All && r.Ground == analyze.All && r.Years == analyze.All,
		})
	}
	g.Notes = notes.all()
}

// landName names the part of the land that a row is of.
func landName(r analyze.CropRow) string {
	if fieldwork.OverStrata(r.Stratum) && r.Ground != analyze.All {
		return capital(r.Ground) + " land" + reachedOnly(r.Stratum)
	}
	return stratumInYears(r.Stratum, r.Years)
}

func (w writer) cropCells(r analyze.CropRow) []cell {
	cells := []cell{inUnits(r.LandHa, w.units.area), limited(r.Bodies, 1)}
	for _, u := range w.cropUnits() {
		cells = append(cells, limited(r.Kg, u.kg), limited(r.KgPerHa, u.kg/u.area.size))
	}
	return append(cells, limited(r.Grams, 1), figure(whole(r.Counted)))
}

// massGrid is the table of what a fruit body weighs.
func (w writer) massGrid() (grid, bool) {
	rows := slices.DeleteFunc(slices.Clone(w.page.Results.Mass), func(r analyze.MassRow) bool { return r.Weighed.Or(0) == 0 })
	shown, left := shorten(rows, func(r analyze.MassRow) int64 { return r.Weighed.Or(0) }, analyze.MassTable.Name)
	g := grid{ID: "mass", Caption: "What a fruit body weighs", Heads: [][]head{{
		textual("Kind"), numeric("Finds"), numeric("Weighed"), numeric("In units or sites"), numeric("g of a fruit body"), textual(notesHead),
	}}}
	var notes notebook
	at := g.group("")
	for _, r := range shown {
		at.Rows = append(at.Rows, row{
			Label: label{Text: kindName(r.Taxon, r.Mode)}, Marks: notes.marks(r.Warnings), Strong: r.Taxon == analyze.All,
			Cells: []cell{figure(whole(r.Finds)), figure(whole(r.Weighed)), figure(whole(r.Sites)), limited(r.Grams, 1)},
		})
	}
	g.Notes = notes.all()
	g.below(left)
	return g, len(rows) > 0
}

func kindName(taxon, mode string) string {
	text := "All finds"
	if taxon != analyze.All {
		text = name(taxon)
	}
	if mode != analyze.All {
		text += ", " + mode
	}
	return text
}

// harvestGrid is the table of the scenarios, a group for each.
func (w writer) harvestGrid() (grid, bool) {
	g := grid{ID: "harvest", Caption: "What a harvest would take of the crop"}
	w.fillHarvest(&g, w.page.Results.Harvest)
	g.below("“Burned” and “unburned” are as if all of the harvest were taken there. A harvest matters most where the same mycelium must fruit again: on unburned land. The chance is that of the crop’s own uncertainty; how many people come, and what they fill, is taken as given. None of this is a permission.")
	return g, len(w.page.Results.Harvest) > 0
}

func (w writer) fillHarvest(g *grid, rows []analyze.HarvestRow) {
	g.Heads = [][]head{{textual("Land, and what its crop is by"), numeric("Taken"), numeric("Share of the crop (%)"), numeric("Share asked (%)"), numeric("Chance to pass it"), textual(notesHead)}}
	var notes notebook
	for _, r := range rows {
		at := g.group(name(r.Scenario) + ": " + w.who(r))
		land := "All land"
		switch {
		case r.Ground != analyze.All:
			land = capital(r.Ground) + " land" + reachedOnly(r.Stratum)
		case r.Stratum == analyze.Reached:
			land = strataReached
		}
		chance := figure(none)
		if r.Passes.Known {
			chance = figure(probability(r.Passes))
		}
		at.Rows = append(at.Rows, row{
			Label: label{Text: land + ", " + methodOf(r.Method).many}, Marks: notes.marks(r.Warnings), Strong: r.Ground == analyze.All && r.Stratum == analyze.All,
			Cells: []cell{figure(w.taken(r)), limited(r.Share, 1), figure(asGiven(r.Asked)), chance},
		})
	}
	g.Notes = notes.all()
}
