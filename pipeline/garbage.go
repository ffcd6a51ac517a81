package pipeline

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync/atomic"
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

// collectBySize lets garbage of a small survey be collected once it is some 64 MB, not as
// much as the twenty that are kept and would be looked through eighty times in two
// seconds, and that of a very large one often, until the function that it returns is called.
// GOGC stands where it is set.
func collectBySize() (end func()) {
	r := &reserve{}
	switch {
	case os.Getenv("GOGC") != "":
		return func() {}
	case r.kept() > much:
		return collectOften()
	case r.kept() > enough:
		return func() {}
	}
	r.held.Store(new([reserveSize]byte))
	runtime.SetFinalizer(&mark{r}, (*mark).collected)
	return r.drop
}

const (
	reserveSize = 64 << 20
	// enough is what is kept of a survey, in bytes, that is itself reserve enough: large
	// ones are not to take more memory.
	enough = 48 << 20
	// much is what is kept of a survey, in bytes, of which the same again would be dear. With
	// less, a run of a million finds takes 22 in place of 24 processor seconds, and 510 MB in
	// place of 400.
	much = 128 << 20
)

// A reserve is memory that counts as kept and is never touched: it takes up addresses,
// and no memory.
type reserve struct {
	held atomic.Pointer[[reserveSize]byte]
}

// kept is what the last collection left, the reserve apart.
func (r *reserve) kept() int {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	n := int(live[0].Value.Uint64())
	if r.held.Load() != nil {
		n -= reserveSize
	}
	return n
}

func (r *reserve) drop() { r.held.Store(nil) }

// mark is garbage from the beginning, so that each collection finds it.
type mark struct{ *reserve }

// collected gives the reserve up where there is no more need of it, and waits for the
// next collection where there is.
func (m *mark) collected() {
	switch {
	case m.held.Load() == nil:
	case m.kept() > enough:
		m.drop()
	default:
		runtime.SetFinalizer(m, (*mark).collected)
	}
}
