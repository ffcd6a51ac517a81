package statstest

import (
	"bytes"
	"fmt"
	"os"
	"testing"
)

// MadeTable is a table of simulations in a file of its own, which takes longer
// to make than a test may. A test makes some of its rows again.
type MadeTable struct {
	Path  string
	Head  string          // the text before it and its first two lines
	Rows  []func() string // each makes a row, with the end of its line
	Again []int           // those that a test makes again, unless it is a short one
}

// Hold fails unless the file has all rows and those made again are in it. With
// update it writes the file.
func (m MadeTable) Hold(t *testing.T, update bool) {
	t.Helper()
	if update {
		m.write(t)
		return
	}
	table, err := os.ReadFile(m.Path)
	if err != nil {
		t.Fatal(err)
	}
	// The head of the table and the line under it are rows of it as well.
	if rows := bytes.Count(table, []byte("\n|")) - 2; rows != len(m.Rows) {
		t.Errorf("%d rows in %s, want %d", rows, m.Path, len(m.Rows))
	}
	if testing.Short() {
		return
	}
	for _, i := range m.Again {
		if row := m.Rows[i](); !bytes.Contains(table, []byte(row)) {
			t.Errorf("%s has no row\n%sMake it anew with -update.", m.Path, row)
		}
	}
}

// write writes each row as soon as it is made.
func (m MadeTable) write(t *testing.T) {
	t.Helper()
	f, err := os.Create(m.Path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteString(m.Head); err != nil {
		t.Fatal(err)
	}
	for _, row := range m.Rows {
		if _, err := f.WriteString(row()); err != nil {
			t.Fatal(err)
		}
	}
}

// Misses counts the limits that missed the truth, by the side on which they lay.
type Misses struct{ Above, Below, Of float64 }

// Count adds limits. Those without an end on one side cannot miss there.
func (m *Misses) Count(lower, upper, truth float64) {
	m.Of++
	if lower > truth {
		m.Above++
	}
	if upper < truth {
		m.Below++
	}
}

// Covers is the share of limits that held the truth.
func (m Misses) Covers() float64 { return 1 - (m.Above+m.Below)/m.Of }

// String gives the shares above the truth and below.
func (m Misses) String() string { return fmt.Sprintf("%.3f / %.3f", m.Above/m.Of, m.Below/m.Of) }
