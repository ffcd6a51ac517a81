package detect

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Setting is a value of one covariate.
type Setting struct {
	Name  string
	Value float64 // of a measured covariate
	Level string  // of the others
}

func (f *Fit) settingRow(at []Setting) ([]float64, error) {
	row := []float64{1}
	given := map[string]Setting{}
	for _, s := range at {
		given[s.Name] = s
	}
	for _, column := range f.likelihood.columns {
		covariate := f.sample.covariates[column.covariate]
		setting, ok := given[covariate.Name]
		if !ok {
			setting = covariate.typical()
		}
		row = append(row, column.of(setting.Value, setting.Level))
	}
	for _, s := range at {
		if !f.sample.has(s, f.Model.Covariates) {
			return nil, fmt.Errorf("%w: %s has no %s %s at which to draw it", ErrModel, f.Model, s.Name, s.Level)
		}
	}
	return row, nil
}

func (s *Sample) has(at Setting, names []string) bool {
	for _, name := range names {
		for _, c := range s.covariates {
			if c.Name == name && name == at.Name {
				return c.Level == nil && at.Level == "" || slices.Contains(c.Level, at.Level)
			}
		}
	}
	return false
}

// typical is the mean, or the commonest level, the first by name among equals.
func (c Covariate) typical() Setting {
	s := Setting{Name: c.Name}
	if c.Level == nil {
		s.Value, _ = moments(c.Value)
		return s
	}
	count := map[string]int{}
	for _, level := range c.Level {
		count[level]++
	}
	for _, level := range c.levels() {
		if count[level] > count[s.Level] {
			s.Level = level
		}
	}
	return s
}

// Settings lists, for every covariate of the model, the settings at which
// curves tell it best: each level, or the quartiles.
func (f *Fit) Settings() []Setting {
	var list []Setting
	for _, name := range f.Model.Covariates {
		for _, c := range f.sample.covariates {
			if c.Name == name {
				list = append(list, c.settings()...)
			}
		}
	}
	return list
}

// settings are the levels, or the quartiles of a measured covariate.
func (c Covariate) settings() []Setting {
	var list []Setting
	for _, level := range c.levels() {
		list = append(list, Setting{Name: c.Name, Level: level})
	}
	if c.Level == nil {
		sorted := slices.Sorted(slices.Values(c.Value))
		for _, p := range []float64{0.25, 0.5, 0.75} {
			list = append(list, Setting{Name: c.Name, Value: stat.Quantile(p, stat.LinInterp, sorted, nil)})
		}
	}
	return list
}
