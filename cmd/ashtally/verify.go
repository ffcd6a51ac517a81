package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
	"ashtally/pipeline/survey"
)

func newVerify() *cobra.Command {
	return &cobra.Command{
		Use:   "verify OUT",
		Short: "make results again and compare every digit",
		Long: `verify compares every file of the results folder OUT with
the SHA-256 in its run.json, makes results, figures and
report again from the archive and the settings in OUT, and
compares their digests. It needs OUT alone, wherever it was
copied, and changes nothing in it. What was damaged, changed
or has moved is named; the exit status is 0 where all is
equal and 1 where it is not.`,
		Example:           "  ashtally verify knoll-results",
		Args:              wants(1),
		ValidArgsFunction: oneFolder,
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := resultsFolder(args[0]); err != nil {
				return err
			}
			w := newWatcher(cmd.ErrOrStderr())
			defer w.stop()
			verdict, err := pipeline.Verify(cmd.Context(), args[0], w.watch())
			w.stop()
			if err != nil {
				return err
			}
			for _, name := range verdict.Unnamed {
				fmt.Fprintf(cmd.ErrOrStderr(), "note: %s: run.json does not name it; it was passed over\n", survey.Printable(name))
			}
			return tellVerdict(cmd.OutOrStdout(), verdict)
		}),
	}
}

// tellVerdict prints what a verification found; the error is for a folder that
// is not equal.
func tellVerdict(w io.Writer, v pipeline.Verdict) error {
	var b strings.Builder
	for _, f := range v.Findings {
		fmt.Fprintln(&b, survey.Printable(f.File+": "+f.What))
		for _, line := range f.Detail {
			fmt.Fprintln(&b, "  "+survey.Printable(line))
		}
	}
	if v.Files > 0 {
		fmt.Fprintf(&b, "%d files are named by run.json; %d of them were made again to the same byte.\n", v.Files, v.Again)
		fmt.Fprintf(&b, "Made by %s.\n", survey.Printable(v.Made.String()))
		if v.Made != v.Now {
			fmt.Fprintf(&b, "Held against %s.\n", v.Now)
		}
		if v.Made.Version != v.Now.Version && len(v.Findings) > 0 {
			fmt.Fprintf(&b, "Versions differ in their figures: of what is said to have moved, CHANGELOG.md tells what changed from %s to %s. Version "+
				"%s makes the same again.\n",
				survey.Printable(v.Made.Version), v.Now.Version, survey.Printable(v.Made.Version))
		}
	}
	if len(v.Findings) == 0 {
		fmt.Fprintln(&b, "Every digest is equal.")
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return err
	}
	if n := len(v.Findings); n > 0 {
		return fmt.Errorf("the folder is not equal to its record: findings: %d", n)
	}
	return nil
}
