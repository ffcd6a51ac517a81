package main

import (
	"fmt"
	"os"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"ashtally/pipeline"
)

func newMan() *cobra.Command {
	return &cobra.Command{
		Use:   "man DIR",
		Short: "write manual pages into a folder",
		Long: `man writes a manual page for ashtally and one for each
command into DIR, which it makes where it is not there.
Read one with: man DIR/ashtally.1`,
		Example:           "  ashtally man manual",
		Args:              wants(1),
		ValidArgsFunction: oneFolder,
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return err
			}
			made := revised()
			header := &doc.GenManHeader{Section: "1", Date: &made, Source: "ashtally " + pipeline.Version, Manual: "ashtally"}
			if err := doc.GenManTree(cmd.Root(), header, args[0]); err != nil {
				return err
			}
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "Manual pages: %s\n", args[0])
			return err
		}),
	}
}

// revised is when the sources of this build were last changed, so that the same build
// makes the same pages; a build that does not know it takes today.
func revised() time.Time {
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if at, err := time.Parse(time.RFC3339, s.Value); s.Key == "vcs.time" && err == nil {
				return at.UTC()
			}
		}
	}
	return time.Now().UTC()
}
