package main

import (
	"strings"
	"testing"
)

func TestWrapped(t *testing.T) {
	const text = `finds.csv:3:4: count: "two  or  three" is not a number; write 2`
	if got := wrapped(text, hanging, 0); got != text {
		t.Errorf("without a width: %q", got)
	}
	got := wrapped(text, hanging, 40)
	want := "finds.csv:3:4: count: \"two  or  three\"\n  is not a number; write 2"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	long := strings.Repeat("x", 70)
	if got := wrapped(long+" end", 2, 40); got != long+"\n  end" {
		t.Errorf("a long word: %q", got)
	}
}
