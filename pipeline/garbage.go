package pipeline

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
)

// collectByKept lets 64 MB of garbage lie beside what is kept, and in large surveys a
// share of that in percent, until the function that it returns is called: what a small one
// keeps would be looked through eighty times in two seconds if only as much again might
// lie, and of a very large one as much again would be dear. GOGC stands where it is set.
func collectByKept(share int) (end func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	c := &collecting{share: share}
	c.before = debug.SetGCPercent(c.percent())
	runtime.SetFinalizer(&mark{c}, (*mark).collected)
	return c.end
}

const (
	garbage = 64 << 20
	// leastKept is what the runtime takes to be kept at least.
	leastKept = 4 << 20
	// whileReading is the share while rows are read, which leaves few pointers: looking
	// through what is kept takes next to no time.
	whileReading = 35
	// whileAnswering is the share while questions are answered.
	whileAnswering = 50
)

// keptBytes is what the last collection left.
func keptBytes() int {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	return int(live[0].Value.Uint64())
}

type collecting struct {
	share  int
	before int

	set   sync.Mutex
	ended bool
}

// percent is of what the last collection kept.
func (c *collecting) percent() int { return max(c.share, 100*garbage/max(keptBytes(), leastKept)) }

func (c *collecting) end() {
	c.set.Lock()
	defer c.set.Unlock()
	c.ended = true
	debug.SetGCPercent(c.before)
}

// mark is garbage from the beginning, so that each collection finds it.
type mark struct{ *collecting }

func (m *mark) collected() {
	m.set.Lock()
	defer m.set.Unlock()
	if !m.ended {
		debug.SetGCPercent(m.percent())
		runtime.SetFinalizer(m, (*mark).collected)
	}
}
