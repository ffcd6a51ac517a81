package ingest

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/slab"
	"ashtally/pipeline/survey"
)

// doubts collects what the questions of a survey are put from: of finds the spread
// of their figures and the farthest of them, of units and visits each cell that is
// compared with those of the others, and puts them once all rows are read. Memory
// does not grow with the finds.
type doubts struct {
	*checks
	spreads    map[spreadKey]*spread
	order      []*spread
	recent     [16]*spread // that were asked for, by a hash
	sizes      map[sizeKey]*sized
	sizeOrder  []*sized
	places     slab.List[placed]
	cells      keptCells
	elevations slab.List[keptCell]
	dateOf     map[uint32]uint32 // the column date, by file
	shares     map[[2]string]*shares
	shareOrder []*shares
	hours      map[observerDay]*dayHours
	hourOrder  []*dayHours
	repeats    plausible.Repeats
	rowSpots   []spot               // of the rows that repeats remembers
	asked      map[survey.Place]int // cells that were asked about while their rows were read
}

func newDoubts(c *checks) *doubts {
	return &doubts{
		checks: c, asked: map[survey.Place]int{}, dateOf: map[uint32]uint32{},
		spreads: map[spreadKey]*spread{}, sizes: map[sizeKey]*sized{},
		shares: map[[2]string]*shares{}, hours: map[observerDay]*dayHours{},
	}
}

// figureCell is a figure as it stands in a file.
type figureCell struct {
	fault survey.Fault // its place and column
	text  string
	from  string  // the ending of its header's unit, or the unit where none is in the header
	to    measure // the unit that it is stored in
	value float64 // in it
	per   float64 // what the value was divided by to compare it: the fruit bodies of a row
}

// figure notes where a figure of the row stands.
func (l *line) figure(name string, v column.Float, per float64) figureCell {
	of := l.doubts.cells.columns[l.keptColumn(name)]
	return figureCell{fault: l.about(name, "", ""), text: strings.Clone(l.text(name)), from: of.from, to: of.to, value: v.Value, per: per}
}

// shown is the cell with its unit: "18.5" m.
func (c figureCell) shown() string { return phrase.Quote(c.text) + c.unit() }

func (c figureCell) unit() string {
	if c.from == "" {
		return ""
	}
	return " " + c.from
}

// inHeader is a stored value in the unit of the cell's header, to three digits.
func (c figureCell) inHeader(v float64) string { return c.number(v) + c.unit() }

func (c figureCell) number(v float64) string {
	if from, ok := measureOf(c.from); ok && c.to.ending != "" {
		v = between(c.to, from).apply(v)
	}
	return phrase.Decimal(toDigits(v, 3))
}

// mistaken are the units that a unit is taken for.
var mistaken = map[string][]string{
	"m": {"ft", "cm"}, "ft": {"m", "in"}, "cm": {"m", "in"}, "in": {"ft", "cm"},
	"m2": {"ft2"}, "ft2": {"m2"}, "ha": {"acre"}, "acre": {"ha"},
	"g": {"kg", "oz"}, "kg": {"g", "lb"}, "oz": {"g", "lb"}, "lb": {"oz", "kg"},
}

// inWordsOf names the units in a sentence.
var inWordsOf = map[string]string{
	"m": "metres", "cm": "centimetres", "ft": "feet", "in": "inches", "m2": "square metres", "ft2": "square feet",
	"ha": "hectares", "acre": "acres", "g": "grams", "kg": "kilograms", "oz": "ounces", "lb": "pounds",
}

