package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"ashtally/cmd/calibrate/coverage"
)

// journal keeps the scores of the cells that are done, a line each, so that a
// run that was stopped need not begin anew. Its first line says for which run
// they hold.
type journal struct {
	options options
	kept    keptScores
	path    string
	file    *os.File
	done    [][]coverage.Score
}

// journalHead is what a run must share with the one that wrote a journal.
type journalHead struct {
	Program string   `json:"program"` // SHA-256 of the executable
	Samples int      `json:"samples"`
	Seed    uint64   `json:"seed"`
	Only    []string `json:"only"`
}

// openJournal opens the journal beside the folder to make, and reads what an
// earlier run of the same program, samples and seed has left there. What
// another run left is begun anew.
func openJournal(o options, scores keptScores) (*journal, error) {
	out := filepath.Clean(o.Out)
	j := &journal{options: o, kept: scores, path: filepath.Join(filepath.Dir(out), "."+filepath.Base(out)+".journal")}
	program, err := ownDigest()
	if err != nil {
		return nil, fmt.Errorf("read the program itself: %w", err)
	}
	head, err := json.Marshal(journalHead{Program: program, Samples: o.Samples, Seed: o.Seed, Only: o.Only})
	if err != nil {
		return nil, err
	}
	old, err := os.ReadFile(j.path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	kept := j.read(old, head)
	if j.file, err = os.OpenFile(j.path, os.O_CREATE|os.O_RDWR, 0o666); err != nil {
		return nil, err
	}
	if kept == 0 {
		old, kept = append(head, '\n'), len(head)+1
		_, err = j.file.WriteAt(old, 0)
	}
	// A line that was being written when the run died goes.
	return j, errors.Join(err, j.file.Truncate(int64(kept)), seekEnd(j.file))
}

func seekEnd(f *os.File) error {
	_, err := f.Seek(0, io.SeekEnd)
	return err
}

// read takes the whole lines of an earlier run and returns their bytes.
func (j *journal) read(old, head []byte) (kept int) {
	lines := bufio.NewScanner(bytes.NewReader(old))
	lines.Buffer(nil, 1<<20)
	for first := true; lines.Scan(); first = false {
		line := lines.Bytes()
		if first && !bytes.Equal(line, head) {
			return 0
		}
		if kept+len(line) >= len(old) { // no end of line
			return kept
		}
		if !first {
			var scores []coverage.Score
			if json.Unmarshal(line, &scores) != nil {
				return kept
			}
			j.done = append(j.done, scores)
		}
		kept += len(line) + 1
	}
	return kept
}

// runAll runs the cells that are not done, in order, and returns the scores of
// all.
func (j *journal) runAll(ctx context.Context, cells []coverage.Cell) ([][]coverage.Score, error) {
	for i := len(j.done); i < len(cells); i++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if j.options.progress != nil {
			j.options.progress(int64(i), int64(len(cells)))
		}
		scores, err := j.kept.run(i, cells[i], j.options.Samples, j.options.Seed)
		if err != nil {
			return nil, err
		}
		line, err := json.Marshal(scores)
		if err != nil {
			return nil, err
		}
		if _, err := j.file.Write(append(line, '\n')); err != nil {
			return nil, err
		}
		j.done = append(j.done, scores)
	}
	return j.done, nil
}

func (j *journal) close() { j.file.Close() }

func (j *journal) remove() error { return errors.Join(j.file.Close(), os.Remove(j.path)) }

// ownDigest tells this program from any other.
func ownDigest() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}
