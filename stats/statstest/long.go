package statstest

import (
	"os"
	"testing"
)

// Long skips a test that takes long, unless ASHTALLY_LONG is set, as .ci/run does.
func Long(t testing.TB) {
	t.Helper()
	if !long() {
		t.Skip("takes long; set ASHTALLY_LONG=1 to run it")
	}
}

// Times is how often a test repeats what it does: rarely, or where ASHTALLY_LONG
// is set often.
func Times(rarely, often int) int {
	if long() {
		return often
	}
	return rarely
}

func long() bool { return os.Getenv("ASHTALLY_LONG") != "" }
