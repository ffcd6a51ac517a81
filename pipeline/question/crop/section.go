package crop

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// Sections are the question's part of the report.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.Harvest, Question: "Crop and harvest", Appendix: v.appendix(u)}
	if v.all >= 0 {
		s.Limitations = page.LimitsOf(v.crop, v.all)
		s.Finding, s.Table = v.cropFinding(), v.cropTable()
		s.Lines = append(s.Lines, page.Line{Label: "crop", Text: v.cropLine()})
		s.Card = &page.Card{Title: page.Say("What there is to harvest"),
			Text: []page.Text{v.cropFinding(), page.Say("No harvest is set; [[harvest]] of survey.toml compares one with the crop.")}}
	}
	if v.most >= 0 {
		s.Limitations = append(s.Limitations, page.LimitsOf(v.harvest, v.most)...)
		s.Finding, s.Table, s.Figure = v.harvestFinding(), v.harvestTable(), v.harvestFigure(u)
		s.Text = append(s.Text, v.turned(), v.probabilities(), v.cropFinding())
		s.Card = &page.Card{Title: v.harvestTitle(), Text: []page.Text{v.cropFinding()}, Figure: v.summaryFigure(u)}
		s.Lines = append(s.Lines, page.Line{Label: "harvest", Text: v.harvestLine()})
	}
	if v.all >= 0 {
		s.Text = append(s.Text, v.massSentence())
	}
	return []page.Section{s}
}

// view is an answer with its tables and the rows that the report speaks of.
type view struct {
	Answer
	crop, mass, harvest result.Table
	method              string // that the report speaks of
	all                 int    // row of the crop of the area that the method sampled; -1 for none
	most                int    // row of the harvest that takes the largest share; -1 for none
}

func (a Answer) view() view {
	v := view{Answer: a, crop: cropTable.Of(a.rows), mass: massTable.Of(a.masses), harvest: harvestTable.Of(a.harvests), all: -1, most: -1}
	for i, r := range a.rows {
		whole := r.Ground == result.All && fieldwork.OverStrata(r.Stratum) && r.Years == result.All
		if whole && r.Bodies.Value.Known && (v.all < 0 || r.AreaHa.Value > a.rows[v.all].AreaHa.Value) {
			v.all, v.method = i, r.Method
		}
	}
	for i, r := range a.harvests {
		if r.Method == v.method && r.Share.Value.Known && (v.most < 0 || r.Share.Value.Value > a.harvests[v.most].Share.Value.Value) {
			v.most = i
		}
	}
	return v
}

// standing says what a crop stands on.
var standing = map[string]string{
	survey.Counted:  "as counted",
	survey.Detected: "corrected for imperfect detection",
	survey.Whole:    "over the whole season",
}

// cropFinding gives the crop with what it is of.
func (v view) cropFinding() page.Text {
	bodies, kg := v.crop.Cell(v.all, "fruit_bodies"), v.crop.Cell(v.all, "mass_kg")
	of := page.Say("Estimated crop of the %v sampled by %v, %v", v.crop.Cell(v.all, "land_ha"), page.Methods(v.method), standing[v.rows[v.all].Basis])
	if !kg.Known() {
		return page.Say("%v: %v (%v); nothing was weighed.", of, bodies, page.Interval(bodies))
	}
	return page.Say("%v: %v of fresh mass (%v). In number: %v (%v).", of, kg, page.Interval(kg), bodies, page.Limits(bodies))
}

func (v view) cropLine() page.Text {
	c := v.crop.Cell(v.all, "mass_kg")
	if !c.Known() {
		c = v.crop.Cell(v.all, "fruit_bodies")
		return page.Say("%v (%v)", c, page.Limits(c))
	}
	return page.Say("%v fresh (%v)", c, page.Limits(c))
}

// massSentence says what the mass rests on.
func (v view) massSentence() page.Text {
	if len(v.masses) == 0 || v.masses[0].Weighed.Value == 0 {
		return page.Text{}
	}
	g := v.mass.Cell(0, "g_per_fruit_body")
	return page.Say("Mean fresh mass of a fruit body: %v (%v), from %v of %v weighed.", g, page.Interval(g),
		page.Bare(v.mass.Cell(0, "weighed")), v.mass.Cell(0, "finds"))
}

// ground says where all of a harvest is taken.
func ground(r HarvestRow) string {
	if r.Ground == result.All {
		return "taken anywhere"
	}
	return "all taken on " + r.Ground + " ground"
}

func (v view) harvestTitle() page.Text {
	r := v.harvests[v.most]
	share := v.harvest.Cell(v.most, "share_percent")
	if r.Ground == result.All {
		return page.Say("A harvest would take up to %v of the crop", share)
	}
	return page.Say("A harvest would take up to %v of the crop of %v ground", share, r.Ground)
}

func (v view) harvestFinding() page.Text {
	r, share := v.harvests[v.most], v.harvest.Cell(v.most, "share_percent")
	return page.Say("Largest share that a harvest would take: %v of the crop (%v), by %v, %v.", share, page.Interval(share), page.Name(r.Scenario), ground(r))
}

func (v view) harvestLine() page.Text {
	r, share := v.harvests[v.most], v.harvest.Cell(v.most, "share_percent")
	return page.Say("%v, %v: %v of the crop (%v)", page.Name(r.Scenario), r.Ground, share, page.Limits(share))
}

