// Package export holds what the exports of a results folder share: the folder as
// they read it, the survey's units, visits and counts, which coordinates are
// generalized or withheld, and the files they make. Each format has a package
// of its own below this one.
//
// An export reads the archive and the result tables alone, through [Results], and
// opens no file. The same results folder gives the same bytes.
package export

import (
	"context"
	"io"

	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Results is a results folder as an export reads it.
type Results interface {
	// Settings are those of the run.
	Settings() survey.Settings
	// Digest is the SHA-256 of the run's record, in hexadecimal.
	Digest() string
	// Tables lists the tables by their paths without ending, "archive/finds",
	// "archive/earlier-1/finds" or "results/density", in order.
	Tables() []string
	// Schema returns the schema of a table.
	Schema(name string) (table.Schema, error)
	// Each hands the batches of a table to take, and releases each afterwards.
	Each(ctx context.Context, name string, take func(table.Batch) error) error
}

// Files is the folder that an export makes. Names are slash paths within it.
type Files interface {
	// Write makes a file by fill.
	Write(name string, fill func(io.Writer) error) error
	// Parquet makes a Parquet file of the batches that fill puts into it, copies it
	// to also, and returns its size.
	Parquet(name string, s table.Schema, also io.Writer, fill func(put func(table.Batch) error) error) (bytes int64, err error)
}

// Outcome says what an export made.
type Outcome struct {
	Counts []Count
	Notes  []string // what was left out or generalized, a sentence each
}

// Count is how many of one kind of record an export holds.
type Count struct {
	Name string
	N    int64
}

// Folders of a results folder.
const (
	Archive       = "archive"
	ResultsFolder = "results"
)

// SetAside is the archived table of the rows that were set aside.
const SetAside = "set-aside"
