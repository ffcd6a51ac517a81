package ingest

import (
	"strconv"
	"strings"
	"testing"
)

// TestTextStore adds more texts than a block holds, short ones and longer ones than a
// block, and some again.
func TestTextStore(t *testing.T) {
	var store textStore
	var all []string
	var numbers []textNumber
	for i := range 4000 {
		text := strconv.Itoa(i * i % 977)
		switch i % 1000 {
		case 500:
			text = strings.Repeat(text+"x", textBlock)
		case 700:
			text = ""
		}
		all, numbers = append(all, text), append(numbers, store.add(text))
	}
	for i, text := range all {
		if got := store.get(numbers[i]); got != text || !store.is(numbers[i], text) || store.is(numbers[i], text+"0") {
			t.Fatalf("text %d is %.20q, want %.20q", i, got, text)
		}
	}
}