// guess says what a cell would be in another unit, or with its point elsewhere,
// where that is within what is usual.
func (c figureCell) guess(usual func(stored float64) bool) string {
	var parts []string
	seen := map[string]bool{}
	add := func(meant float64, slip string) {
		if text := c.inHeader(meant); !seen[text] {
			seen[text] = true
			parts = append(parts, text+slip)
		}
	}
	own, _ := measureOf(c.from)
	for _, ending := range mistaken[c.from] {
		other, _ := measureOf(ending)
		if meant := between(other, own).apply(c.value); usual(meant) {
			add(meant, " if it was written in "+inWordsOf[ending])
		}
	}
	for _, factor := range []float64{0.1, 10, 0.01, 100, 0.001, 1000} {
		if meant := c.value * factor; usual(meant) {
			add(meant, " if its decimal sign is out of place")
			break
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "is it " + phrase.Either(parts) + "?"
}

// rightAsItIs ends the remedy of a question.
const rightAsItIs = "correct it, or accept it in " + acceptedName

// spreadKey is a figure, of a kind of things that are compared with each other.
type spreadKey struct{ kind, name, among string }

// spread is the distribution of a figure.
type spread struct {
	key spreadKey
	plausible.Spread[figureCell]
	low bool // whether small values are asked about too
}

// mostGroups bounds how many groups of a figure are compared within themselves.
const mostGroups = 200

// spreadOf returns the distribution of a figure; nil where there are too many.
func (d *doubts) spreadOf(key spreadKey) *spread {
	hash := len(key.name)
	if key.among != "" {
		hash += 3*len(key.among) + int(key.among[0])
	}
	recent := &d.recent[hash%len(d.recent)]
	if *recent != nil && (*recent).key == key {
		return *recent
	}
	s := d.spreads[key]
	if s == nil && len(d.spreads) < mostGroups {
		key.among = strings.Clone(key.among)
		s = &spread{key: key}
		d.spreads[key] = s
		d.order = append(d.order, s)
	}
	*recent = s
	return s
}

// compare adds a figure of the row, per so many, to its distribution.
func (l *line) compare(key spreadKey, v column.Float, per float64, low bool) {
	s := l.doubts.spreadOf(key)
	if s == nil || !v.Known {
		return
	}
	s.low = low
	s.Add(v.Value / per)
	if s.Tells(v.Value / per) {
		s.Keep(v.Value/per, l.figure(key.name, v, per))
	}
}

// within holds a figure of the row, per so many, to a range of the settings. What
// lies outside is none of the figures that others are compared with.
func (l *line) within(key spreadKey, v column.Float, per float64, r survey.Range) bool {
	kind, name := key.kind, key.name
	value := v.Value / per
	if !v.Known || value >= r.Low && value <= r.High {
		return true
	}
	c := l.figure(name, v, per)
	problem := c.shown()
	if per != 1 {
		problem += " for " + phrase.Decimal(per) + " is " + c.inHeader(value) + " each, and"
	}
	problem += fmt.Sprintf(" is outside of %s to %s, what %s usually is", c.number(r.Low), c.inHeader(r.High), usually[kind])
	s := l.doubts.spreadOf(key)
	l.askLater(kind, name, problem, func() string {
		return join(c.guess(func(meant float64) bool {
			meant /= per
			if kind == survey.OfCount && meant != math.Trunc(meant) {
				return false
			}
			return meant >= r.Low && meant <= r.High && (s == nil || s.N() < plausible.Fewest || s.Within(meant))
		}), rightAsItIs)
	})
	return false
}

// usually names the figures of a kind in a sentence.
var usually = map[string]string{
	survey.OfMass: "the mass of a fruit body", survey.OfCount: "the count of a row", survey.OfSlope: "a slope",
	survey.UnitSize: "the radius of a plot", survey.TreeDistance: "the distance to the nearest tree",
	survey.OfStems: "the basal area of a stem", survey.OfHours: "the time of a search",
	survey.LineDistance: "the distance from the line", survey.OfPercent: "the share",
}

// farFigures asks about the figures far from the others of their kind.
func (d *doubts) farFigures() {
	times := d.folder.Settings.Check.Times
	for _, s := range d.order {
		low, high := s.Far(times)
		for _, t := range high {
			d.far(s, t, "95 %% of %s are at most %s", s.Quantile(0.95))
		}
		if s.low {
			for _, t := range low {
				d.far(s, t, "95 %% of %s are at least %s", s.Quantile(0.05))
			}
		}
	}
}

func (d *doubts) far(s *spread, t plausible.Tail[figureCell], form string, end float64) {
	c := t.Of
	among := "the others"
	if s.key.among != "" {
		among = "those of " + phrase.Quote(s.key.among)
	}
	f := c.fault
	f.Problem = c.shown()
	if c.per != 1 {
		f.Problem += " for " + phrase.Decimal(c.per) + " is " + c.inHeader(t.Value) + " each, and"
	} else {
		f.Problem += " is far from the others:"
	}
	f.Problem += " " + fmt.Sprintf(form, among, c.inHeader(end))
	f.Remedy = join(c.guess(func(meant float64) bool { return s.Within(meant / c.per) }), rightAsItIs)
	d.ask(s.key.kind, c.text, f)
}

// shares are the values of a column of percentages.
type shares struct {
	name  string
	first figureCell // the first that is not 0
	n     int
	most  float64
}

// fewestShares is how many values of a column say that all of them are shares.
const fewestShares = 5

// percentage notes a value of a column of percentages.
func (l *line) percentage(name string, v column.Float) {
	if !v.Known || v.Value == 0 {
		return
	}
	key := [2]string{l.place.File, name}
	s := l.doubts.shares[key]
	if s == nil {
		s = &shares{name: name, first: l.figure(name, v, 1)}
		l.doubts.shares[key] = s
		l.doubts.shareOrder = append(l.doubts.shareOrder, s)
	}
	s.n++
	s.most = math.Max(s.most, v.Value)
}

// onlyShares asks about columns of percentages that hold nothing over 1.
func (d *doubts) onlyShares() {
	for _, s := range d.shareOrder {
		if s.n < fewestShares || s.most > 1 {
			continue
		}
		f := s.first.fault
		f.Problem = fmt.Sprintf("none of the %d figures is over 1, and the column is one of percentages", s.n)
		f.Remedy = "are they shares? multiply them by 100, or accept them in " + acceptedName
		d.ask(survey.OfPercent, s.first.text, f)
	}
}

// questions puts those that need all rows, and hands all on.
func (d *doubts) questions() {
	if d.asker == nil {
		return
	}
	d.nearNames()
	d.farFigures()
	d.onlyShares()
	d.ofUnits()
	d.loneDays()
	d.longDays()
	d.oldFires()
	d.notVisited()
	d.tellQuestions()
}

// nearNames asks about names that are almost another.
func (d *doubts) nearNames() {
	for _, kind := range slices.Sorted(maps.Keys(d.kinds)) {
		d.nearIn(d.kinds[kind])
	}
}

// mostCompared bounds how many names are compared with each other: the time grows
// with their square.
const mostCompared = 3000

func (d *doubts) nearIn(n *names) {
	var list []*name
	var prepared []plausible.Name
	for _, one := range n.order {
		if one.rows > 0 && len(list) < mostCompared {
			list = append(list, one)
			prepared = append(prepared, plausible.NewName(one.text))
		}
	}
	told := map[*name]bool{}
	for i := range list {
		for j := range i {
			if !prepared[i].Alike(prepared[j]) {
				continue
			}
			odd, other := list[i], list[j]
			if odd.setting && !other.setting || odd.setting == other.setting && odd.rows > other.rows {
				odd, other = other, odd
			}
			if told[odd] {
				continue
			}
			told[odd] = true
			f := odd.first
			f.Problem = fmt.Sprintf("%s, in %s, is almost %s, in %d", phrase.Quote(odd.text), rows(odd.rows), phrase.Quote(other.text), other.rows)
			if other.setting {
				f.Problem += " and in " + settingsName
			} else {
				f.Problem += " (" + at(other.first.Place) + ")"
			}
			f.Remedy = "did you mean " + phrase.Quote(other.text) + "? They count as two; write both alike, or accept it in " + acceptedName
			d.ask(survey.NearName, odd.text, f)
		}
	}
}

func rows(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}
