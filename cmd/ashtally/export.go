package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
)

func newExport() *cobra.Command {
	var to, into string
	cmd := &cobra.Command{
		Use:   "export OUT --to FORMAT",
		Short: "Write a results folder in a format of other tools",
		Long: `export writes the results folder OUT in another format, into a folder of its own:

  darwin-core    a Darwin Core archive: events with effort, finds, absences, measurements
  data-package   every table as CSV and Parquet, each column described (Data Package 2.0)
  geoparquet     the units with their densities and effort (GeoParquet 1.1)
  geojson        the same as GeoJSON
  xlsx           the result tables as a workbook, a sheet for each

[dataset] of survey.toml says under which licence, by whom, and the coordinates of
which taxa are generalized or withheld. The first two formats need it.`,
		Args: wants(1),
		PreRunE: func(*cobra.Command, []string) error {
			if formats := pipeline.ExportFormats(); !slices.Contains(formats, to) {
				return fmt.Errorf("--to is %q, and takes one of %s", to, strings.Join(formats, ", "))
			}
			return nil
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			dir := into
			if dir == "" {
				var err error
				if dir, err = besides(args[0], "-"+to); err != nil {
					return err
				}
			}
			outcome, err := pipeline.Export(cmd.Context(), pipeline.ExportOptions{Out: args[0], To: to, Into: dir})
			if err != nil {
				return err
			}
			for _, note := range outcome.Notes {
				fmt.Fprintf(cmd.ErrOrStderr(), "note: %s\n", note)
			}
			var parts []string
			for _, c := range outcome.Counts {
				parts = append(parts, fmt.Sprintf("%s: %d", c.Name, c.N))
			}
			_, err = io.WriteString(cmd.OutOrStdout(), strings.Join(parts, ", ")+"\n"+"Export: "+dir+"\n")
			return err
		}),
	}
	cmd.Flags().StringVar(&to, "to", "", "format: "+strings.Join(pipeline.ExportFormats(), ", "))
	cmd.Flags().StringVar(&into, "into", "", `folder to make (default "OUT-FORMAT")`)
	return cmd
}
