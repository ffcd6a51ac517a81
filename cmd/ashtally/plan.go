package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"ashtally/pipeline"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

func newPlan() *cobra.Command {
	var o pipeline.PlanOptions
	cmd := &cobra.Command{
		Use:   "plan DIR",
		Short: "Plan a survey: how many units, where, when, and the sheets to fill in",
		Long: `plan reads survey.toml and outline.geojson in DIR (or strata.csv, without a map),
and with --pilot the results folder of a former season. It writes a folder with
the plan, field sheets, the units for GPS receivers, and a survey folder to be
filled in. The table [plan] of survey.toml has the settings.`,
		Args: wants(1),
		RunE: work(func(cmd *cobra.Command, args []string) error {
			o.Survey = args[0]
			if o.Out == "" {
				var err error
				if o.Out, err = besides(args[0], "-plan"); err != nil {
					return err
				}
			}
			w := newWatcher(cmd.ErrOrStderr())
			defer w.stop()
			o.Watch = w.watch()
			lines, err := pipeline.MakePlan(cmd.Context(), o)
			w.stop()
			if err != nil {
				return err
			}
			for _, line := range append(lines, "Plan: "+o.Out) {
				fmt.Fprintln(cmd.OutOrStdout(), line)
			}
			return nil
		}),
		PreRunE: func(*cobra.Command, []string) error {
			if o.Layout != "" && !slices.Contains(survey.Layouts, o.Layout) {
				return fmt.Errorf("--layout is %q, and takes %s", o.Layout, phrase.Either(survey.Layouts))
			}
			if o.Units < 0 || o.CV < 0 || o.Units > 0 && o.CV > 0 {
				return fmt.Errorf("--units and --cv take a number over 0, and one of them is enough")
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&o.Out, "out", "", `folder to make (default "DIR-plan")`)
	cmd.Flags().StringVar(&o.Pilot, "pilot", "", "results folder of a former season")
	cmd.Flags().IntVar(&o.Units, "units", 0, "number of units, in place of a wanted precision")
	cmd.Flags().Float64Var(&o.CV, "cv", 0, "wanted coefficient of variation of the density")
	cmd.Flags().StringVar(&o.Layout, "layout", "", "random, systematic or balanced")
	return cmd
}
