package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ashtally/pipeline"
)

// The exit statuses.
const (
	done     = 0
	failed   = 1 // faults in the data, or the run failed
	wrongUse = 2
)

// run is the whole program behind main: it obeys args and returns the exit
// status. Results go to stdout; progress, warnings and errors to stderr.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	var failure failure
	switch {
	case err == nil:
		return done
	case errors.As(err, &failure):
		fmt.Fprintf(stderr, "ashtally: %v\n", failure.error)
		return failed
	}
	fmt.Fprintf(stderr, "ashtally: %v\nRun \"ashtally help\" for how it is used.\n", err)
	return wrongUse
}

// wants checks that a command has its n arguments, and else shows how it is
// called.
func wants(n int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == n {
			return nil
		}
		return fmt.Errorf("%d arguments were given; it is called as: ashtally %s", len(args), cmd.Use)
	}
}

// failure marks an error of the work itself; every other error of a command
// comes from how it was called.
type failure struct{ error }

func (f failure) Unwrap() error { return f.error }

// work wraps what a command does, so that its errors are told from wrong use.
func work(do func(cmd *cobra.Command, args []string) error) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		err := do(cmd, args)
		if err == nil {
			return nil
		}
		if errors.Is(err, context.Canceled) {
			err = errors.New("interrupted; nothing was left behind")
		}
		return failure{err}
	}
}

// plainFlag puts what is wrong with the value of a flag into words of its own;
// what else can be wrong with flags is told well.
func plainFlag(err error) error {
	var value *pflag.InvalidValueError
	if !errors.As(err, &value) {
		return err
	}
	takes := "another value"
	if value.GetFlag().Value.Type() == "bool" {
		takes = "true or false"
	}
	return fmt.Errorf("--%s is %q, and takes %s", value.GetFlag().Name, value.GetValue(), takes)
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "ashtally",
		Short: "Densities, comparisons, figures and an archive from a post-fire fungus survey",
		Long: `ashtally turns a crew's plot and transect sheets into fruit bodies per hectare
with confidence intervals, holds saprotrophic against host-associated finds by
tree species and years since fire, draws the figures of the report, and archives
everything so that anyone can get the same digits again.

It counts what a crew recorded and identifies nothing: see the cautions in the
report before anything is eaten or picked.`,
		Version:           pipeline.Version,
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:              cobra.NoArgs,
		RunE:              func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return plainFlag(err) })
	root.AddCommand(newDemo(), newNew(), newCheck(), newRun(), newShow(), newPlan(), newVerify(), newExport())
	return root
}
