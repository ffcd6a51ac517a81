package analyze

import (
	"cmp"
	"context"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/crop"
)

// Burned stands in the column ground for land with a fire; the other is [Unburned].
const Burned = "burned"

// weight is what was weighed of a group on a visit. The mass is in whole
// micrograms, so that its sum does not hang on the order of the rows.
type weight struct{ bodies, micrograms int64 }

const (
	microgramsPerGram = 1e6
	// heaviest bounds a row, so that no sum runs over: no find weighs a thousand tonnes.
	heaviest = 1e9
)

func (s *Season) addWeight(at tally, n int64, mass column.Float) {
	if !mass.Known {
		return
	}
	w := s.weights[at]
	w.bodies += n
	w.micrograms += int64(math.Round(min(mass.Value, heaviest) * microgramsPerGram))
	s.weights[at] = w
}

// kind is what has a mean mass of its own.
type kind struct{ taxon, mode string }

// weighing is the units of a survey as the crop sees them.
type weighing struct {
	season   *Season
	kinds    []kind
	of       []int // kind of each group
	elements []element
	units    []crop.Unit // of the elements
	home     []place     // how and where each was sampled
	none     []float64   // shared by the units without finds, which are most
}

// place is the units that were sampled together.
type place struct {
	method  string
	stratum int
}

// weigh makes the units of the crop. An element weighs on all its visits, and
// counts by the rule of the survey.
func (s *Season) weigh(elements []element) weighing {
	w := weighing{season: s, elements: elements, of: make([]int, len(s.groups))}
	for _, g := range s.groups {
		w.kinds = append(w.kinds, kind{g.taxon, g.mode})
	}
	slices.SortFunc(w.kinds, compareKinds)
	w.kinds = slices.Compact(w.kinds)
	for i, g := range s.groups {
		w.of[i], _ = slices.BinarySearchFunc(w.kinds, kind{g.taxon, g.mode}, compareKinds)
	}
	w.none = make([]float64, len(w.kinds))
	byVisit := make([][]tally, len(s.visits))
	for at := range s.weights {
		byVisit[at.visit] = append(byVisit[at.visit], at)
	}
	sites := map[string]int{}
	for _, e := range elements {
		site := e.site()
		if _, ok := sites[site]; !ok {
			sites[site] = len(sites)
		}
		w.units = append(w.units, w.unit(e, sites[site], byVisit))
		w.home = append(w.home, place{e.unit.method, e.unit.stratum})
	}
	return w
}

func compareKinds(a, b kind) int {
	return cmp.Or(cmp.Compare(a.taxon, b.taxon), cmp.Compare(a.mode, b.mode))
}

func (w *weighing) unit(e element, site int, byVisit [][]tally) crop.Unit {
	u := crop.Unit{Site: site, AreaHa: e.unit.areaHa, Count: w.none, Weighed: w.none, MassG: w.none}
	if e.unit.method == LineMethod {
		u.AreaHa = e.unit.levelM
	}
	if len(e.counts) == 0 && !slices.ContainsFunc(e.visits, func(v int) bool { return len(byVisit[v]) > 0 }) {
		return u
	}
	n := len(w.kinds)
	u.Count, u.Weighed, u.MassG = make([]float64, n), make([]float64, n), make([]float64, n)
	for _, c := range e.counts {
		u.Count[w.of[c.group]] += float64(c.n)
	}
	micrograms := make([]int64, n)
	for _, v := range e.visits {
		for _, at := range byVisit[v] {
			one := w.season.weights[at]
			u.Weighed[w.of[at.group]] += float64(one.bodies)
			micrograms[w.of[at.group]] += one.micrograms
		}
	}
	for g, sum := range micrograms {
		u.MassG[g] = float64(sum) / microgramsPerGram
	}
	return u
}

// part is the units of some frames, each with its land, and all others, which
// weigh alone.
func (w *weighing) part(members []frame) crop.Part {
	type season struct {
		unit string
		year int
	}
	p := crop.Part{Kinds: len(w.kinds), Strata: make([]crop.Stratum, len(members))}
	in := map[season]int{}
	for h, f := range members {
		p.Strata[h].Stratum, p.Strata[h].LandHa = w.season.choice(f), w.season.strata[f.stratum].landHa
		for _, e := range f.elements {
			in[season{e.unit.id, e.year}] = h
		}
	}
	others := map[place]int{}
	for i, e := range w.elements {
		h, ok := in[season{e.unit.id, e.year}]
		if !ok {
			if h, ok = others[w.home[i]]; !ok {
				h = len(p.Strata)
				others[w.home[i]] = h
				p.Strata = append(p.Strata, crop.Stratum{})
			}
		}
		p.Strata[h].Units = append(p.Strata[h].Units, w.units[i])
	}
	return p
}