// probabilities say how likely each scenario exceeds the share that was asked
// for, of the crop of all ground and of the ground where that is likeliest.
func (v view) probabilities() page.Text {
	var parts []page.Text
	for i, r := range v.harvests {
		if r.Method == v.method && r.Ground == result.All && r.Exceeds.Known {
			parts = append(parts, page.Say("%v for %v", page.Probability(v.harvest.Cell(i, "chance_over")), page.Name(r.Scenario)))
		}
	}
	if len(parts) == 0 {
		return page.Text{}
	}
	return page.Say("Probability of exceeding the share set for each scenario, taken anywhere: %v. It allows for the uncertainty of the crop. "+
		"How many people come, and how much of their limit they fill, is assumed known.", page.And(parts))
}

// turned says how many people keep the share set with the chance wanted, by scenario,
// taken anywhere and on unburned ground alone.
func (v view) turned() page.Text {
	var parts []page.Text
	chance := -1
	for i, r := range v.harvests {
		if r.Method != v.method || !r.MostPeople.Known || r.Ground == result.Burned {
			continue
		}
		if chance < 0 {
			chance = i
		}
		parts = append(parts, page.Say("For %v, %v: %v.", page.Name(r.Scenario), ground(r), page.Bare(v.harvest.Cell(i, "most_people"))))
	}
	if chance < 0 {
		return page.Text{}
	}
	return page.Say("Most people with which the share set is kept, with the probability wanted (%v). %v",
		page.Probability(v.harvest.Cell(chance, "chance_wanted")), page.Join(parts, " "))
}

// shown are the harvest rows of the report's method.
func (v view) shown() []int {
	var rows []int
	for i, r := range v.harvests {
		if r.Method == v.method {
			rows = append(rows, i)
		}
	}
	return rows
}

func (v view) harvestTable() *page.Table {
	return &page.Table{
		Caption: page.Say("Share of the crop that a harvest would take"),
		Of:      v.harvest, Head: "Scenario and ground",
		Label: func(row int) page.Text {
			return page.Say("%v, %v", page.Name(v.harvests[row].Scenario), ground(v.harvests[row]))
		},
		Columns: []page.Column{
			{Head: "Taken", Name: "taken", Show: v.taken},
			{Head: "Share of the crop", Name: "share_percent"},
			{Head: "Share set", Name: "asked_percent"},
			{Head: "Probability of exceeding it", Name: "chance_over", Show: page.Probability},
			{Head: "Most people", Name: "most_people"},
		},
		Rows: v.shown(),
		Strong: func(row int) bool {
			return v.harvests[row].Ground == result.All && v.harvests[row].Stratum == result.All
		},
		Below: []page.Text{page.Say("No figure here is a permission: permits, bag limits and land ownership are for the local authority to say.")},
	}
}

// taken is what people take, in the unit of the row.
func (v view) taken(c result.Cell) page.Text {
	c.Unit = v.harvests[c.Row].Unit
	return page.Say("%v", c)
}

// cropTable has the crop of the area and of each stratum by the report's method.
func (v view) cropTable() *page.Table {
	t := &page.Table{
		Caption: page.Say("Crop by stratum, by %v", page.Methods(v.method)), Of: v.crop, Head: "Stratum",
		Label: func(row int) page.Text { return place(v.rows[row]) },
		Columns: []page.Column{
			{Head: "Area", Name: "land_ha"}, {Head: "Fruit bodies", Name: "fruit_bodies"},
			{Head: "Fresh mass", Name: "mass_kg"}, {Head: "Fresh mass", Name: "kg_per_ha"},
		},
		Strong: v.strong,
	}
	for i, r := range v.rows {
		if r.Method == v.method && r.Years == result.All && r.Bodies.Value.Known {
			t.Rows = append(t.Rows, i)
		}
	}
	return t
}

// strong reports whether a row of the crop is of the survey area. What a method
// reached of it is no total.
func (v view) strong(row int) bool {
	return v.rows[row].Ground == result.All && v.rows[row].Stratum == result.All
}

// place names the part of the survey area that a row is of.
func place(r Row) page.Text {
	switch {
	case !fieldwork.OverStrata(r.Stratum):
		return page.Name(r.Stratum)
	case r.Ground == result.All && r.Stratum == result.All:
		return page.Say("survey area")
	case r.Ground == result.All:
		return page.Say("strata sampled")
	case r.Stratum == result.Reached:
		return page.Say("%v", r.Ground+" strata sampled")
	}
	return page.Say("%v", "all "+r.Ground+" ground")
}

// people says who harvests how much.
func (v view) people(row int) page.Text {
	r := v.harvests[row]
	limit := v.harvest.Cell(row, "limit")
	text := page.Say("%v people, %v days, %v %v a day", page.Bare(v.harvest.Cell(row, "people")), page.Bare(v.harvest.Cell(row, "days")),
		page.Bare(limit), unitName(r.LimitUnit))
	if r.Filled.Value < 100 {
		text = page.Say("%v, %v filled", text, v.harvest.Cell(row, "filled_percent"))
	}
	return text
}

func unitName(unit string) string {
	switch unit {
	case survey.Gallons:
		return "US gallon"
	case survey.Pints:
		return "US pint"
	case survey.Bushels:
		return "US bushel"
	}
	return unit
}
