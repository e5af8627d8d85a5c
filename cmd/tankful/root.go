package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// The exit codes.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2
	exitProblem = 3 // the input needs fixing
)

// usageError is a command line that cannot be carried out; try is one that can.
type usageError struct{ what, try string }

func (e *usageError) Error() string { return e.what }

// run carries out one command line and gives its exit code.
func run(ctx context.Context, e env, args []string) int {
	root := rootCommand(&e)
	root.SetArgs(args)
	root.SetOut(e.out)
	root.SetErr(e.err)
	cmd, err := root.ExecuteContextC(ctx)
	return report(e, cmd, err)
}

// report prints an error where it belongs and gives its exit code.
func report(e env, cmd *cobra.Command, err error) int {
	var failed *problem.Failed
	var usage *usageError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &failed):
		printProblems(e.err, failed.Problems)
		return exitProblem
	case errors.As(err, &usage):
		fmt.Fprintf(e.err, "tankful: %s\nTry: %s\n", usage.what, usage.try)
		return exitUsage
	}
	fmt.Fprintf(e.err, "tankful: %v\n", err)
	return exitFailed
}

func rootCommand(e *env) *cobra.Command {
	root := &cobra.Command{
		Use:   "tankful",
		Short: "Property outlines in; measured turf, exact tankfuls, numbered passes and the crew's sheets out",
		Long: `Tankful measures turf from property outlines, calibrates equipment from a timed
catch, lays numbered passes, splits the day's mix into tankfuls that leave nothing
over, and draws the sheets that the crew works from.

The product label is the law and overrides every figure here. Work under the licence
and the local rules that apply where you are.

Exit codes: 0 done, 1 failed, 2 the command line is wrong, 3 the input needs fixing.`,
		Example:       "  tankful demo\n  tankful measure lots.geojson",
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return &usageError{fmt.Sprintf("there is no command %q", args[0]) + suggestion(cmd, args[0]), "tankful --help"}
			}
			return cmd.Help()
		},
	}
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return &usageError{err.Error(), exampleLine(cmd)}
	})
	root.AddCommand(demoCommand(e), measureCommand(e), passesCommand(e), calibrateCommand(e), mixCommand(e), dayCommand(e), licensesCommand())
	return root
}

func suggestion(cmd *cobra.Command, name string) string {
	if s := cmd.SuggestionsFor(name); len(s) > 0 {
		return fmt.Sprintf(" (did you mean %s?)", s[0])
	}
	return ""
}

// exampleLine is the first line of a command's example.
func exampleLine(cmd *cobra.Command) string {
	for line := range strings.Lines(cmd.Example) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			return line
		}
	}
	return cmd.CommandPath() + " --help"
}

// files asks for a file argument at least.
func files(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{cmd.CommandPath() + " needs a file", exampleLine(cmd)}
	}
	return nil
}

// noArgs refuses stray words, such as a quantity that lost its quotes.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &usageError{fmt.Sprintf("%q is left over; quote quantities with a space, such as \"7 ft\"", args[0]), exampleLine(cmd)}
	}
	return nil
}

// printProblems lists problems for a person: place, what, and what to do.
func printProblems(w io.Writer, ps problem.List) {
	for _, p := range ps {
		fmt.Fprintf(w, "%s: %s: %s\n    fix: %s [%s]\n", p.Where, p.Severity, p.What, p.Fix, p.Code)
	}
}

// printJSON writes v indented.
func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// unitsFlag adds --units, US when not given.
func unitsFlag(cmd *cobra.Command) *unit.System {
	s := unit.US
	cmd.Flags().Var(&s, "units", "units to print in: us or metric")
	if err := cmd.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]string{"us", "metric"}, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err) // the flag was added above
	}
	return &s
}
