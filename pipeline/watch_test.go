package pipeline

import "testing"

// TestProgress: through the parts of a stage the progress never goes back, and ends
// with all of them.
func TestProgress(t *testing.T) {
	last, whole := int64(-1), int64(0)
	w := Watch{Progress: func(done, total int64) {
		if done < last || done > total {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		last, whole = done, total
	}}
	parts := w.parts(3)
	for done := range int64(8) { // two at once
		parts[0](done, 7)
		parts[2](done, 7)
	}
	parts[0](1, 7) // asked again
	parts[1](1, 1)
	if last != whole || last == 0 {
		t.Errorf("ends with %d of %d", last, whole)
	}
	last = -1
	count := w.counter(5)
	for range 5 {
		count()
	}
	if last != 5 || whole != 5 {
		t.Errorf("counts %d of %d", last, whole)
	}
	if (Watch{}).parts(1)[0] != nil {
		t.Error("tells nobody")
	}
	Watch{}.counter(1)()
}
