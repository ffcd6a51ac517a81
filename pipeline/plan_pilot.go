package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/plan"
	"ashtally/pipeline/table"
)

// readPilot reads the archive of a results folder, whose files must be those that
// its run.json names. Its inputs are named by its place among the pilots.
func (p *planner) readPilot(ctx context.Context, folder string, place int) (*plan.Pilot, error) {
	wrong := func(err error) error { return fmt.Errorf("the pilot %s: %w", folder, err) }
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, wrong(err)
	}
	defer root.Close()
	record, fault, err := readRecord(root)
	if err == nil && fault != "" {
		err = fmt.Errorf("%s %s", recordName, fault)
	}
	if err != nil {
		return nil, wrong(err)
	}
	at := pilotFolder{p, root, folder, "pilot/", record}
	if len(p.Pilot) > 1 {
		at.prefix = fmt.Sprintf("pilot-%d/", place+1)
	}
	c := plan.NewCollector(record.Settings)
	for _, t := range inputTables() {
		if err := at.archived(ctx, t, c); err != nil {
			return nil, wrong(err)
		}
	}
	pilot := c.Pilot(filepath.Base(filepath.Clean(folder)))
	if err := errors.Join(at.result("season", pilot.TakeFlush), at.result("ground_ranked", pilot.TakeGround)); err != nil {
		return nil, wrong(err)
	}
	return pilot, nil
}

// pilotFolder is a results folder that is read as a pilot.
type pilotFolder struct {
	*planner
	root   *os.Root
	folder string
	prefix string // of its inputs in plan.json
	record Record
}

// input names a file of the folder as an input.
func (p *pilotFolder) input(name, table string) (Output, error) {
	got, err := digestTo(p.root, name, io.Discard)
	if err == nil {
		p.inputs = append(p.inputs, ingest.Input{Name: p.prefix + name, Table: table, Bytes: got.Bytes, SHA256: got.SHA256})
	}
	return got, err
}

// archived takes a table of the archive, if the run had one.
func (p *pilotFolder) archived(ctx context.Context, t inputTable, c *plan.Collector) error {
	name := t.file(archiveFolder)
	at := slices.IndexFunc(p.record.Outputs, func(o Output) bool { return o.Name == name })
	if at < 0 {
		return nil
	}
	got, err := p.input(name, t.schema.Name())
	if err != nil {
		return err
	}
	if got.SHA256 != p.record.Outputs[at].SHA256 {
		return fmt.Errorf("%s is not the file that run.json names: it was changed or damaged since", name)
	}
	return t.eachBatch(ctx, filepath.Join(p.folder, filepath.FromSlash(name)), func(t inputTable, b table.Batch) error {
		if err := b.Conform(t.fields); err != nil {
			return err
		}
		c.Take(t.schema.Name(), b)
		return nil
	})
}

// result takes a result table, if the run had one.
func (p *pilotFolder) result(name string, take func(table.Batch)) error {
	file := "results/" + name + ".parquet"
	if _, err := p.input(file, name); errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return err
	}
	in, err := archive.OpenAny(filepath.Join(p.folder, filepath.FromSlash(file)))
	if err != nil {
		return err
	}
	defer in.Close()
	return in.Each(func(b table.Batch) error { take(b); return nil })
}
