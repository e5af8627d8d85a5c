package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"tankful/testdata/demo"
)

func demoCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	var out string
	var asJSON, week bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Plan the built-in demo day and write its sheets",
		Long: `Runs the main job on a built-in day: an invented outfit in a place that does not exist,
with one truck, two tanks, two mixes and two operators. Its sheets are marked as invented.`,
		Example: `  tankful demo
  tankful demo --out /tmp/demo --json`,
		Args: noArgs,
	}
	cmd.Flags().StringVar(&out, "out", "tankful-demo", "`folder` for the sheets")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the whole plan as JSON, in SI units")
	cmd.Flags().BoolVar(&week, "week", false, "plan the built-in week instead, and write a day file for each of its days")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if week {
			data, err := demo.Files.ReadFile(demo.WeekFile)
			if err != nil {
				return fmt.Errorf("read the demo: %w", err)
			}
			w := weekJob{env: e, name: demo.WeekFile, try: exampleLine(cmd), data: data, files: demo.Files, dir: out, asJSON: asJSON}
			return w.run(cmd, &outlines)
		}
		data, err := demo.Files.ReadFile(demo.DayFile)
		if err != nil {
			return fmt.Errorf("read the demo: %w", err)
		}
		j := dayJob{env: e, name: demo.DayFile, try: exampleLine(cmd), data: data, files: demo.Files, dir: out, asJSON: asJSON}
		return j.run(cmd, &outlines)
	}
	return cmd
}
