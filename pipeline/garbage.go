package pipeline

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
)

// collectOften lets garbage be collected once it is half of what is kept, not all of
// it, until the function that it returns is called. What is kept of a survey holds few
// pointers, so that looking through it takes next to no time. GOGC stands where it is set.
func collectOften() (end func()) {
	before := debug.SetGCPercent(50)
	if before != 100 {
		debug.SetGCPercent(before)
		return func() {}
	}
	return func() { debug.SetGCPercent(before) }
}

// collectBySize lets garbage of a small survey be collected once it is some 64 MB more than
// what is kept, as the twenty that are kept would be looked through eighty times in two
// seconds, and that of a very large one often, until the function that it returns is called.
// GOGC stands where it is set.
func collectBySize() (end func()) {
	switch {
	case os.Getenv("GOGC") != "":
		return func() {}
	case keptBytes() > much:
		return collectOften()
	case keptBytes() > enough:
		return func() {}
	}
	s := &sparing{}
	s.adapt()
	runtime.SetFinalizer(&mark{s}, (*mark).collected)
	return s.end
}

const (
	// spared is the garbage, in bytes, that may lie beside as much as is kept.
	spared = 64 << 20
	// enough is what is kept of a survey, in bytes, from which on as much garbage may lie:
	// large ones are not to take more memory.
	enough = 48 << 20
	// much is what is kept of a survey, in bytes, of which the same again would be dear. With
	// less, a run of a million finds takes 22 in place of 24 processor seconds, and 510 MB in
	// place of 400.
	much = 128 << 20
)

// keptBytes is what the last collection left.
func keptBytes() int {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	return int(live[0].Value.Uint64())
}

// sparing sets after each collection how much garbage may lie until the next.
type sparing struct {
	set   sync.Mutex
	ended bool
}

// adapt sets it by what is kept now, and reports whether that is to be looked at again.
func (s *sparing) adapt() (again bool) {
	s.set.Lock()
	defer s.set.Unlock()
	kept := keptBytes()
	if s.ended || kept > enough {
		debug.SetGCPercent(100)
		return false
	}
	debug.SetGCPercent(100 + 100*spared/max(kept, 1<<20))
	return true
}

func (s *sparing) end() {
	s.set.Lock()
	defer s.set.Unlock()
	s.ended = true
	debug.SetGCPercent(100)
}

// mark is garbage from the beginning, so that each collection finds it.
type mark struct{ *sparing }

func (m *mark) collected() {
	if m.adapt() {
		runtime.SetFinalizer(m, (*mark).collected)
	}
}
