package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

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

// errInterrupted ends a command that ctrl-C stopped.
var errInterrupted = errors.New("interrupted")

// interrupted is errInterrupted once ctx is cancelled.
func interrupted(ctx context.Context) error {
	if ctx.Err() != nil {
		return errInterrupted
	}
	return nil
}

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
	var asked *askedError
	if errors.As(err, &asked) {
		defer fmt.Fprintf(e.err, "\nYour answers so far, to mend and run again:\n  %s\n", asked.line)
	}
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
		Version:       version(),
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
	root.SuggestionsMinimumDistance = 2
	root.SetVersionTemplate("tankful {{.Version}}\n")
	root.SetFlagErrorFunc(flagError)
	root.SetHelpCommand(helpCommand())
	root.AddCommand(serveCommand(e), backupCommand(e), restoreCommand(e), demoCommand(e), measureCommand(e), tapeCommand(e), passesCommand(e), calibrateCommand(e), mixCommand(e), diluteCommand(e), seasonCommand(e), convertCommand(e), dayCommand(e), weekCommand(e), quoteCommand(e), sheetCommand(e), roadsCommand(e), licensesCommand())
	strictCompletion(root)
	return root
}

// flagError puts a flag that cannot be read in our words.
func flagError(cmd *cobra.Command, err error) error {
	try := exampleLine(cmd)
	if !cmd.HasParent() {
		try = "tankful --help"
	}
	var value *pflag.InvalidValueError
	var unknown *pflag.NotExistError
	switch {
	case errors.As(err, &value) && errors.Is(value.Unwrap(), strconv.ErrSyntax):
		return &usageError{fmt.Sprintf("--%s: %q is no number", value.GetFlag().Name, value.GetValue()), try}
	case errors.As(err, &value):
		return &usageError{fmt.Sprintf("--%s: %v", value.GetFlag().Name, value.Unwrap()), try}
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		return &usageError{fmt.Sprintf("%s has no flag --%s", cmd.CommandPath(), unknown.GetSpecifiedName()) + nearFlag(cmd, unknown.GetSpecifiedName()), try}
	}
	return &usageError{err.Error(), try}
}

// nearFlag suggests a flag as suggestion does a command; the library compares names of commands only.
func nearFlag(cmd *cobra.Command, name string) string {
	names := &cobra.Command{}
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		names.AddCommand(&cobra.Command{Use: f.Name, Run: func(*cobra.Command, []string) {}})
	})
	for names.SuggestionsMinimumDistance = 1; names.SuggestionsMinimumDistance <= 2; names.SuggestionsMinimumDistance++ {
		if s := names.SuggestionsFor(name); len(s) > 0 {
			return fmt.Sprintf(" (did you mean --%s?)", s[0])
		}
	}
	return ""
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

// noArgs refuses stray words.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &usageError{fmt.Sprintf("%q is left over: %s takes flags only", args[0], cmd.CommandPath()), exampleLine(cmd)}
	}
	return nil
}

// quotedArgs refuses stray words where they are mostly a quantity that lost its quotes.
func quotedArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return &usageError{fmt.Sprintf("%q is left over; quote quantities with a space, such as \"7 ft\", and put the flag before each", args[0]), exampleLine(cmd)}
	}
	return nil
}

// oneOf refuses two flags of which only one can hold.
func oneOf(cmd *cobra.Command, a, b string) error {
	if cmd.Flags().Changed(a) && cmd.Flags().Changed(b) {
		return &usageError{fmt.Sprintf("--%s and --%s cannot be given together", a, b), exampleLine(cmd)}
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

// refuse passes an error on; with asJSON its problems are printed as JSON too, without a figure.
func refuse(e *env, err error, asJSON bool) error {
	var failed *problem.Failed
	if asJSON && errors.As(err, &failed) {
		if e := printJSON(e.out, struct {
			Problems problem.List `json:"problems"`
		}{failed.Problems}); e != nil {
			return e
		}
	}
	return err
}

// unitsFlag adds --units, US when not given.
func unitsFlag(cmd *cobra.Command) *unit.System {
	s := unit.US
	cmd.Flags().Var(&s, "units", "units to print in: us or metric")
	completeWith(cmd, "units", string(unit.US), string(unit.Metric))
	return &s
}

// completeWith lets the shell complete a flag with these words.
func completeWith(cmd *cobra.Command, flag string, words ...string) {
	if err := cmd.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(err) // the flag is not there
	}
}
