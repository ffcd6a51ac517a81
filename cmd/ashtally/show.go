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
	"ashtally/pipeline/survey"
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
rows that are asked for. With --behind it prints the lines
of the crew's sheets that these rows rest on, or the first
row: the finds, or by --behind=visits, =plots or =transects
those. --columns then chooses from theirs.`,
		Example: `  ashtally show knoll-results
  ashtally show knoll-results density > density.csv
  ashtally show knoll-results density --format markdown
    --columns stratum,finds,density_per_ha,lower,upper
    --where mode=all --where tree=all --where taxon=all
    --where years_since_fire=all
  ashtally show knoll-results density --behind
  ashtally show knoll-results comparison --behind=visits
    --where tree=all --columns source_file,source_line,date`,
		Args:              wantsFrom(1, 2),
		ValidArgsFunction: folderAndTable,
		PreRunE: func(_ *cobra.Command, args []string) error {
			return choice(&o, args, columns, where)
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := resultsFolder(args[0]); err != nil {
				return err
			}
			if o.Behind != "" {
				return showBehind(cmd.Context(), o, cmd.OutOrStdout(), cmd.ErrOrStderr())
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
	wordFlag(cmd, &o.Behind, "behind", "sheet", pipeline.BehindTables, "lines of the sheets that the rows rest on, not the rows")
	cmd.Flags().Lookup("behind").NoOptDefVal = survey.Finds.Name
	return cmd
}

// choice takes the arguments and flags of show into its options.
func choice(o *pipeline.ShowOptions, args []string, columns string, where []string) error {
	o.Out = args[0]
	if len(args) == 2 {
		o.Table = args[1]
	} else if columns != "" || len(where) > 0 || o.Format != "" || o.Behind != "" {
		return fmt.Errorf("TABLE is missing; it is called as: ashtally show OUT TABLE --columns NAMES")
	}
	if o.Format != "" && !slices.Contains(pipeline.ShowFormats, o.Format) {
		return fmt.Errorf("--format is %q, and takes %s%s", o.Format, phrase.Either(pipeline.ShowFormats), didYouMean(ingest.Nearest(o.Format, pipeline.ShowFormats)))
	}
	if o.Behind != "" && !slices.Contains(pipeline.BehindTables, o.Behind) {
		return fmt.Errorf("--behind is %q, and takes %s%s", o.Behind, phrase.Either(pipeline.BehindTables),
			didYouMean(ingest.Nearest(o.Behind, pipeline.BehindTables)))
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

// showBehind prints the lines that rows of results rest on, and says how many fruit
// bodies are on them.
func showBehind(ctx context.Context, o pipeline.ShowOptions, stdout, stderr io.Writer) error {
	behind, err := pipeline.ShowBehind(ctx, o, stdout)
	if err != nil {
		return err
	}
	if behind.Rows == 0 {
		return tellUnmet(ctx, o, stderr)
	}
	fmt.Fprintf(stderr, "note: %s of %s, on %s of %s\n", counted(behind.Rows, "row", "rows"), o.Table,
		counted(behind.Visits, "search", "searches"), counted(behind.Units, "unit", "units"))
	if o.Behind != survey.Finds.Name {
		return nil
	}
	fmt.Fprintf(stderr, "note: %s of finds with %s\n", counted(behind.Lines, "line", "lines"), counted(int(behind.FruitBodies), "fruit body", "fruit bodies"))
	if said := max(behind.Finds, 0) + max(behind.BaseFinds, 0); behind.Finds >= 0 && said != behind.FruitBodies {
		fmt.Fprintf(stderr, "note: the row counts %d of them; its other columns say which\n", said)
	}
	return nil
}

// showTable prints a table, and says why where no row was asked for that is there.
func showTable(ctx context.Context, o pipeline.ShowOptions, stdout, stderr io.Writer) error {
	rows, err := pipeline.Show(ctx, o, stdout)
	if err != nil || rows > 0 || len(o.Where) == 0 {
		return err
	}
	return tellUnmet(ctx, o, stderr)
}

// counted is "1 row" and "2 rows".
func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// tellUnmet says which condition no row of the table meets.
func tellUnmet(ctx context.Context, o pipeline.ShowOptions, stderr io.Writer) error {
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
