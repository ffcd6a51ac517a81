package pipeline

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

// kills is how many runs TestKilledRunLeavesNoResults ends; by default three,
// and eight where long tests run:
//
//	go test ./pipeline -run Killed -v -kills 200
var kills = flag.Int("kills", 0, "runs that are killed at random moments")

// These tell the test binary, started anew, what to run.
const (
	runSurvey = "ASHTALLY_TEST_SURVEY"
	runOut    = "ASHTALLY_TEST_OUT"
	runTold   = "ASHTALLY_TEST_TOLD" // whether notices go to stderr
)

func TestMain(m *testing.M) {
	if out := os.Getenv(runOut); out != "" {
		flag.Parse() // for -short
		var watch Watch
		if os.Getenv(runTold) != "" {
			watch.Notice = func(f survey.Fault) { os.Stderr.WriteString(f.String() + "\n") }
		}
		if _, err := run(context.Background(), Options{Survey: os.Getenv(runSurvey), Out: out, Watch: watch}); err != nil {
			os.Stderr.WriteString(err.Error() + "\n")
			os.Exit(1)
		}
		os.Exit(0)
	}
	flag.Parse()
	// A check of the properties here is a run or two: ten of each by default.
	if checks := flag.Lookup("rapid.checks"); checks.Value.String() == checks.DefValue {
		checks.Value.Set("10")
	}
	os.Exit(m.Run())
}

// another returns a run of the survey as a process of its own.
func another(t *testing.T, survey, out string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, fmt.Sprintf("-test.short=%t", lightly()))
	cmd.Env = append(os.Environ(), runSurvey+"="+survey, runOut+"="+out)
	cmd.Stderr = os.Stderr
	return cmd
}

func killCount() int {
	if *kills > 0 {
		return *kills
	}
	return statstest.Times(3, 8)
}

// TestKilledRunLeavesNoResults kills runs at random moments: there is a whole
// results folder or none, and the next run clears what is left.
func TestKilledRunLeavesNoResults(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no SIGKILL there")
	}
	if *kills == 0 {
		onceIsEnough(t) // and a process that is killed tells of no race
	}
	if *kills == 0 {
		light(t)
	}
	survey := writeSurvey(t, asItIs)
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	begin := time.Now()
	if err := another(t, survey, out).Run(); err != nil {
		t.Fatal(err)
	}
	lasts := time.Since(begin)
	want := contents(t, out)
	rng := rand.New(rand.NewPCG(3, 4))
	finished, begun := 0, 0
	for range killCount() {
		if err := os.RemoveAll(out); err != nil {
			t.Fatal(err)
		}
		cmd := another(t, survey, out)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		// Somewhat beyond its length, so that some die as they end.
		time.Sleep(time.Duration(1.1 * rng.Float64() * float64(lasts)))
		cmd.Process.Kill()
		cmd.Wait()
		if _, err := os.Stat(out); err == nil { // it was quicker
			finished++
			wantSameFiles(t, contents(t, out), want)
		} else if names(t, dir) != "" {
			begun++
		}
	}
	if err := os.RemoveAll(out); err != nil {
		t.Fatal(err)
	}
	if err := another(t, survey, out).Run(); err != nil {
		t.Fatal(err)
	}
	wantSameFiles(t, contents(t, out), want)
	if got := names(t, dir); got != "out" {
		t.Errorf("beside the results there is %q", got)
	}
	t.Logf("of %d runs %d died with a folder in the making and %d had finished, each whole", killCount(), begun, finished)
}