// cropper makes the rows of the crop.
type cropper struct {
	*Season
	weighing
	ctx       context.Context
	lines     transects
	densities map[Key]DensityRow
	rows      []CropRow
	figures   []crop.Crop // of the rows
	// atLevel are those of the rows that harvests are compared with, with limits
	// at the level that chances rest on; by row.
	atLevel map[int]crop.Crop
}

// crops estimates the crop by every method: of the land, of burned and
// unburned land apart, by years since fire, and of each stratum.
func (s *Season) crops(ctx context.Context, elements []element, lines transects, rows []DensityRow) (*cropper, error) {
	c := &cropper{Season: s, weighing: s.weigh(elements), ctx: ctx, lines: lines, densities: map[Key]DensityRow{}, atLevel: map[int]crop.Crop{}}
	for _, r := range rows {
		c.densities[r.Key] = r
	}
	for _, method := range s.densityMethods() {
		frames := s.frames(method, elements)
		if err := c.land(method, frames); err != nil {
			return nil, err
		}
		for at, stratum := range s.strata {
			here := slices.DeleteFunc(slices.Clone(frames), func(f frame) bool { return f.stratum != at })
			if len(here) == 0 {
				c.add(CropRow{Method: method, Ground: groundOf(stratum), Stratum: stratum.name, Years: All}, nil, c.densities[Pooled(method, stratum.name)])
			}
			for _, f := range here {
				key := Pooled(method, stratum.name)
				key.Years = f.years
				c.add(CropRow{Method: method, Ground: groundOf(stratum), Stratum: stratum.name, Years: f.years}, []frame{f}, c.densities[key])
			}
		}
	}
	return c, nil
}

// groundOf is whether a stratum burned.
func groundOf(s stratum) string {
	if s.fire == 0 {
		return Unburned
	}
	return Burned
}

// land adds the rows of the land as a whole.
func (c *cropper) land(method string, frames []frame) error {
	row := CropRow{Method: method, Ground: All, Stratum: c.pooledStratum(frames), Years: All}
	pooledYears := slices.DeleteFunc(slices.Clone(frames), func(f frame) bool { return f.years != All })
	c.add(row, pooledYears, c.densities[Pooled(method, row.Stratum)])
	if err := c.addAtLevel(method, pooledYears); err != nil {
		return err
	}
	for _, row.Ground = range []string{Burned, Unburned} {
		if !slices.ContainsFunc(c.strata, func(s stratum) bool { return groundOf(s) == row.Ground }) {
			continue
		}
		members := slices.DeleteFunc(slices.Clone(pooledYears), func(f frame) bool { return groundOf(c.strata[f.stratum]) != row.Ground })
		d, err := c.densityOf(method, row.Ground, members)
		if err != nil {
			return err
		}
		here := row
		here.Stratum = c.pooledGround(row.Ground, members)
		c.add(here, members, d)
		if err := c.addAtLevel(method, members); err != nil {
			return err
		}
	}
	row.Ground = All
	for _, row.Years = range yearClasses(frames) {
		if row.Years == Unburned { // has its row
			continue
		}
		key := Pooled(method, row.Stratum)
		key.Years = row.Years
		c.add(row, slices.DeleteFunc(slices.Clone(frames), func(f frame) bool { return f.years != row.Years }), c.densities[key])
	}
	return nil
}

// unreachedOn are the strata of one ground that have no frame.
func (c *cropper) unreachedOn(ground string, members []frame) []int {
	return slices.DeleteFunc(c.unreached(members), func(at int) bool { return groundOf(c.strata[at]) != ground })
}

// pooledGround is what stands in the column stratum for the strata of one ground.
func (c *cropper) pooledGround(ground string, members []frame) string {
	if len(members) == 0 || len(c.unreachedOn(ground, members)) == 0 {
		return All
	}
	return Reached
}

