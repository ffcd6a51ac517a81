package analyze

import (
	"cmp"
	"context"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/crop"
)

// kind is what has a mean mass of its own.
type kind struct{ taxon, mode string }

// weighing is the units of a survey as the crop sees them.
type weighing struct {
	season   *Season
	kinds    []kind
	of       []int // kind of each group
	elements []fieldwork.UnitSeason
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
func (s *Season) weigh(elements []fieldwork.UnitSeason) weighing {
	w := weighing{season: s, elements: elements, of: make([]int, len(s.Groups))}
	for _, g := range s.Groups {
		w.kinds = append(w.kinds, kind{g.Taxon, g.Mode})
	}
	slices.SortFunc(w.kinds, compareKinds)
	w.kinds = slices.Compact(w.kinds)
	for i, g := range s.Groups {
		w.of[i], _ = slices.BinarySearchFunc(w.kinds, kind{g.Taxon, g.Mode}, compareKinds)
	}
	w.none = make([]float64, len(w.kinds))
	byVisit := make([][]fieldwork.Tally, len(s.Visits))
	for at := range s.Weights {
		byVisit[at.Visit] = append(byVisit[at.Visit], at)
	}
	sites := map[string]int{}
	for _, e := range elements {
		site := e.Cluster()
		if _, ok := sites[site]; !ok {
			sites[site] = len(sites)
		}
		w.units = append(w.units, w.unit(e, sites[site], byVisit))
		w.home = append(w.home, place{e.Unit.Method, e.Unit.Stratum})
	}
	return w
}

func compareKinds(a, b kind) int {
	return cmp.Or(cmp.Compare(a.taxon, b.taxon), cmp.Compare(a.mode, b.mode))
}

func (w *weighing) unit(e fieldwork.UnitSeason, site int, byVisit [][]fieldwork.Tally) crop.Unit {
	u := crop.Unit{Site: site, AreaHa: e.Unit.AreaHa, Count: w.none, Weighed: w.none, MassG: w.none}
	if e.Unit.Method == LineMethod {
		u.AreaHa = e.Unit.HorizontalM
	}
	if len(e.Counts) == 0 && !slices.ContainsFunc(e.Visits, func(v int) bool { return len(byVisit[v]) > 0 }) {
		return u
	}
	n := len(w.kinds)
	u.Count, u.Weighed, u.MassG = make([]float64, n), make([]float64, n), make([]float64, n)
	for _, c := range e.Counts {
		u.Count[w.of[c.Group]] += float64(c.N)
	}
	micrograms := make([]int64, n)
	for _, v := range e.Visits {
		for _, at := range byVisit[v] {
			one := w.season.Weights[at]
			u.Weighed[w.of[at.Group]] += float64(one.Bodies)
			micrograms[w.of[at.Group]] += one.Micrograms
		}
	}
	for g, sum := range micrograms {
		u.MassG[g] = float64(sum) / fieldwork.MicrogramsPerGram
	}
	return u
}

// part is the units of some frames, each with its land, and all others, which
// weigh alone.
func (w *weighing) part(members []fieldwork.Domain) crop.Part {
	type season struct {
		unit string
		year int
	}
	p := crop.Part{Kinds: len(w.kinds), Strata: make([]crop.Stratum, len(members))}
	in := map[season]int{}
	for h, f := range members {
		p.Strata[h].Stratum, p.Strata[h].LandHa = w.season.CollapsedWith(f), w.season.Strata[f.Stratum].AreaHa
		for _, e := range f.Units {
			in[season{e.Unit.ID, e.Year}] = h
		}
	}
	others := map[place]int{}
	for i, e := range w.elements {
		h, ok := in[season{e.Unit.ID, e.Year}]
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
	densities map[fieldwork.Key]DensityRow
	rows      []CropRow
	figures   []crop.Crop // of the rows
	// atLevel are those of the rows that harvests are compared with, with limits
	// at the level that chances rest on; by row.
	atLevel map[int]crop.Crop
}

// crops estimates the crop by every method: of the land, of burned and
// unburned land apart, by years since fire, and of each stratum.
func (s *Season) crops(ctx context.Context, elements []fieldwork.UnitSeason, lines transects, rows []DensityRow) (*cropper, error) {
	c := &cropper{Season: s, weighing: s.weigh(elements), ctx: ctx, lines: lines, densities: map[fieldwork.Key]DensityRow{}, atLevel: map[int]crop.Crop{}}
	for _, r := range rows {
		c.densities[r.Key] = r
	}
	for _, method := range s.DensityMethods() {
		frames := s.Domains(method, elements)
		if err := c.land(method, frames); err != nil {
			return nil, err
		}
		for at, stratum := range s.Strata {
			here := slices.DeleteFunc(slices.Clone(frames), func(f fieldwork.Domain) bool { return f.Stratum != at })
			if len(here) == 0 {
				c.add(CropRow{Method: method, Ground: groundOf(stratum), Stratum: stratum.Name, Years: All}, nil, c.densities[fieldwork.Pooled(method, stratum.Name)])
			}
			for _, f := range here {
				key := fieldwork.Pooled(method, stratum.Name)
				key.Years = f.Years
				c.add(CropRow{Method: method, Ground: groundOf(stratum), Stratum: stratum.Name, Years: f.Years}, []fieldwork.Domain{f}, c.densities[key])
			}
		}
	}
	return c, nil
}

// groundOf is whether a stratum burned.
func groundOf(s fieldwork.Stratum) string {
	if s.FireYear == 0 {
		return Unburned
	}
	return Burned
}

// land adds the rows of the land as a whole.
func (c *cropper) land(method string, frames []fieldwork.Domain) error {
	row := CropRow{Method: method, Ground: All, Stratum: c.PooledStratum(frames), Years: All}
	pooledYears := slices.DeleteFunc(slices.Clone(frames), func(f fieldwork.Domain) bool { return f.Years != All })
	c.add(row, pooledYears, c.densities[fieldwork.Pooled(method, row.Stratum)])
	if err := c.addAtLevel(method, pooledYears); err != nil {
		return err
	}
	for _, row.Ground = range []string{Burned, Unburned} {
		if !slices.ContainsFunc(c.Strata, func(s fieldwork.Stratum) bool { return groundOf(s) == row.Ground }) {
			continue
		}
		members := slices.DeleteFunc(slices.Clone(pooledYears), func(f fieldwork.Domain) bool { return groundOf(c.Strata[f.Stratum]) != row.Ground })
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
	for _, row.Years = range fieldwork.YearClasses(frames) {
		if row.Years == Unburned { // has its row
			continue
		}
		key := fieldwork.Pooled(method, row.Stratum)
		key.Years = row.Years
		c.add(row, slices.DeleteFunc(slices.Clone(frames), func(f fieldwork.Domain) bool { return f.Years != row.Years }), c.densities[key])
	}
	return nil
}

// unreachedOn are the strata of one ground that have no frame.
func (c *cropper) unreachedOn(ground string, members []fieldwork.Domain) []int {
	return slices.DeleteFunc(c.Unreached(members), func(at int) bool { return groundOf(c.Strata[at]) != ground })
}

// pooledGround is what stands in the column stratum for the strata of one ground.
func (c *cropper) pooledGround(ground string, members []fieldwork.Domain) string {
	if len(members) == 0 || len(c.unreachedOn(ground, members)) == 0 {
		return All
	}
	return Reached
}

// densityOf is the density of the strata of one ground together.
func (c *cropper) densityOf(method, ground string, members []fieldwork.Domain) (DensityRow, error) {
	missed := c.unreachedOn(ground, members)
	var e stats.Estimate
	if method == LineMethod {
		if len(members) > 0 {
			f, err := c.linesIn(c.ctx, c.lines, members, c.lines.kinds(c.Subgroups())[:1]) // the first crossing is all finds
			if err != nil {
				return DensityRow{}, err
			}
			e = f[0].Estimate
		}
	} else {
		estimates := make([]stats.Estimate, len(members))
		for i, f := range members {
			estimates[i] = c.densities[fieldwork.Pooled(method, c.Strata[f.Stratum].Name)].asEstimate(c.Settings.Confidence)
			estimates[i].N = fieldwork.Independent(f)
		}
		e = c.pooledDensity(members, estimates, func(member int) []float64 { return fieldwork.FindsOf(members[member]) })
	}
	if len(members) == 0 {
		e = stats.Missing(c.Settings.Confidence, 0, stats.Warning{Code: "no-units", Text: "no " + fieldwork.UnitNoun(method) + " was searched on " + ground + " land"})
	} else if len(missed) > 0 {
		e.Warnings = append(slices.Clip(e.Warnings), stats.Warning{Code: "land-not-reached",
			Text: "no " + fieldwork.UnitNoun(method) + " was searched in " + fieldwork.NameList(c.StrataNames(missed)) + "; the figure is " + c.OnlyOf(members)})
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
func (c *cropper) add(row CropRow, members []fieldwork.Domain, d DensityRow) {
	p := c.part(members)
	e := d.asEstimate(c.Settings.Confidence)
	p.Density, p.SE, p.Lower, p.Upper, p.Confidence = e.Value, e.SE, e.Lower, e.Upper, c.Settings.Confidence
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
	for _, s := range c.Strata {
		if s.Name == row.Stratum || fieldwork.OverStrata(row.Stratum) && (row.Ground == All || row.Ground == groundOf(s)) {
			reached += s.AreaHa
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
	e := crop.Mass(strata, kinds, c.Settings.Confidence)
	row := MassRow{Taxon: taxon, Mode: mode, Finds: column.Count(int(finds)), Weighed: column.Count(int(weighed)), Grams: figures(e), Sites: column.Count(e.N), Warnings: e.Warnings}
	if weighed > 0 {
		row.MassG = column.Finite(massG)
	}
	return row
}
