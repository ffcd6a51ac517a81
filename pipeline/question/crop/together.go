package crop

import (
	"context"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats/harvest"
)

// together adds the rows of all methods together: of the strata that any of them
// reached, of those of burned and of unburned ground, and of each stratum.
func (e *estimator) together(ctx context.Context, chain question.Chain) error {
	reached := chain.Strata()
	if len(reached) == 0 {
		return nil
	}
	row := Row{Method: result.All, Ground: result.All, Stratum: result.All, Years: result.All}
	if err := e.end(ctx, chain, row, reached); err != nil {
		return err
	}
	for _, row.Ground = range []string{result.Burned, result.Unburned} {
		on := func(at int) bool { return e.Strata[at].Ground() == row.Ground }
		if !slices.ContainsFunc(fieldwork.Indices(len(e.Strata)), on) {
			continue
		}
		if err := e.end(ctx, chain, row, slices.DeleteFunc(slices.Clone(reached), func(at int) bool { return !on(at) })); err != nil {
			return err
		}
	}
	for at, h := range e.Strata {
		if err := e.stratum(ctx, chain, Row{Method: result.All, Ground: h.Ground(), Stratum: h.Name, Years: result.All}, at); err != nil {
			return err
		}
	}
	return nil
}

// end adds a row over strata, with its limits for harvests.
func (e *estimator) end(ctx context.Context, chain question.Chain, row Row, strata []int) error {
	end, err := chain.Over(ctx, strata, e.Settings.Confidence)
	if err != nil {
		return err
	}
	if missed := e.missedOn(row.Ground, strata); len(missed) > 0 && len(strata) > 0 {
		row.Stratum = result.Reached
		var domains []fieldwork.Domain
		for _, m := range end.Members {
			domains = append(domains, m.Domain)
		}
		end.Density.Warnings = append(slices.Clip(end.Density.Warnings),
			fieldwork.AreaNotReached.With("nothing was searched in %s; the figure is %s", fieldwork.NameList(e.StrataNames(missed)), e.OnlyOf(domains)))
	}
	row.Basis = end.Link
	e.add(row, end.Members, end.Density)
	at := len(e.rows) - 1
	e.setArea(strata)
	switch {
	case len(e.Settings.Harvest) == 0:
		return nil
	case e.Settings.Confidence == harvest.Level:
		e.atLevel[at] = e.crops[at]
		return nil
	}
	level, err := chain.Over(ctx, strata, harvest.Level)
	if err != nil {
		return err
	}
	e.atLevel[at] = e.crop(result.All, level.Members, level.Density, harvest.Level)
	return nil
}

// stratum adds the row of a stratum.
func (e *estimator) stratum(ctx context.Context, chain question.Chain, row Row, at int) error {
	end, err := chain.Over(ctx, []int{at}, e.Settings.Confidence)
	if err != nil {
		return err
	}
	row.Basis = end.Link
	e.add(row, end.Members, end.Density)
	e.setArea([]int{at})
	return nil
}

// setArea gives the row added last the area of its strata, whose parts by method do
// not add up to the last digit.
func (e *estimator) setArea(strata []int) {
	var ha float64
	for _, at := range strata {
		ha += e.Strata[at].AreaHa
	}
	if ha > 0 {
		e.rows[len(e.rows)-1].AreaHa = column.Finite(ha)
	}
}

// missedOn are the strata of a ground, or of all, that are not among those reached.
func (e *estimator) missedOn(ground string, reached []int) []int {
	return slices.DeleteFunc(fieldwork.Indices(len(e.Strata)), func(at int) bool {
		return slices.Contains(reached, at) || ground != result.All && e.Strata[at].Ground() != ground
	})
}

// linesAlone reports whether a density comes from lines, and so not from counts over
// areas.
func linesAlone(members []mass.Member) bool {
	return !slices.ContainsFunc(members, func(m mass.Member) bool { return m.Method != result.Line })
}
