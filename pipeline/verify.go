package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
)

// Finding is a file of a results folder that is not as it should be.
type Finding struct {
	File   string // slash path within the folder
	What   string
	Detail []string // for a table, a sentence for each column that moved
}

// Verdict is what the verification of a results folder found.
type Verdict struct {
	Made, Now Build     // the program that made it, and this one
	Files     int       // that run.json names
	Again     int       // of them, those that were made again to the same byte
	Findings  []Finding // none where all is equal
	Unnamed   []string  // files that run.json does not name; they are passed over
}

func (v *Verdict) find(file, what string, detail ...string) {
	v.Findings = append(v.Findings, Finding{file, what, detail})
}

// Verify holds a results folder against its run.json, makes it again from its
// own archive and settings, and compares the digest of every file. It needs
// the folder alone and changes nothing in it. What is wrong with the folder is
// in the verdict; the error is for one that cannot be verified.
func Verify(ctx context.Context, out string, watch Watch) (Verdict, error) {
	work, err := stageAside()
	if err != nil {
		return Verdict{}, err
	}
	defer work.discard()
	v, err := verify(ctx, out, work, watch)
	return v, plainly(err)
}

// verify does so with work as the folder to make the results in.
func verify(ctx context.Context, out string, work *staging, watch Watch) (Verdict, error) {
	root, err := os.OpenRoot(out)
	if err != nil {
		return Verdict{}, fmt.Errorf("the results folder: %w", err)
	}
	defer root.Close()
	v := Verdict{Now: thisBuild()}
	clock := &clock{watch: watch}
	clock.turn("comparing digests")
	record, fault, err := readRecord(root)
	if fault != "" {
		v.find(recordName, fault)
	}
	if err != nil || fault != "" {
		return v, err
	}
	v.Made, v.Files = record.Build, len(record.Outputs)
	intact, err := v.digests(ctx, root, record)
	if err != nil {
		return v, err
	}
	if slices.ContainsFunc(v.Findings, func(f Finding) bool { return given(f.File) }) {
		return v, nil // what would be made from it proves nothing
	}
	return v, v.again(ctx, out, work, record, intact, clock)
}

// given reports whether a file is one that results are made from, and not made
// again: the archive, and the sheets of the demonstration.
func given(name string) bool {
	return strings.HasPrefix(name, "archive/") || strings.HasPrefix(name, "survey/")
}

// digests holds every file against the record, and returns those that are as
// it names them.
func (v *Verdict) digests(ctx context.Context, root *os.Root, record Record) (intact map[string]bool, err error) {
	named := map[string]bool{recordName: true}
	intact = map[string]bool{}
	for _, want := range record.Outputs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		named[want.Name] = true
		got, err := digest(root, want.Name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			v.find(want.Name, "is missing")
		case errors.Is(err, errNoFile):
			v.find(want.Name, "is not a file")
		case err != nil:
			v.find(want.Name, "cannot be read: "+err.Error())
		case got.Bytes != want.Bytes:
			v.find(want.Name, fmt.Sprintf("was damaged or changed: it has %d bytes, not %d", got.Bytes, want.Bytes))
		case got.SHA256 != want.SHA256:
			v.find(want.Name, "was damaged or changed: its SHA-256 is "+got.SHA256+", not "+want.SHA256)
		default:
			intact[want.Name] = true
		}
	}
	return intact, v.unnamed(root, named)
}

// unnamed lists the files that the record does not name.
func (v *Verdict) unnamed(root *os.Root, named map[string]bool) error {
	return fs.WalkDir(root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !named[name] {
			v.Unnamed = append(v.Unnamed, name)
		}
		return err
	})
}

// again makes the results anew in a folder of its own, and compares them.
func (v *Verdict) again(ctx context.Context, out string, work *staging, record Record, intact map[string]bool, clock *clock) error {
	clock.turn("reading")
	in, err := fromArchive(ctx, out, record, work)
	if err != nil {
		return fmt.Errorf("re-run from the archive: %w", err)
	}
	if _, err := in.answer(ctx, work, clock); err != nil {
		return fmt.Errorf("re-run from the archive: %w", err)
	}
	clock.turn("comparing")
	root, err := os.OpenRoot(work.path)
	if err != nil {
		return err
	}
	defer root.Close()
	made, err := outputs(root)
	if err != nil {
		return err
	}
	return v.compare(out, work.path, record.Outputs, made, intact)
}

// compare holds what was made again against what the record names.
func (v *Verdict) compare(out, again string, want, made []Output, intact map[string]bool) error {
	now := map[string]Output{}
	for _, o := range made {
		now[o.Name] = o
	}
	told := map[string]bool{}                 // tables whose difference was told
	for _, o := range slices.Backward(want) { // a table's Parquet before its CSV
		if given(o.Name) {
			continue
		}
		got, ok := now[o.Name]
		delete(now, o.Name)
		table, _, _ := strings.Cut(o.Name, ".")
		switch {
		case !ok:
			v.find(o.Name, "was not made again by this version")
		case got.SHA256 == o.SHA256:
			v.Again++
		case strings.HasSuffix(o.Name, ".parquet") && intact[o.Name]:
			what, columns, err := tableMoved(out, again, o.Name)
			if err != nil {
				return err
			}
			told[table] = true
			v.find(o.Name, "moved: "+what, columns...)
		case !told[table]:
			v.find(o.Name, "moved: made again, its bytes are others")
		}
	}
	for _, o := range made {
		if _, ok := now[o.Name]; ok {
			v.find(o.Name, "was not there before, and this version makes it")
		}
	}
	slices.SortStableFunc(v.Findings, func(a, b Finding) int { return strings.Compare(a.File, b.File) })
	return nil
}
