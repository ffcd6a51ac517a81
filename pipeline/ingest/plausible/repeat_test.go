package plausible

import (
	"strings"
	"testing"
)

func TestRepeats(t *testing.T) {
	for _, c := range []struct {
		name     string
		rows     string // a letter a row
		measured int
		at       int // row that is told
		first, n int
	}{
		{"three cells measured, apart", "abca", 3, 3, 0, 1},
		{"two cells measured, one after the other", "aab", 2, 1, 0, 1},
		{"two cells measured, apart", "aba", 2, -1, 0, 0},
		{"nothing measured", "aaba", 0, -1, 0, 0},
		{"a block of four", "abcdxabcd", 0, 8, 0, 4},
		{"a block of three", "abcdxabcx", 0, -1, 0, 0},
		{"a run of equal rows is no block", "aaaaaaaaaaaaaaaaaaaa", 0, -1, 0, 0},
	} {
		var r Repeats
		told := -1
		for i, row := range c.rows {
			first, n := r.Add(uint64(row), c.measured)
			if n > 0 && told < 0 {
				told = i
				if first != c.first || n != c.n {
					t.Errorf("%s: %d, %d", c.name, first, n)
				}
			}
		}
		if told != c.at {
			t.Errorf("%s: told at row %d, want %d", c.name, told, c.at)
		}
	}
}

// TestDigest: a row that differs in one byte, or has its bytes in other cells, has
// another digest; and all bits of it are used, as places are found by some of them.
func TestDigest(t *testing.T) {
	seen := map[uint64][]string{}
	var ones [64]int
	add := func(cells ...string) {
		h := Digest(cells)
		if other, twice := seen[h]; twice {
			t.Fatalf("%q and %q have one digest", cells, other)
		}
		seen[h] = cells
		for i := range ones {
			ones[i] += int(h >> i & 1)
		}
	}
	for n := range 20 {
		text := strings.Repeat("a", n)
		for from := range n + 1 {
			add(text[:from], text[from:])
			for i := range n {
				for _, b := range []string{"b", "\x00", "\xff"} {
					other := text[:i] + b + text[i+1:]
					add(other[:from], other[from:])
				}
			}
		}
		add(text)
		add("", text, "")
	}
	for i, n := range ones {
		if share := float64(n) / float64(len(seen)); share < 0.45 || share > 0.55 {
			t.Errorf("bit %d is 1 in %.2f of %d digests", i, share, len(seen))
		}
	}
}
