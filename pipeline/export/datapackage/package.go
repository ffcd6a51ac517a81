// Package datapackage writes the archive and the result tables of a results folder
// as a data package: the tables as CSV and as Parquet, and datapackage.json, which
// describes each column, by the Data Package standard 2.0
// (https://datapackage.org, as of 2024).
package datapackage

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"hash"
	"io"
	"path"
	"strings"

	"ashtally/pipeline/export"
	"ashtally/pipeline/table"
)

// descriptor is datapackage.json. Its members beside those of the standard are
// citation, what was generalized, and where the package comes from.
type descriptor struct {
	Schema       string        `json:"$schema"`
	Name         string        `json:"name"`
	Title        string        `json:"title"`
	Description  string        `json:"description"`
	ID           string        `json:"id"`
	Licenses     []licence     `json:"licenses"`
	Contributors []contributor `json:"contributors"`
	Citation     string        `json:"citation"`
	Notes        []string      `json:"notes,omitempty"`
	Resources    []resource    `json:"resources"`
}

type licence struct {
	Name  string `json:"name,omitempty"`
	Path  string `json:"path"`
	Title string `json:"title"`
}

type contributor struct {
	Title        string   `json:"title"`
	GivenName    string   `json:"givenName,omitempty"`
	FamilyName   string   `json:"familyName,omitempty"`
	Email        string   `json:"email,omitempty"`
	Organization string   `json:"organization,omitempty"`
	Roles        []string `json:"roles"`
}

// resource is a file of the package.
type resource struct {
	Name        string       `json:"name"`
	Type        string       `json:"type,omitempty"`
	Path        string       `json:"path"`
	Description string       `json:"description"`
	Format      string       `json:"format"`
	MediaType   string       `json:"mediatype"`
	Encoding    string       `json:"encoding,omitempty"`
	Bytes       int64        `json:"bytes"`
	Hash        string       `json:"hash"`
	Rows        int64        `json:"rows"`
	Schema      *tableSchema `json:"schema,omitempty"`
}

// Write makes the data package.
func Write(ctx context.Context, r export.Results, files export.Files) (export.Outcome, error) {
	protection, err := export.NewProtection(ctx, r)
	if err != nil {
		return export.Outcome{}, err
	}
	w := writer{ctx: ctx, results: r, files: files, protection: protection, descriptor: describe(r)}
	var outcome export.Outcome
	for _, name := range r.Tables() {
		if protection.On() && path.Base(name) == export.SetAside {
			w.descriptor.Notes = append(w.descriptor.Notes, "The table of rows set aside is left out: it quotes cells, which may hold coordinates.")
			continue
		}
		if err := w.table(name); err != nil {
			return outcome, err
		}
	}
	if protection.On() {
		w.descriptor.Notes = append(w.descriptor.Notes, protection.Summary(),
			"In the rows of these units, and in those of strata and weather, the crew's own columns are empty.")
	}
	outcome.Counts = []export.Count{{Name: "tables", N: int64(len(w.descriptor.Resources) / 2)}, {Name: "rows", N: w.rows}}
	outcome.Notes = w.descriptor.Notes
	return outcome, files.Write("datapackage.json", w.json)
}

// describe is the descriptor but for its resources.
func describe(r export.Results) descriptor {
	s := r.Settings()
	d := s.Dataset
	l := d.LicenceOf()
	given, family := export.Person(d.Contact)
	return descriptor{
		Schema: "https://datapackage.org/profiles/2.0/datapackage.json",
		Name:   nameOf(export.TitleOf(s)),
		Title:  export.TitleOf(s),
		Description: "A survey of fungi after fire: the crew's sheets (archive) and what was estimated from them (results). Numbers are in the " +
			"units that the columns name. Each table is there as CSV and as Parquet. In the CSV files an apostrophe stands before a text that a " +
			"spreadsheet would run as a formula; the Parquet files have all texts as they were recorded.",
		ID:       "urn:sha256:" + r.Digest(),
		Licenses: []licence{{l.ID, l.URL, l.Title}},
		Contributors: []contributor{{
			Title: d.Contact, GivenName: given, FamilyName: family, Email: d.ContactEmail, Organization: d.Organization, Roles: []string{"contact"},
		}},
		Citation: d.Citation,
	}
}

// nameOf is a title as the name of a package: lower case, digits and hyphens.
func nameOf(title string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if name := strings.Trim(b.String(), "-"); name != "" {
		return name
	}
	return "survey"
}

type writer struct {
	ctx        context.Context
	results    export.Results
	files      export.Files
	protection *export.Protection
	descriptor descriptor
	rows       int64
}

// table writes a table as CSV and as Parquet.
func (w *writer) table(name string) error {
	s, err := w.results.Schema(name)
	if err != nil {
		return err
	}
	csv := resource{
		Name: strings.ReplaceAll(name, "/", "."), Type: "table", Path: name + ".csv", Description: "One row is " + s.About() + ".",
		Format: "csv", MediaType: "text/csv", Encoding: "utf-8", Schema: schemaOf(name, s),
	}
	err = w.measured(&csv, func(out io.Writer) error {
		to := table.NewCSV(out, s)
		return errors.Join(w.each(name, func(b table.Batch) error { csv.Rows += int64(b.Rows()); return to.Write(b) }), to.Flush())
	})
	if err != nil {
		return err
	}
	w.rows += csv.Rows
	parquet := csv
	parquet.Name, parquet.Type, parquet.Path, parquet.Encoding, parquet.Schema = csv.Name+".parquet", "", name+".parquet", "", nil
	parquet.Format, parquet.MediaType = "parquet", "application/vnd.apache.parquet"
	parquet.Description += " The same as " + csv.Name + ", with the descriptions and units of its columns in the footer."
	sum := sha256.New()
	size, err := w.files.Parquet(parquet.Path, s, sum, func(put func(table.Batch) error) error { return w.each(name, put) })
	parquet.Bytes, parquet.Hash = size, hashOf(sum)
	w.descriptor.Resources = append(w.descriptor.Resources, csv, parquet)
	return err
}

// each hands on the batches of a table, with what is protected masked.
func (w *writer) each(name string, take func(table.Batch) error) error {
	return w.results.Each(w.ctx, name, func(b table.Batch) error {
		if !w.protection.On() || !strings.HasPrefix(name, export.Archive+"/") {
			return take(b)
		}
		masked, made := w.protection.Mask(name, b)
		if made {
			defer masked.Release()
		}
		return take(masked)
	})
}

// measured writes a file, and notes its size and digest.
func (w *writer) measured(r *resource, fill func(io.Writer) error) error {
	sum := sha256.New()
	counted := &counter{}
	err := w.files.Write(r.Path, func(out io.Writer) error { return fill(io.MultiWriter(out, sum, counted)) })
	r.Bytes, r.Hash = counted.n, hashOf(sum)
	return err
}

func hashOf(h hash.Hash) string { return "sha256:" + hex.EncodeToString(h.Sum(nil)) }

type counter struct{ n int64 }

func (c *counter) Write(p []byte) (int, error) {
	c.n += int64(len(p))
	return len(p), nil
}

func (w *writer) json(out io.Writer) error {
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(w.descriptor)
}
