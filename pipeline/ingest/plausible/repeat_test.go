package plausible

import (
	"hash/fnv"
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

// The digest is FNV-1a as the standard library has it.
func TestDigest(t *testing.T) {
	h := fnv.New64a()
	h.Write([]byte("P1\xffblack morel\xff"))
	if got := Digest([]string{"P1", "black morel"}); got != h.Sum64() {
		t.Errorf("%x, want %x", got, h.Sum64())
	}
	if Digest([]string{"ab", "c"}) == Digest([]string{"a", "bc"}) {
		t.Error("cells run into each other")
	}
}
