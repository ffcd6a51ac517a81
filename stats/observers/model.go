package observers

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ashtally/stats/mixture"
)

// Model says what the chance to see a find depends on, on the logit scale.
type Model struct {
	ByObserver bool  // a level for each observer; else one for all
	Covariates []int // places in Data.Covariates, ascending
	Apart      bool  // slopes by observer of those covariates that allow it

	// Varying adds a normal random effect of finds, the same for all observers:
	// some finds are easier to see than their covariates tell. Its standard
	// deviation is one more parameter.
	Varying bool
}

// String names the model without its covariates' names.
func (d Data) String(m Model) string {
	parts := []string{"one chance for all"}
	if m.ByObserver {
		parts[0] = "by observer"
	}
	for _, c := range m.Covariates {
		name := d.Covariates[c].Name
		if m.Apart && d.Covariates[c].Apart {
			name += " by observer"
		}
		parts = append(parts, name)
	}
	if m.Varying {
		parts = append(parts, "varying among finds")
	}
	return strings.Join(parts, " + ")
}

// Candidates are the models that the data allow: with and without a level for
// each observer, and with every choice of the covariates that vary; those that are
// Always there are in each.
func (d Data) Candidates() []Model {
	var free, always []int
	for c, covariate := range d.Covariates {
		if !covariate.Always && !d.varies(c) {
			continue
		}
		if covariate.Always {
			always = append(always, c)
		} else {
			free = append(free, c)
		}
	}
	var models []Model
	for chosen := range 1 << len(free) {
		covariates := slices.Clone(always)
		for b, c := range free {
			if chosen>>b&1 == 1 {
				covariates = append(covariates, c)
			}
		}
		slices.Sort(covariates)
		models = append(models, Model{Covariates: covariates}, Model{ByObserver: true, Covariates: covariates})
		if slices.ContainsFunc(covariates, func(c int) bool { return d.Covariates[c].Apart }) {
			models = append(models, Model{ByObserver: true, Covariates: covariates, Apart: true})
		}
	}
	return models
}

// varies reports whether the finds that tell differ in a covariate.
func (d Data) varies(c int) bool {
	first, some := 0.0, false
	for i := range d.Searched {
		if !d.tells(i) {
			continue
		}
		if v := d.Covariates[c].Values[i]; !some {
			first, some = v, true
		} else if v != first {
			return true
		}
	}
	return false
}

// column is one parameter: for which observer it counts, of which covariate,
// and at which level.
type column struct {
	name      string
	observer  int  // -1: all
	covariate int  // -1: none
	level     int  // -1: a number
	random    bool // the random effect, sigma z
}

// design turns a find and an observer into the values that his parameters are
// multiplied by. Numbers are centred and scaled, so that bounds and strides
// mean the same for each.
type design struct {
	data    Data
	columns []column
	paired  []bool
	share   float64 // of each paired observer in the mean of them
	mean    []float64
	sd      []float64
	nodes   []mixture.Node // of the random effect; a single one at 0 where there is none
	varying bool
}

func (d Data) design(m Model) (*design, error) {
	g := &design{data: d, paired: d.paired()}
	who := []int{-1}
	if m.ByObserver {
		who = nil
		for j, yes := range g.paired {
			if yes {
				who = append(who, j)
			}
		}
	}
	for _, yes := range g.paired {
		if yes {
			g.share++
		}
	}
	g.share = 1 / g.share
	for _, j := range who {
		g.columns = append(g.columns, column{name: "level" + g.of(j), observer: j, covariate: -1, level: -1})
	}
	g.mean, g.sd = make([]float64, len(d.Covariates)), make([]float64, len(d.Covariates))
	for _, c := range m.Covariates {
		if c < 0 || c >= len(d.Covariates) {
			return nil, fmt.Errorf("%w: there is no covariate %d", ErrModel, c)
		}
		if err := g.covariate(c, m, who); err != nil {
			return nil, err
		}
	}
	g.nodes, g.varying = []mixture.Node{{Z: 0, Weight: 1}}, m.Varying
	if m.Varying {
		if !d.looks() {
			return nil, fmt.Errorf("%w: no find had %d observers", ErrModel, looksToVary)
		}
		g.nodes = mixture.Normal()
		g.columns = append(g.columns, column{name: "standard deviation among finds", observer: -1, covariate: -1, level: -1, random: true})
	}
	return g, nil
}

func (g *design) of(j int) string {
	if j < 0 {
		return ""
	}
	return " of " + g.data.name(j)
}

func (g *design) covariate(c int, m Model, who []int) error {
	covariate := g.data.Covariates[c]
	if !m.Apart || !covariate.Apart {
		who = []int{-1}
	}
	if covariate.Levels == nil {
		g.scale(c)
		if g.sd[c] == 0 {
			return fmt.Errorf("%w: %s does not vary", ErrModel, covariate.Name)
		}
		for _, j := range who {
			g.columns = append(g.columns, column{name: covariate.Name + g.of(j), observer: j, covariate: c, level: -1})
		}
		return nil
	}
	levels := g.levels(c)
	if len(levels) < 2 {
		return fmt.Errorf("%w: %s does not vary", ErrModel, covariate.Name)
	}
	for _, level := range levels[1:] {
		for _, j := range who {
			g.columns = append(g.columns, column{name: covariate.Name + " " + covariate.Levels[level] + g.of(j), observer: j, covariate: c, level: level})
		}
	}
	return nil
}

// scale finds the mean and spread of a covariate among the finds that tell.
func (g *design) scale(c int) {
	var n, sum, squares float64
	for i := range g.data.Searched {
		if g.data.tells(i) {
			n += g.data.times(i)
			sum += g.data.times(i) * g.data.Covariates[c].Values[i]
		}
	}
	g.mean[c] = sum / n
	for i := range g.data.Searched {
		if g.data.tells(i) {
			off := g.data.Covariates[c].Values[i] - g.mean[c]
			squares += g.data.times(i) * off * off
		}
	}
	g.sd[c] = math.Sqrt(squares / n)
	if g.sd[c] < 1e-9*math.Abs(g.mean[c]) { // rounding alone
		g.sd[c] = 0
	}
}

// levels are those that finds that tell have, ascending. A find of another
// level is taken for one of the first.
func (g *design) levels(c int) []int {
	var have []int
	for i := range g.data.Searched {
		level := int(g.data.Covariates[c].Values[i])
		if g.data.tells(i) && !slices.Contains(have, level) {
			have = append(have, level)
		}
	}
	slices.Sort(have)
	return have
}

// row fills in what each parameter is multiplied by for a find and an observer.
// An observer who was never held against another is the mean of those who were. At
// names a covariate that is set to 0 instead of its value; -1: none.
func (g *design) row(x []float64, i, observer, at int) {
	for k, col := range g.columns {
		x[k] = g.who(col.observer, observer)
		if col.covariate < 0 || x[k] == 0 {
			continue
		}
		v := g.data.Covariates[col.covariate].Values[i]
		if col.covariate == at {
			v = 0
		}
		switch {
		case col.level < 0:
			x[k] *= (v - g.mean[col.covariate]) / g.sd[col.covariate]
		case int(v) != col.level:
			x[k] = 0
		}
	}
}

func (g *design) who(of, observer int) float64 {
	switch {
	case of < 0 || of == observer:
		return 1
	case !g.paired[observer]:
		return g.share
	}
	return 0
}
