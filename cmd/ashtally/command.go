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
	cmd, err := root.ExecuteContextC(ctx)
	var failure failure
	switch {
	case err == nil:
		return done
	case errors.As(err, &failure):
		fmt.Fprintf(stderr, "ashtally: %v\n", failure.error)
		return failed
	}
	fmt.Fprintf(stderr, "ashtally: %v\nHow it is used: %s --help\n", err, cmd.CommandPath())
	return wrongUse
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

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "ashtally",
		Short: "Estimates from a post-fire mushroom survey",
		Long: `ashtally turns a crew's plot and transect sheets into fruit
bodies per hectare with confidence intervals, compares
saprotrophic with host-associated finds, draws the report,
and archives everything, so that anyone can get the same
digits again.

It counts what a crew recorded and identifies nothing: see
the cautions in the report before anything is eaten or
picked.`,
		Version:           pipeline.Version,
		SilenceErrors:     true,
		SilenceUsage:      true,
		DisableAutoGenTag: true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		RunE:              func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.Flags().BoolP("help", "h", false, "say how it is used")
	root.Flags().BoolP("version", "v", false, "say which version this is")
	var all []*cobra.Command
	for _, g := range groups() {
		root.AddGroup(&cobra.Group{ID: g.title, Title: g.title})
		for _, cmd := range g.commands {
			cmd.GroupID = g.title
			cmd.DisableAutoGenTag = true
			all = append(all, cmd)
		}
	}
	root.AddCommand(all...)
	root.SetHelpCommand(newHelp())
	root.SetHelpFunc(func(cmd *cobra.Command, _ []string) { fmt.Fprint(cmd.OutOrStdout(), helpText(cmd, all)) })
	root.SetFlagErrorFunc(wrongFlag)
	root.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return noCommand(cmd, args[0])
		}
		return nil
	}
	return root
}

// group is the commands of one time of a survey.
type group struct {
	title    string
	commands []*cobra.Command
}

// groups are the commands in the order in which a crew comes to need them.
func groups() []group {
	return []group{
		{"To try it", []*cobra.Command{newDemo()}},
		{"A season", []*cobra.Command{newNew(), newCheck(), newRun(), newShow()}},
		{"Afterwards", []*cobra.Command{newVerify(), newExport(), newPlan()}},
		{"For your shell", []*cobra.Command{newCompletion(), newMan()}},
	}
}
