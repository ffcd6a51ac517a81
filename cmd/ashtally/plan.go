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
		Short: "plan the next survey: how many, where, when",
		Long: `plan reads survey.toml and outline.geojson in DIR (or
strata.csv, without a map), and with --pilot the results
folder of a former season; --pilot may stand several times.
It writes a folder with the plan, field sheets, the units
for GPS receivers, and a survey folder to be filled in. The
table [plan] of survey.toml has the settings.`,
		Example: `  ashtally plan knoll --pilot knoll-results
  ashtally plan knoll --units 40 --out forty-units`,
		Args:              wants(1),
		ValidArgsFunction: oneFolder,
		RunE: work(func(cmd *cobra.Command, args []string) error {
			if err := surveyFolder(args[0]); err != nil {
				return err
			}
			for _, pilot := range o.Pilot {
				if err := resultsFolder(pilot); err != nil {
					return err
				}
			}
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
			if last, err := besides(args[0], "-results"); err == nil && len(o.Pilot) == 0 && resultsFolder(last) == nil {
				lines = append(lines, "There is a results folder of this survey: with --pilot "+last+" the plan rests on it.")
			}
			width := widthOf(cmd.OutOrStdout())
			for _, line := range append(lines, "Plan: "+o.Out) {
				fmt.Fprintln(cmd.OutOrStdout(), wrapped(line, 0, width))
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
	folderFlag(cmd, &o.Out, "out", `folder to make (default "DIR-plan")`)
	cmd.Flags().Var(texts{&o.Pilot, "folder"}, "pilot", "results folder of a former season")
	completes(cmd, "pilot", folders)
	cmd.Flags().IntVar(&o.Units, "units", 0, "number of units, in place of --cv")
	cmd.Flags().Float64Var(&o.CV, "cv", 0, "wanted coefficient of variation")
	wordFlag(cmd, &o.Layout, "layout", "way", survey.Layouts, "random, systematic or balanced")
	return cmd
}
