package effort

import (
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/position"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// where is the section of the chapter on the ground: in how many units anything was
// found, the map, and how much of the positions is told.
func (v view) where(u page.Units) page.Section {
	s := page.Section{Chapter: page.Where, Question: "Map of units"}
	told := v.told()
	if len(v.located()) == 0 && told.Empty() {
		return s
	}
	s.Finding, s.Map = v.frequency(), v.unitMap(u)
	switch { // of a section that does not lead it the chapter has the finding and the map alone
	case told.Empty():
	case s.Map != nil:
		s.Map.Caption = page.Join([]page.Text{s.Map.Caption, told}, " ")
	default:
		s.Finding = page.Join([]page.Text{s.Finding, told}, " ")
	}
	return s
}

// frequency is in how many of the units something was found.
func (v view) frequency() page.Text {
	units, found := result.Sum(v.effort, v.rowsOf(""), "units"), result.Sum(v.effort, v.rowsOf(""), "units_with_finds")
	many := "units"
	if slices.ContainsFunc(v.methods(), v.seasons) {
		many = "unit-seasons"
	}
	return page.Say("Fruit bodies were found in %v of %v %v searched.", found, page.Bare(units), many)
}

// located are the rows of the units whose position is told.
func (v view) located() []int {
	var rows []int
	for i, r := range v.places {
		if r.Latitude.Known && r.Longitude.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

// told says which positions are generalized or withheld; nothing where all are exact.
func (v view) told() page.Text {
	some := map[string]int{}
	for _, r := range v.places {
		some[r.Positions]++
	}
	which := func(n int) page.Text {
		if n == len(v.places) {
			return page.Say("Positions of units")
		}
		return page.Say("Positions of some units")
	}
	var texts []page.Text
	if n := some[position.Generalized.String()]; n > 0 {
		texts = append(texts, page.Say("%v are generalized to the centre of a grid cell with sides of %v.", which(n),
			page.Setting("dataset.blur_m", v.rules.cellM, "m")))
	}
	if n := some[position.Withheld.String()]; n > 0 {
		texts = append(texts, page.Say("%v are withheld.", which(n)))
	}
	if len(texts) > 0 {
		texts = append(texts, page.Say("Elevation and aspect of these are in no table of results; the archive keeps what was recorded."))
	}
	return page.Join(texts, " ")
}

// unitMap draws the units whose position is told: nil where there is none.
func (v view) unitMap(u page.Units) *page.Figure {
	rows := v.located()
	if len(rows) == 0 {
		return nil
	}
	caption := page.Say("Hollow: none found. Dashed: around the units of a stratum; not its boundary.")
	if slices.ContainsFunc(rows, func(i int) bool { return v.places[i].PerHa.Value > 0 }) {
		caption = page.Say("%v Area of a symbol: fruit bodies counted %v.", caption, per(u))
	}
	if v.sharePosition(rows) {
		caption = page.Say("%v Units at one position have one symbol.", caption)
	}
	return &page.Figure{
		Name: "map-of-units", Title: page.Say("Units searched"), Caption: caption, Alt: v.frequency(),
		Form: func(about plots.About) page.Form { return v.mapForm(about, rows, u) },
	}
}

// per is the unit of the sizes of symbols.
func per(u page.Units) string {
	name, _ := u.Shown("1/ha", 1)
	return name + " searched"
}

// spot is where units of one method have their symbol.
type spot struct {
	method              string
	latitude, longitude float64
}

func (v view) spotOf(row int) spot {
	r := v.places[row]
	return spot{r.Method, r.Latitude.Value, r.Longitude.Value}
}

// sharePosition reports whether a symbol stands for several units.
func (v view) sharePosition(rows []int) bool {
	seen := map[spot]bool{}
	for _, i := range rows {
		seen[v.spotOf(i)] = true
	}
	return len(seen) < len(rows)
}

// mapForm has a symbol for each method and position, its area the fruit bodies counted
// by the area searched; of lines, which have no area, of one size.
func (v view) mapForm(about plots.About, rows []int, u page.Units) plots.Map {
	_, size := u.Shown("1/ha", 1)
	form := plots.Map{About: about, Sizes: "fruit bodies " + per(u), Feet: u.Feet(), NoneLabel: "none found", SpareLabel: "none found"}
	local := geodesy.NewLocal(v.middle(rows))
	type sum struct{ finds, areaHa float64 }
	sums := map[spot]*sum{}
	var spots []spot
	for _, i := range rows {
		at, r := v.spotOf(i), v.places[i]
		if sums[at] == nil {
			sums[at] = &sum{}
			spots = append(spots, at)
		}
		sums[at].finds += float64(r.Finds.Value)
		sums[at].areaHa += float64(r.AreaHa.Value * float64(r.Seasons.Value))
		if line, ok := v.line(r, local); ok {
			form.Lines = append(form.Lines, line)
		}
	}
	for _, m := range v.methods() {
		if slices.ContainsFunc(spots, func(at spot) bool { return at.method == m }) {
			form.Series = append(form.Series, seriesOf(m))
		}
	}
	for _, at := range spots {
		place := plots.Place{Value: math.NaN(), Spare: sums[at].finds == 0}
		place.X, place.Y = local.Forward(geodesy.Position{Lat: at.latitude, Lon: at.longitude})
		place.Series = slices.IndexFunc(form.Series, func(s plots.Series) bool { return s.Label == noun[at.method] })
		if sums[at].areaHa > 0 {
			place.Value = sums[at].finds / sums[at].areaHa / size
		}
		form.Places = append(form.Places, place)
	}
	form.Outlines = v.strataOf(rows, local)
	return form
}

// seriesOf is how the units of a method are drawn.
func seriesOf(method string) plots.Series {
	of := page.MethodSeries(method)
	if method == result.Added {
		of = page.MethodSeries(result.Adaptive)
	}
	of.Label = noun[method]
	return of
}

// middle is the middle of the positions: the origin of the map. Longitudes are taken
// from that of the first, as a survey may lie across 180 degrees.
func (v view) middle(rows []int) geodesy.Position {
	first := v.places[rows[0]].Longitude.Value
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, i := range rows {
		at := [2]float64{v.places[i].Latitude.Value, math.Remainder(v.places[i].Longitude.Value-first, 360)}
		for k := range at {
			low[k], high[k] = min(low[k], at[k]), max(high[k], at[k])
		}
	}
	return geodesy.Position{Lat: (low[0] + high[0]) / 2, Lon: math.Remainder(first+(low[1]+high[1])/2, 360)}
}

// line is a transect of known bearing, from its position.
func (v view) line(r UnitRow, local geodesy.Local) (plots.Polyline, bool) {
	if !r.BearingDeg.Known || !r.LengthM.Known {
		return plots.Polyline{}, false
	}
	x, y := local.Forward(geodesy.Position{Lat: r.Latitude.Value, Lon: r.Longitude.Value})
	sin, cos := math.Sincos(r.BearingDeg.Value * math.Pi / 180)
	return plots.Polyline{Role: plots.Accent, Points: []plots.XY{{X: x, Y: y}, {X: x + r.LengthM.Value*sin, Y: y + r.LengthM.Value*cos}}}, true
}

// strataOf goes around the units of each stratum.
func (v view) strataOf(rows []int, local geodesy.Local) []plots.Outline {
	var list []plots.Outline
	for _, i := range rows {
		r := v.places[i]
		at := slices.IndexFunc(list, func(o plots.Outline) bool { return o.Label == r.Stratum })
		if at < 0 {
			at = len(list)
			list = append(list, plots.Outline{Label: r.Stratum, Dashed: true})
		}
		x, y := local.Forward(geodesy.Position{Lat: r.Latitude.Value, Lon: r.Longitude.Value})
		list[at].Around = append(list[at].Around, plots.XY{X: x, Y: y})
	}
	return list
}

// foundIn is how many of the unit-seasons have a fruit body.
func foundIn(members []fieldwork.UnitSeason) int {
	n := 0
	for _, e := range members {
		if e.Finds() > 0 {
			n++
		}
	}
	return n
}