// densityOf is the density of the strata of one ground together.
func (c *cropper) densityOf(method, ground string, members []frame) (DensityRow, error) {
	missed := c.unreachedOn(ground, members)
	var e stats.Estimate
	if method == LineMethod {
		if len(members) > 0 {
			f, err := c.linesIn(c.ctx, c.lines, members, c.lines.kinds(c.crossings())[:1]) // the first crossing is all finds
			if err != nil {
				return DensityRow{}, err
			}
			e = f[0].Estimate
		}
	} else {
		estimates := make([]stats.Estimate, len(members))
		for i, f := range members {
			estimates[i] = c.densities[Pooled(method, c.strata[f.stratum].name)].asEstimate(c.settings.Confidence)
			estimates[i].N = independent(f)
		}
		e = c.pooledDensity(members, estimates, func(member int) []float64 { return findsOf(members[member]) })
	}
	if len(members) == 0 {
		e = stats.Missing(c.settings.Confidence, 0, stats.Warning{Code: "no-units", Text: "no " + noun(method) + " was searched on " + ground + " land"})
	} else if len(missed) > 0 {
		e.Warnings = append(slices.Clip(e.Warnings), stats.Warning{Code: "land-not-reached",
			Text: "no " + noun(method) + " was searched in " + nameList(c.strataNames(missed)) + "; the figure is " + c.onlyOf(members)})
	}
	return DensityRow{Estimate: figures(e), Warnings: e.Warnings}, nil
}

// asEstimate is the row as the statistics know it.
func (r DensityRow) asEstimate(confidence float64) stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{Value: r.Value.Or(nan), SE: r.SE.Or(nan), Warnings: r.Warnings, Interval: stats.Interval{
		Lower: r.Lower.Or(nan), Upper: r.Upper.Or(nan), Confidence: confidence, DF: r.DF.Or(nan), Method: r.Interval}}
}

// add works out the crop of some frames with the density that they have.
func (c *cropper) add(row CropRow, members []frame, d DensityRow) {
	p := c.part(members)
	e := d.asEstimate(c.settings.Confidence)
	p.Density, p.SE, p.Lower, p.Upper, p.Confidence = e.Value, e.SE, e.Lower, e.Upper, c.settings.Confidence
	p.Apart = apart(row.Method)
	figure := crop.Of(p)
	row.Bodies, row.Kg, row.Grams = figures(figure.Bodies), figures(figure.Kg), figures(figure.Grams)
	row.LandHa = column.Finite(c.landOf(row, figure.LandHa))
	row.Weighed, row.Counted = column.Count(int(figure.Weighed)), column.Count(int(figure.Counted))
	row.KgPerHa = perHa(row.Kg, figure.LandHa)
	row.Warnings = slices.Clip(d.Warnings)
	if d.Value.Known {
		row.Warnings = append(row.Warnings, figure.Kg.Warnings...)
	}
	c.rows, c.figures = append(c.rows, row), append(c.figures, figure)
}

// apart tells of a method whose density is not made of the counts that the crop
// sees.
func apart(method string) bool { return method == LineMethod || method == AdaptiveMethod }

// landOf is the land that a row is of, also where it was not reached.
func (c *cropper) landOf(row CropRow, reached float64) float64 {
	if reached > 0 {
		return reached
	}
	for _, s := range c.strata {
		if s.name == row.Stratum || OverStrata(row.Stratum) && (row.Ground == All || row.Ground == groundOf(s)) {
			reached += s.landHa
		}
	}
	return reached
}

func perHa(e Estimate, landHa float64) Estimate {
	for _, f := range []*column.Float{&e.Value, &e.SE, &e.Lower, &e.Upper} {
		if f.Known {
			f.Value /= landHa
		}
	}
	return e
}

// massRows tells what a fruit body weighs: of all kinds, of each taxon, and of
// each mode of it.
func (c *cropper) massRows() []MassRow {
	strata := c.part(nil).Strata
	var rows []MassRow
	add := func(taxon, mode string) {
		var kinds []int
		for g, k := range c.kinds {
			if (taxon == All || k.taxon == taxon) && (mode == All || k.mode == mode) {
				kinds = append(kinds, g)
			}
		}
		rows = append(rows, c.massRow(taxon, mode, strata, kinds))
	}
	if len(c.kinds) == 0 {
		return nil
	}
	add(All, All)
	last := ""
	for _, k := range c.kinds {
		if k.taxon != last {
			last = k.taxon
			add(k.taxon, All)
		}
		add(k.taxon, k.mode)
	}
	return rows
}

func (c *cropper) massRow(taxon, mode string, strata []crop.Stratum, kinds []int) MassRow {
	var finds, weighed, massG float64
	for _, s := range strata {
		for _, u := range s.Units {
			for _, g := range kinds {
				finds, weighed, massG = finds+u.Count[g], weighed+u.Weighed[g], massG+u.MassG[g]
			}
		}
	}
	e := crop.Mass(strata, kinds, c.settings.Confidence)
	row := MassRow{Taxon: taxon, Mode: mode, Finds: column.Count(int(finds)), Weighed: column.Count(int(weighed)), Grams: figures(e), Sites: column.Count(e.N), Warnings: e.Warnings}
	if weighed > 0 {
		row.MassG = column.Finite(massG)
	}
	return row
}
