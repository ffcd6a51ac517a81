package folders

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Region returns the name of the region that a survey is written under: its title in
// small letters and figures, with - between words.
func Region(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	name := strings.Join(words, "-")
	if len(name) > longestRegion {
		name = strings.TrimRight(name[:longestRegion], "-")
	}
	return name
}

// longestRegion is the bytes of a region's name: it stands before each unit's.
const longestRegion = 60

// dated are the tables whose rows have a day of field work, and so a season: a calendar year.
var dated = []string{survey.Visits.Name, survey.Finds.Name}

// WritePartitioned writes the archive as Parquet in a folder for each season and
// region,
//
//	season=2031/region=NAME/finds-0.parquet
//
// each a survey folder of its own. What has no day, as strata and units, stands in
// every season; [pipeline.Run] reads it once.
func WritePartitioned(ctx context.Context, from export.Results, to export.Files, settings TOML) (export.Outcome, error) {
	region := Region(from.Settings().Title)
	if region == "" {
		return export.Outcome{}, errors.New("its title has neither a letter from a to z nor a figure that a folder could be named after; change " +
			"title in survey.toml and run the survey again")
	}
	w, err := newWriter(ctx, from, to)
	if err != nil {
		return export.Outcome{}, err
	}
	seasons, err := w.seasons()
	if err != nil {
		return export.Outcome{}, err
	}
	outcome := export.Outcome{Notes: w.notes()}
	if err := w.settings(settingsName, settings); err != nil {
		return outcome, err
	}
	for _, year := range seasons {
		place := fmt.Sprintf("season=%d/region=%s/", year, region)
		if err := w.settings(place+settingsName, settings); err != nil {
			return outcome, err
		}
		rows, err := w.season(year, place)
		if err != nil {
			return outcome, err
		}
		outcome.Counts = append(outcome.Counts, export.Count{Name: "rows of season " + strconv.Itoa(year), N: rows})
	}
	return outcome, nil
}

// seasons lists the years that were visited.
func (w *writer) seasons() ([]int, error) {
	years := map[int]bool{}
	err := w.each(survey.Visits.Name, func(b table.Batch) error {
		dates := b.Dates("date")
		for i := range b.Rows() {
			years[dates.At(i).Year()] = true
		}
		return nil
	})
	return slices.Sorted(maps.Keys(years)), err
}

// season writes what belongs to a year, and counts its rows.
func (w *writer) season(year int, place string) (rows int64, err error) {
	for _, d := range survey.Tables() {
		if !w.has(d.Name) {
			continue
		}
		schema, err := w.from.Schema(export.Archive + "/" + d.Name)
		if err != nil {
			return rows, err
		}
		err = w.parquet(place+d.Name+"-0"+ending, schema, func(put func(table.Batch) error) error {
			return w.each(d.Name, func(b table.Batch) error {
				if !slices.Contains(dated, d.Name) {
					rows += int64(b.Rows())
					return put(b)
				}
				dates := b.Dates("date")
				part, err := b.Where(func(row int) bool { return dates.At(row).Year() == year })
				if err != nil {
					return err
				}
				defer part.Release()
				rows += int64(part.Rows())
				return put(part)
			})
		})
		if err != nil {
			return rows, err
		}
	}
	return rows, nil
}
