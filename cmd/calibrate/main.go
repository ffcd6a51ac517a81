// Calibrate tries the intervals of densities and ratios in worlds whose truth is
// known and writes a folder with what came out:
//
//	go run ./cmd/calibrate [-samples N] [-seed N] [-only FIGURES] [-keep FOLDERS [-anew METHODS]] OUT
//
// A run that was stopped goes on where it was when it is started again. With
// -keep the cells of earlier tables of the same samples and seed are taken over, but
// for one in 31, which is run again and must come out the same, and for the methods
// named by -anew, as those that were changed.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	status := run(ctx, os.Args[1:], os.Stderr)
	stop()
	os.Exit(status)
}

// run obeys args and returns the exit status: 0 done, 1 failed, 2 wrong use.
func run(ctx context.Context, args []string, stderr io.Writer) int {
	flags := flag.NewFlagSet("calibrate", flag.ContinueOnError)
	flags.SetOutput(stderr)
	samples := flags.Int("samples", 3000, "samples of each world and size, at least 4")
	seed := flags.Uint64("seed", 20, "start of the random numbers")
	only := flags.String("only", "", "figures to try, divided by commas: plots, lines, ratios, adaptive; all if silent")
	keep := flags.String("keep", "", "folders of earlier tables to take cells from, divided by commas")
	anew := flags.String("anew", "", "methods to run in all cells although an earlier table has them, divided by commas")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	if flags.NArg() != 1 || *samples < 4 {
		fmt.Fprintln(stderr, "calibrate: name one folder to make, and at least 4 samples")
		return 2
	}
	err := calibrate(ctx, options{
		Out: flags.Arg(0), Samples: *samples, Seed: *seed, Only: list(*only), Keep: list(*keep), Anew: list(*anew), progress: bar(stderr),
	})
	if err != nil {
		fmt.Fprintf(stderr, "calibrate: %v\n", err)
		return 1
	}
	return 0
}

// list divides words by commas.
func list(words string) []string {
	return strings.FieldsFunc(words, func(r rune) bool { return r == ',' })
}

// bar shows how many cells are done.
func bar(stderr io.Writer) func(done, total int64) {
	b := progressbar.NewOptions64(1, progressbar.OptionSetWriter(stderr), progressbar.OptionSetWidth(30),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(), progressbar.OptionShowCount())
	return func(done, total int64) {
		b.ChangeMax64(total)
		b.Set64(done)
	}
}
