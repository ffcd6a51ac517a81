package folders

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// key is what an estimate tells the finds of a survey apart by.
type key struct {
	unit      string
	date      column.Date
	pass      int64
	taxon     string
	count     int64
	mode      string
	tree      string
	treeM     column.Float // in whole centimetres
	alive     column.Bool
	lineM     column.Float // along lines
	seenBy    string
	hollow    string
	cover     column.Float // along lines
	isWeighed bool
}

// alike are the finds of one key.
type alike struct{ rows, micrograms int64 }

// reduction sums finds that are alike. What it holds grows with the rows that it
// makes, not with the finds.
type reduction struct {
	lines map[string]bool // transects that finds have distances from
	rows  map[key]*alike
	finds int64
}

func newReduction() *reduction { return &reduction{lines: map[string]bool{}, rows: map[key]*alike{}} }

// transects notes which of them are lines.
func (r *reduction) transects(b table.Batch) {
	ids, kinds := b.Texts("transect"), b.Texts("kind")
	for i := range b.Rows() {
		if kinds.At(i) == survey.Line {
			r.lines[strings.Clone(ids.At(i))] = true
		}
	}
}

// take adds finds, which may have been reduced before.
func (r *reduction) take(b table.Batch) error {
	return table.Scan(export.FindsOf(b), b, func(_ int, f *survey.Find) error {
		rows := f.Rows.Or(1)
		r.finds += rows
		k := r.keyOf(f)
		all := r.rows[k]
		if all == nil {
			all = &alike{}
			r.rows[k.kept()] = all
		}
		all.rows += rows
		all.micrograms += survey.Micrograms(f.MassG)
		return nil
	})
}

func (r *reduction) keyOf(f *survey.Find) key {
	k := key{
		unit: f.Unit, date: f.Date, pass: f.Pass.Or(1), taxon: f.Taxon, count: f.Count.Or(1), mode: f.Mode,
		tree: f.Tree, alive: f.TreeAlive, seenBy: f.SeenBy, hollow: f.Hollow, isWeighed: f.MassG.Known,
	}
	if f.TreeDistanceM.Known {
		k.treeM = column.Finite(float64(survey.Centimetres(f.TreeDistanceM.Value)) / survey.CentimetresPerMetre)
	}
	if r.lines[f.Unit] {
		k.lineM, k.cover = f.DistanceM, f.GroundCoverPercent
	}
	return k
}

// kept returns the key with texts that outlast their batch.
func (k key) kept() key {
	for _, text := range []*string{&k.unit, &k.taxon, &k.mode, &k.tree, &k.seenBy, &k.hollow} {
		*text = strings.Clone(*text)
	}
	return k
}

// compare orders the rows by their columns; what is not known comes first.
func (k key) compare(o key) int {
	return cmp.Or(strings.Compare(k.unit, o.unit), k.date.Compare(o.date), cmp.Compare(k.pass, o.pass),
		strings.Compare(k.taxon, o.taxon), cmp.Compare(k.count, o.count), strings.Compare(k.mode, o.mode), strings.Compare(k.tree, o.tree),
		k.treeM.Compare(o.treeM), k.alive.Compare(o.alive), k.lineM.Compare(o.lineM),
		strings.Compare(k.seenBy, o.seenBy), strings.Compare(k.hollow, o.hollow), k.cover.Compare(o.cover),
		column.CompareTruths(k.isWeighed, o.isWeighed))
}

// each hands on the rows in order.
func (r *reduction) each(take func(*survey.Find)) {
	keys := make([]key, 0, len(r.rows))
	for k := range r.rows {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, key.compare)
	for i, k := range keys {
		all := r.rows[k]
		f := survey.Find{
			Row:  survey.Row{Place: survey.Place{File: finds + ending, Line: int64(i + 1)}},
			Unit: k.unit, Date: k.date, Pass: column.Count(int(k.pass)), Taxon: k.taxon, Count: column.Count(int(k.count)), Mode: k.mode,
			Tree: k.tree, TreeDistanceM: k.treeM, TreeAlive: k.alive, DistanceM: k.lineM, SeenBy: k.seenBy, Hollow: k.hollow,
			GroundCoverPercent: k.cover, Rows: column.Count(int(all.rows)),
		}
		if k.isWeighed {
			f.MassG = column.Finite(float64(all.micrograms) / survey.MicrogramsPerGram)
		}
		take(&f)
	}
}

const (
	finds  = "finds"
	ending = ".parquet"
)

// WriteReduced writes the survey as a folder of Parquet that [pipeline.Run] takes, its
// finds reduced as [survey.ReducedFinds] says. It gives the same result tables.
func WriteReduced(ctx context.Context, from export.Results, to export.Files, settings TOML) (export.Outcome, error) {
	w, err := newWriter(ctx, from, to)
	if err != nil {
		return export.Outcome{}, err
	}
	if err := w.settings(settingsName, settings); err != nil {
		return export.Outcome{}, err
	}
	r := newReduction()
	for _, d := range survey.Tables() {
		if !w.has(d.Name) {
			continue
		}
		var err error
		switch d.Name {
		case survey.Finds.Name:
			if err = w.each(d.Name, r.take); err == nil {
				err = w.finds(r)
			}
		case survey.Transects.Name:
			if err = w.each(d.Name, func(b table.Batch) error { r.transects(b); return nil }); err == nil {
				err = w.copy(d.Name, d.Name+ending)
			}
		default:
			err = w.copy(d.Name, d.Name+ending)
		}
		if err != nil {
			return export.Outcome{}, err
		}
	}
	return export.Outcome{
		Counts: []export.Count{{Name: "finds", N: r.finds}, {Name: "rows that stand for them", N: int64(len(r.rows))}},
		Notes:  w.notes(),
	}, nil
}

// finds writes the reduced table.
func (w *writer) finds(r *reduction) error {
	build := table.NewBuilder(survey.ReducedFinds, table.Options[survey.Find]{
		Source: func(f *survey.Find) (string, int64) { return f.File, f.Line },
	})
	return w.parquet(finds+ending, build.Schema(), func(put func(table.Batch) error) (err error) {
		flush := func() {
			b := build.Flush()
			defer b.Release()
			if err == nil {
				err = put(b)
			}
		}
		r.each(func(f *survey.Find) {
			if build.Append(f); build.Full() {
				flush()
			}
		})
		flush()
		return err
	})
}
