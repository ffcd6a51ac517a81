package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/phrase"
)

func newExport() *cobra.Command {
	var to, into string
	cmd := &cobra.Command{
		Use:   "export OUT --to FORMAT",
		Short: "write results for other tools",
		Long: `export writes the results folder OUT in another format, into
a folder of its own:

  darwin-core   events with effort, finds, absences and
                measurements: a Darwin Core archive
  data-package  every table as CSV and Parquet, each column
                described: Data Package 2.0
  geoparquet    units with their densities and effort:
                GeoParquet 1.1
  geojson       the same as GeoJSON
  xlsx          the result tables as a workbook
  reduced       a survey folder of Parquet whose finds that
                are alike are one row: run reads it
  partitioned   the archive as Parquet in folders by season
                and region: run reads it whole or in part

[dataset] of survey.toml says under which licence, by whom,
and the coordinates of which taxa are generalized or
withheld. The first two formats need it.`,
		Example: `  ashtally export knoll-results --to xlsx
  ashtally export knoll-results --to geojson --into map`,
		Args:              wants(1),
		ValidArgsFunction: oneFolder,
		PreRunE: func(*cobra.Command, []string) error {
			formats := pipeline.ExportFormats()
			switch {
			case to == "":
				return fmt.Errorf("--to is missing; it takes %s", phrase.Either(formats))
			case !slices.Contains(formats, to):
				return fmt.Errorf("--to is %q, and takes %s%s", to, phrase.Either(formats), didYouMean(ingest.Nearest(to, formats)))
			}
			return nil
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := resultsFolder(args[0]); err != nil {
				return err
			}
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
	wordFlag(cmd, &to, "to", "format", pipeline.ExportFormats(), "one of the formats above")
	folderFlag(cmd, &into, "into", `folder to make (default "OUT-FORMAT")`)
	return cmd
}
