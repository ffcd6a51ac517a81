// Package folders writes a results folder as survey folders of Parquet, that are
// checked and estimated again as sheets are: reduced to the rows that estimates
// need, or whole and divided by season and region.
package folders

import (
	"context"
	"io"
	"slices"
	"strings"

	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// TOML writes the settings as a survey.toml has them.
type TOML func(survey.Settings) ([]byte, error)

const settingsName = "survey.toml"

// writer writes the archived tables of a results folder.
type writer struct {
	ctx        context.Context
	from       export.Results
	to         export.Files
	protection *export.Protection
}

func newWriter(ctx context.Context, from export.Results, to export.Files) (*writer, error) {
	protection, err := export.NewProtection(ctx, from)
	return &writer{ctx, from, to, protection}, err
}

func (w *writer) has(name string) bool {
	return slices.Contains(w.from.Tables(), export.Archive+"/"+name)
}

// each hands on the rows of a table as they may be exported.
func (w *writer) each(name string, take func(table.Batch) error) error {
	return w.from.Each(w.ctx, export.Archive+"/"+name, func(b table.Batch) error {
		if !w.protection.On() {
			return take(b)
		}
		masked, made := w.protection.Mask(name, b)
		if made {
			defer masked.Release()
		}
		return take(masked)
	})
}

// copy writes a table as it is in the archive.
func (w *writer) copy(name, file string) error {
	schema, err := w.from.Schema(export.Archive + "/" + name)
	if err != nil {
		return err
	}
	return w.parquet(file, schema, func(put func(table.Batch) error) error { return w.each(name, put) })
}

func (w *writer) parquet(file string, s table.Schema, fill func(put func(table.Batch) error) error) error {
	_, err := w.to.Parquet(file, s, io.Discard, fill)
	return err
}

func (w *writer) settings(file string, settings TOML) error {
	text, err := settings(w.from.Settings())
	if err != nil {
		return err
	}
	return w.to.Write(file, func(out io.Writer) error {
		_, err := out.Write(text)
		return err
	})
}

// notes say what the folder lacks, and what it should not be used for.
func (w *writer) notes() []string {
	var notes []string
	has := func(prefix string) bool {
		return slices.ContainsFunc(w.from.Tables(), func(name string) bool { return strings.HasPrefix(name, prefix) })
	}
	if has(export.Archive + "/earlier-") {
		notes = append(notes, "the former seasons that it was compared with are not in it; give them to run again with --earlier")
	}
	if w.has(export.SetAside) {
		notes = append(notes, "the rows that were set aside are not in it")
	}
	if w.protection.On() {
		notes = append(notes, "positions, elevations and aspects of protected units are generalized or left out; estimates by them will be others")
	}
	return notes
}
