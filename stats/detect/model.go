package detect

import (
	"fmt"
	"slices"
	"strings"
)

// Key is the main shape of a detection function. x is the distance, sigma the
// scale, b the shape; every key is 1 on the line.
type Key string

// The keys.
const (
	Uniform    Key = "uniform"     // 1: all is found up to the half-width
	HalfNormal Key = "half-normal" // exp(-x^2 / (2 sigma^2))
	HazardRate Key = "hazard-rate" // 1 - exp(-(x/sigma)^-b), b from 1
)

// Series is a kind of term that bends a key.
type Series string

// The series, with t = x / half-width. A key with a scale takes up the first
// order itself, so its series begin with the second.
const (
	NoSeries   Series = ""
	Cosine     Series = "cosine"     // cos(j pi t)
	Polynomial Series = "polynomial" // t^(2j)
	Hermite    Series = "hermite"    // He_2j(x / sigma), of t where there is no sigma
)

// MaxTerms is the most terms that a series may have. Wiggles of more fit the
// rounding of the distances.
const MaxTerms = 5

// Model names a detection function.
//
//	g(x) = key(x) (1 + sum_j a_j (p_j(x) - p_j(0)))
//
// with one p_j for each of Terms orders of the series. The series is 1 on the
// line by itself, which keeps its coefficients finite whatever the shape. The
// form often printed,
//
//	g(x) = key(x) (1 + sum_j c_j p_j(x)) / (1 + sum_j c_j p_j(0))
//
// is the same curve with c_j = a_j / (1 - sum_k a_k p_k(0)).
type Model struct {
	Key    Key
	Series Series
	Terms  int // of the series, 0 to [MaxTerms]

	// Covariates names what the scale depends on:
	// log sigma = b_0 + sum_k b_k z_k. The uniform key has no scale. A series
	// cannot be added: pooled over their values, covariates bend the curve
	// as the series would, and the data do not tell the two apart.
	Covariates []string

	// FreeShape lets g rise with distance, as long as it is not negative.
	// Without it g falls or stays level from the line to the half-width.
	FreeShape bool
}

// String names the model, for example "half-normal + cosine(2,3)".
func (m Model) String() string {
	name := string(m.Key)
	if m.Terms > 0 {
		var orders []string
		for _, j := range m.orders() {
			orders = append(orders, fmt.Sprint(j))
		}
		name += fmt.Sprintf(" + %s(%s)", m.Series, strings.Join(orders, ","))
	}
	if len(m.Covariates) > 0 {
		name += ", scale ~ " + strings.Join(m.Covariates, " + ")
	}
	if m.FreeShape && m.Terms > 0 {
		name += ", free"
	}
	return name
}

// orders are the j of the terms.
func (m Model) orders() []int {
	first := 2
	if m.Key == Uniform {
		first = 1
	}
	orders := make([]int, m.Terms)
	for i := range orders {
		orders[i] = first + i
	}
	return orders
}

// check returns an error that says what no model can be.
func (m Model) check() error {
	_, known := keys[m.Key]
	_, series := seriesFunctions[m.Series]
	switch {
	case !known:
		return fmt.Errorf("%w: there is no key %q", ErrModel, m.Key)
	case m.Terms < 0 || m.Terms > MaxTerms:
		return fmt.Errorf("%w: %d terms, allowed are 0 to %d", ErrModel, m.Terms, MaxTerms)
	case m.Terms > 0 && !series:
		return fmt.Errorf("%w: there is no series %q", ErrModel, m.Series)
	case len(m.Covariates) > 0 && m.Key == Uniform:
		return fmt.Errorf("%w: the uniform key has no scale that could depend on covariates", ErrModel)
	case len(m.Covariates) > 0 && m.Terms > 0:
		return fmt.Errorf("%w: covariates and a series together", ErrModel)
	}
	return nil
}

// Candidates is the usual set to select from: the uniform key with 0 to 3
// cosines, the half-normal with 0 to 2 cosines or Hermite polynomials, the
// hazard-rate with 0 to 2 polynomials, none with more than terms terms; and the
// half-normal and hazard-rate with every subset of the covariates, in the
// order given.
func Candidates(terms int, covariates ...string) []Model {
	families := []struct {
		key    Key
		series Series
		from   int
		to     int
	}{
		{HalfNormal, Cosine, 0, 2},
		{HalfNormal, Hermite, 1, 2},
		{HazardRate, Polynomial, 0, 2},
		{Uniform, Cosine, 0, 3},
	}
	var models []Model
	for _, f := range families {
		for n := f.from; n <= min(f.to, terms); n++ {
			m := Model{Key: f.key, Terms: n}
			if n > 0 {
				m.Series = f.series
			}
			models = append(models, m)
		}
	}
	for _, set := range subsets(covariates) {
		models = append(models, Model{Key: HalfNormal, Covariates: set}, Model{Key: HazardRate, Covariates: set})
	}
	return models
}

// subsets lists the subsets of names that are not empty, small ones first.
func subsets(names []string) [][]string {
	var all [][]string
	for mask := 1; mask < 1<<len(names); mask++ {
		var set []string
		for i, name := range names {
			if mask&(1<<i) != 0 {
				set = append(set, name)
			}
		}
		all = append(all, set)
	}
	slices.SortStableFunc(all, func(a, b []string) int { return len(a) - len(b) })
	return all
}
