package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/phrase"
)

func newShow() *cobra.Command {
	var o pipeline.ShowOptions
	var columns string
	var where []string
	cmd := &cobra.Command{
		Use:   "show OUT [TABLE]",
		Short: "list or print tables of a results folder",
		Long: `show lists the tables of the results folder OUT: results,
such as density, and archived sheets, such as finds. With a
TABLE it prints that table, all of it or the columns and
rows that are asked for.`,
		Example: `  ashtally show knoll-results
  ashtally show knoll-results density > density.csv
  ashtally show knoll-results density --format markdown
    --columns stratum,finds,density_per_ha,lower,upper
    --where mode=all --where tree=all --where taxon=all
    --where years_since_fire=all`,
		Args:              wantsFrom(1, 2),
		ValidArgsFunction: folderAndTable,
		PreRunE: func(_ *cobra.Command, args []string) error {
			return choice(&o, args, columns, where)
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := resultsFolder(args[0]); err != nil {
				return err
			}
			if len(args) == 2 {
				return showTable(cmd.Context(), o, cmd.OutOrStdout(), cmd.ErrOrStderr())
			}
			tables, err := pipeline.Tables(cmd.Context(), args[0])
			if err != nil {
				return err
			}
			return tellTables(cmd.OutOrStdout(), tables, widthOf(cmd.OutOrStdout()))
		}),
	}
	wordFlag(cmd, &o.Format, "format", "format", pipeline.ShowFormats, phrase.Either(pipeline.ShowFormats)+` (default "csv")`)
	cmd.Flags().Var(text{&columns, "names"}, "columns", "these columns, with commas between")
	cmd.Flags().Var(texts{&where, "column=value"}, "where", "rows with this value; give it once for each column")
	return cmd
}

// choice takes the arguments and flags of show into its options.
func choice(o *pipeline.ShowOptions, args []string, columns string, where []string) error {
	o.Out = args[0]
	if len(args) == 2 {
		o.Table = args[1]
	} else if columns != "" || len(where) > 0 || o.Format != "" {
		return fmt.Errorf("TABLE is missing; it is called as: ashtally show OUT TABLE --columns NAMES")
	}
	if o.Format != "" && !slices.Contains(pipeline.ShowFormats, o.Format) {
		return fmt.Errorf("--format is %q, and takes %s%s", o.Format, phrase.Either(pipeline.ShowFormats), didYouMean(ingest.Nearest(o.Format, pipeline.ShowFormats)))
	}
	for name := range strings.SplitSeq(columns, ",") {
		if name = strings.TrimSpace(name); name != "" {
			o.Columns = append(o.Columns, name)
		}
	}
	for _, w := range where {
		column, value, ok := strings.Cut(w, "=")
		if !ok || column == "" {
			return fmt.Errorf("--where is %q, and takes COLUMN=VALUE, such as stratum=all", w)
		}
		o.Where = append(o.Where, pipeline.Condition{Column: strings.TrimSpace(column), Value: value})
	}
	return nil
}

// showTable prints a table, and says why where no row was asked for that is there.
func showTable(ctx context.Context, o pipeline.ShowOptions, stdout, stderr io.Writer) error {
	rows, err := pipeline.Show(ctx, o, stdout)
	if err != nil || rows > 0 || len(o.Where) == 0 {
		return err
	}
	c, near, unmet, err := pipeline.Unmet(ctx, o)
	if err != nil {
		return err
	}
	if !unmet {
		fmt.Fprintln(stderr, "note: no row meets all of these conditions together")
		return nil
	}
	fmt.Fprintf(stderr, "note: no row has %s = %q%s\n", c.Column, c.Value, didYouMean(near))
	return nil
}
