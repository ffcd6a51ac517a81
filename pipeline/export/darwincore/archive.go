// Package darwincore writes a survey as a Darwin Core archive: events with their
// effort, what was found and what was absent, and what was measured.
//
// The core has an event for each visited unit and, below it, one for each visit.
// Its extensions are occurrences, the Humboldt extension for ecological
// inventories (effort and scope of each visit), and extended measurements or facts.
// The form is that of the Darwin Core text guide (TDWG,
// http://rs.tdwg.org/dwc/text/), the metadata are EML 2.2.0.
package darwincore

import (
	"archive/zip"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"

	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
)

// fileName is the archive's name.
const fileName = "darwin-core-archive.zip"

// Write makes the archive.
//
// A reduced table of finds has no find to write: each row stands for several.
func Write(ctx context.Context, r export.Results, files export.Files) (export.Outcome, error) {
	if name := export.Archive + "/" + survey.Finds.Name; slices.Contains(r.Tables(), name) {
		s, err := r.Schema(name)
		if err != nil {
			return export.Outcome{}, err
		}
		if s.Has(survey.ReducedRows) {
			return export.Outcome{}, errors.New("its finds were reduced, and a row stands for several; export the results of the finds that they were made from")
		}
	}
	s, err := export.ReadSurvey(ctx, r)
	if err != nil {
		return export.Outcome{}, err
	}
	a := &archive{ctx: ctx, results: r, survey: s}
	if err := files.Write(fileName, a.write); err != nil {
		return export.Outcome{}, err
	}
	return export.Outcome{Counts: a.counts, Notes: a.notes()}, nil
}

type archive struct {
	ctx     context.Context
	results export.Results
	survey  *export.Survey
	counts  []export.Count
}

// namespaces of the terms.
const (
	dwc  = "http://rs.tdwg.org/dwc/terms/"
	dc   = "http://purl.org/dc/terms/"
	eco  = "http://rs.tdwg.org/eco/terms/"
	obis = "http://rs.iobis.org/obis/terms/"
)

// term is a column: the term's URI and its value in a record.
type term[R any] struct {
	uri string
	of  func(*R) string
}

// part is a file of the archive but for its rows. The first term is the identifier
// of the event.
type part struct {
	file, rowType string
	terms         []string
	write         func(io.Writer) error
}

// partOf returns the file of records that each hands to put.
func partOf[R any](a *archive, file, rowType string, terms []term[R], each func(put func(*R) error) error) part {
	p := part{file: file, rowType: rowType}
	for _, t := range terms {
		p.terms = append(p.terms, t.uri)
	}
	p.write = func(w io.Writer) error {
		out := csv.NewWriter(w)
		if err := out.Write(headers(p.terms)); err != nil {
			return err
		}
		cells := make([]string, len(terms))
		err := each(func(record *R) error {
			for i, t := range terms {
				cells[i] = t.of(record)
			}
			return errors.Join(out.Write(cells), a.ctx.Err())
		})
		out.Flush()
		return errors.Join(err, out.Error())
	}
	return p
}

// headers are the local names of terms.
func headers(terms []string) []string {
	names := make([]string, len(terms))
	for i, uri := range terms {
		names[i] = localName(uri)
	}
	return names
}

// parts are the files of the archive, the core first.
func (a *archive) parts() []part {
	return []part{a.events(), a.occurrences(), a.inventories(), a.measurements()}
}

// write writes the archive. Its files have no times, so that the same survey gives
// the same bytes.
func (a *archive) write(out io.Writer) error {
	z := zip.NewWriter(out)
	parts := a.parts()
	files := []struct {
		name  string
		write func(io.Writer) error
	}{{"eml.xml", a.eml}, {"meta.xml", func(w io.Writer) error { return meta(w, parts) }}}
	for _, p := range parts {
		files = append(files, struct {
			name  string
			write func(io.Writer) error
		}{p.file, p.write})
	}
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if err := f.write(w); err != nil {
			return fmt.Errorf("%s: %w", f.name, err)
		}
	}
	return z.Close()
}

// count adds to a count of the outcome.
func (a *archive) count(name string) {
	i := slices.IndexFunc(a.counts, func(c export.Count) bool { return c.Name == name })
	if i < 0 {
		a.counts = append(a.counts, export.Count{Name: name})
		i = len(a.counts) - 1
	}
	a.counts[i].N++
}

// notes says what the archive does not hold.
func (a *archive) notes() []string {
	notes := []string{"Weather, seasons before this one, rows set aside and the crew's own columns are left out: a data package has them."}
	if n := len(a.survey.Units) - len(a.survey.Visited()); n > 0 {
		notes = append(notes, fmt.Sprintf("Units without a visit are no events, and are left out: %d.", n))
	}
	if names := a.unnamed(); len(names) > 0 {
		notes = append(notes, fmt.Sprintf("Taxa without a scientific name in [dataset.taxa] have the crew's name alone, as verbatimIdentification: %s.", list(names)))
	}
	if a.survey.On() {
		notes = append(notes, a.survey.Summary())
	}
	return notes
}
