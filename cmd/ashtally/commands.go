package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
)

func newDemo() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "write an invented survey and estimate it",
		Long: `demo writes a survey that is wholly invented, its land, its
crew and its finds, into DIR/survey and its results into
DIR. DIR is "ashtally-demo" if not given.`,
		Example: "  ashtally demo",
		Args:    wantsFrom(0, 1),
		RunE: work(func(cmd *cobra.Command, args []string) error {
			dir := "ashtally-demo"
			if len(args) == 1 {
				dir = args[0]
			}
			w := newWatcher(cmd.ErrOrStderr())
			defer w.stop()
			outcome, err := pipeline.Demo(cmd.Context(), dir, w.watch())
			w.stop()
			if err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), "Invented survey: no such land, crew or finds exist.")
			return tell(cmd.OutOrStdout(), outcome)
		}),
	}
}

func newNew() *cobra.Command {
	var full, example bool
	cmd := &cobra.Command{
		Use:   "new DIR",
		Short: "write a survey folder to be filled in",
		Long: `new writes a survey folder with survey.toml and the sheets
that a first survey of plots needs, each with its header.
DIR/examples has rows to go by, and DIR/columns.md says what
to write in each column. The folder is named after the
survey; survey.toml has its title.`,
		Example: `  ashtally new elk-ridge
  ashtally new --full hollin-creek
  ashtally new --example knoll`,
		Args: wants(1),
		PreRunE: func(*cobra.Command, []string) error {
			if full && example {
				return errors.New("--full is of empty sheets and --example of filled ones; give one of them")
			}
			return nil
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			dir, form := args[0], pipeline.ShortForm
			say := fmt.Sprintf("%s: an empty survey. %s has rows to go by,\nand %s says what to write where.\n\nFill in the sheets, then run:\n  ashtally check %s\n",
				dir, filepath.Join(dir, "examples"), filepath.Join(dir, "columns.md"), shown(dir))
			switch {
			case full:
				form = pipeline.FullForm
			case example:
				form = pipeline.FilledIn
				say = fmt.Sprintf("%s: a small invented season, filled in.\n\nTo check and estimate it, run:\n  ashtally check %[2]s\n  ashtally run %[2]s\n", dir, shown(dir))
			}
			if err := pipeline.New(dir, form); err != nil {
				return err
			}
			_, err := io.WriteString(cmd.OutOrStdout(), say)
			return err
		}),
	}
	cmd.Flags().BoolVar(&full, "full", false, "every sheet, column and setting")
	cmd.Flags().BoolVar(&example, "example", false, "a small invented season, filled in")
	return cmd
}

// shown is a path as it is written on a command line.
func shown(path string) string {
	if strings.ContainsAny(path, " \t'\"$&|;<>()*?#") {
		return strconv.Quote(path)
	}
	return path
}

func newCheck() *cobra.Command {
	var strict bool
	cmd := &cobra.Command{
		Use:   "check DIR",
		Short: "find every fault in the sheets",
		Long: `check reads the survey in DIR and names every fault with
file, line, cell, what is wrong and what to do. It asks
about values that may be right and are likely not what was
meant: a name that is almost another, a radius in feet. It
estimates nothing. The exit status is 1 where there is a
fault; with --strict a question is one. accepted.csv
holds the answered ones.`,
		Example:           "  ashtally check knoll",
		Args:              wants(1),
		ValidArgsFunction: oneFolder,
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := surveyFolder(args[0]); err != nil {
				return err
			}
			w := newWatcher(cmd.ErrOrStderr())
			defer w.stop()
			w.faults = cmd.OutOrStdout() // here the faults are the result
			w.questions = w.faults
			summary, err := pipeline.Check(cmd.Context(), args[0], strict, w.watch())
			w.stop()
			if err != nil {
				return toCorrect(err, args[0])
			}
			return tellClean(cmd.OutOrStdout(), summary, args[0])
		}),
	}
	cmd.Flags().BoolVar(&strict, "strict", false, "make a fault of every question: of each value that is likely not what was meant")
	return cmd
}

func newRun() *cobra.Command {
	var out string
	var setAside bool
	var earlier []string
	cmd := &cobra.Command{
		Use:   "run DIR",
		Short: "estimate a survey and write its results",
		Long: `run checks the survey in DIR, estimates it and writes a
results folder: the report, the figures, the result tables
and the archive. A table may be Parquet in place of CSV.

A survey with a fault is not estimated, because a dropped
row biases a density, unless --set-aside is given. With
--earlier it is compared with a former season, given as its
survey folder or its results folder; give it once for each.`,
		Example: `  ashtally run knoll
  ashtally run knoll --out spring --set-aside`,
		Args:              wants(1),
		ValidArgsFunction: oneFolder,
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := surveyFolder(args[0]); err != nil {
				return err
			}
			for _, e := range earlier {
				if err := folder(e); err != nil {
					return err
				}
			}
			if out == "" {
				var err error
				if out, err = besides(args[0], "-results"); err != nil {
					return err
				}
			}
			w := newWatcher(cmd.ErrOrStderr())
			defer w.stop()
			outcome, err := pipeline.Run(cmd.Context(), pipeline.Options{
				Survey: args[0], Earlier: earlier, Out: out, SetAside: setAside, Watch: w.watch(),
			})
			w.moreQuestions(args[0])
			w.stop()
			if err != nil {
				return err
			}
			return tell(cmd.OutOrStdout(), outcome)
		}),
	}
	folderFlag(cmd, &out, "out", `results folder to make (default "DIR-results")`)
	cmd.Flags().Var(texts{&earlier, "folder"}, "earlier", "survey or results folder of a former season")
	completes(cmd, "earlier", folders)
	cmd.Flags().BoolVar(&setAside, "set-aside", false, "leave faulty rows out and list them in set-aside.csv")
	return cmd
}

// besides is the folder that is made of another where none is named: beside it,
// under its name and the ending, whichever way the folder was given.
func besides(dir, ending string) (string, error) {
	whole, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	out := whole + ending
	here, err := filepath.Abs(".")
	if err != nil {
		return "", err
	}
	if short, err := filepath.Rel(here, out); err == nil && !filepath.IsAbs(dir) {
		return short, nil
	}
	return out, nil
}
