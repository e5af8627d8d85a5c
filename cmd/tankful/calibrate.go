package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// A method is one way to calibrate, or one question about a calibration.
type method struct {
	kind, short string
	examples    []string
	good        string // what the result is good for, "" when nothing was measured
	make        func() bench
}

const (
	goodSprayed = "Good for this operator, equipment, pressure and spacing only. "
	goodSpread  = "Good for this operator, spreader, product, setting and pace only. "
)

// goodFor says of each method what its result is good for.
func goodFor(good string, list []method) []method {
	for i := range list {
		list[i].good = good
	}
	return list
}

// bench is a method with a test to be filled in.
type bench struct {
	entries   []entry
	setup     *calibrate.Setup
	procedure func(unit.System) []string
	result    func(where string) (working.Outcome, problem.List)
}

var methods = slices.Concat(goodFor(goodSprayed, liquidMethods), goodFor(goodSpread, spreaderMethods), adviceMethods)

func calibrateCommand(e *env) *cobra.Command {
	gun := methods[0]
	cmd := methodCommand(e, gun, "calibrate")
	cmd.Short = "Find out what a person with a gun, a boom or a spreader really puts out"
	cmd.Long = "The kinds of test are listed below; each has its own --help, and at a terminal it asks for\n" +
		"what it needs when it is given nothing. Without a kind it is " + gun.kind + ": " + lowerFirst(cmd.Long)
	cmd.Example = strings.ReplaceAll(cmd.Example, "calibrate "+gun.kind, "calibrate") + "\n  tankful calibrate rotary --help"
	run := cmd.RunE
	cmd.SuggestionsMinimumDistance = 2
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if err := noKind(cmd, args); err != nil {
			return err
		}
		return quotedArgs(cmd, args)
	}
	cmd.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		if kind := noKind(cmd, cmd.Flags().Args()); kind != nil && cmd.Name() == "calibrate" { // its flags are not known for that reason
			return kind
		}
		return flagError(cmd, err)
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		switch {
		case cmd.Flags().NFlag() == 0 && !e.asks:
			return &usageError{"say what to calibrate, or give the entries of a hose gun's test", "tankful calibrate --help"}
		case !e.asks || !onlyStyle(cmd):
			return run(cmd, args)
		}
		kind, err := askKind(e)
		if err != nil {
			return err
		}
		sub := methodCommand(e, kind, kind.kind)
		sub.SilenceErrors, sub.SilenceUsage = true, true
		cmd.AddCommand(sub) // for its path
		cmd.Flags().Visit(func(f *pflag.Flag) {
			if err == nil {
				err = sub.Flags().Set(f.Name, f.Value.String())
			}
		})
		if err != nil {
			return err
		}
		return sub.RunE(sub, nil)
	}
	for _, m := range methods {
		cmd.AddCommand(methodCommand(e, m, m.kind))
	}
	return cmd
}

// onlyStyle reports whether the flags say at most how to print.
func onlyStyle(cmd *cobra.Command) bool {
	only := true
	cmd.Flags().Visit(func(f *pflag.Flag) { only = only && slices.Contains([]string{"units", "working", "json"}, f.Name) })
	return only
}

// noKind refuses a first word that is meant for a kind and is none; a figure or a unit lost its quotes.
func noKind(cmd *cobra.Command, args []string) error {
	if len(args) == 0 || args[0] == "" || strings.ContainsAny(args[0], "0123456789 ") {
		return nil
	}
	if _, err := unit.Parse("1 " + args[0]); err == nil {
		return nil
	}
	return &usageError{fmt.Sprintf("there is no calibration %q", args[0]) + suggestion(cmd, args[0]), "tankful calibrate --help"}
}

// askKind asks what is to be calibrated until a kind is named, by its name or its number.
func askKind(e *env) (method, error) {
	for i, m := range methods {
		fmt.Fprintf(e.err, "%3d  %-16s %s\n", i+1, m.kind, m.short)
	}
	for {
		fmt.Fprint(e.err, "\nWhich of these (its number or name; Enter for gun)? ")
		text, err := e.line()
		if err != nil {
			return method{}, err
		}
		if text == "" {
			return methods[0], nil
		}
		for i, m := range methods {
			if text == m.kind || text == fmt.Sprint(i+1) {
				fmt.Fprintln(e.err)
				return m, nil
			}
		}
		fmt.Fprintf(e.err, "  %q is none of them.", text)
	}
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

func methodCommand(e *env, m method, use string) *cobra.Command {
	b := m.make()
	f := &form{entries: b.entries}
	var s style
	var howTo bool
	cmd := &cobra.Command{
		Use: use, Short: m.short, Args: quotedArgs,
		Long:    upperFirst(m.short) + ".\n\n" + strings.Join(wrapped(b.procedure(unit.US)), "\n"),
		Example: "  tankful calibrate " + m.kind + " " + strings.Join(m.examples, "\n  tankful calibrate "+m.kind+" "),
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&howTo, "procedure", false, "print how it is done, with the figures given so far, and stop")
	s.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if howTo {
			return printProcedure(e, cmd, f, b, *s.units)
		}
		var o working.Outcome
		var more calibrate.Advice
		work := func() (found problem.List, err error) {
			if o, found = b.result("command line"); found.HasErrors() {
				return found, nil
			}
			var list problem.List
			more, list = adviceOf(o, "command line")
			return append(found, list...), nil
		}
		return f.answer(e, cmd, wrapped(b.procedure(*s.units)), &s, work, func(found problem.List) error {
			if s.json {
				return printOutcomeJSON(e.out, b, o, more, &s, found)
			}
			return printOutcome(e.out, o, more, m.good, &s)
		})
	}
	return cmd
}

// adviceOf is what to change after a test whose rate is not accepted, nil for none.
func adviceOf(o working.Outcome, where string) (calibrate.Advice, problem.List) {
	switch r := o.(type) {
	case calibrate.CatchResult:
		a, ps, ok := r.Advice(where)
		if !ok {
			return nil, ps
		}
		return a, ps
	case calibrate.SpreaderResult:
		a, ps, ok := r.Advice(where)
		if !ok {
			return nil, ps
		}
		return a, ps
	}
	return nil, nil
}

// workingHead stands above the working in text.
const workingHead = "Working, step by step\n\n"

func workingFlag(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "working", false, "show how every figure was come by")
}

// printProcedure takes what was given into the steps; what is missing is no fault here.
func printProcedure(e *env, cmd *cobra.Command, f *form, b bench, u unit.System) error {
	answers, list, err := f.answers(cmd)
	if err != nil {
		return err
	}
	for _, en := range f.entries {
		for _, a := range answers[en.name] {
			if err := en.set(a.text); err != nil {
				list.Errorf("quantity", a.where, en.fixOf(a.text), "%v", err)
			}
		}
	}
	if err := list.Err(); err != nil {
		return err
	}
	_, err = fmt.Fprintln(e.out, strings.Join(wrapped(b.procedure(u)), "\n"))
	return err
}

// lineWidth is how wide the steps of a procedure are printed, in letters.
const lineWidth = 90

// wrapped breaks steps such as "1. Fill the tank" at lineWidth, with the text of a step below itself.
func wrapped(steps []string) (lines []string) {
	for _, s := range steps {
		line, indent := "", ""
		if number, _, ok := strings.Cut(s, " "); ok && strings.HasSuffix(number, ".") {
			indent = strings.Repeat(" ", len(number)+1)
		}
		for word := range strings.FieldsSeq(s) {
			switch {
			case line == "":
				line = word
			case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > lineWidth:
				lines, line = append(lines, line), indent+word
			default:
				line += " " + word
			}
		}
		lines = append(lines, line)
	}
	return lines
}

func printOutcome(w io.Writer, o working.Outcome, more calibrate.Advice, good string, s *style) error {
	u := *s.units
	facts := o.Facts(u)
	if more != nil { // it says the pace, too
		facts = slices.DeleteFunc(facts, func(f working.Fact) bool { return f.Name == calibrate.PaceAlone })
	}
	if err := printFacts(w, facts); err != nil {
		return err
	}
	if more != nil {
		fmt.Fprintf(w, "\nTo reach the wanted rate, one of these\n")
		if err := printFacts(w, more.Ways(u)); err != nil {
			return err
		}
	}
	if s.working {
		fmt.Fprintf(w, "\n%s%s", workingHead, workingOf(o, more, u).Text())
	}
	_, err := fmt.Fprintf(w, "\n%sThe product label is the law and overrides these figures.\n", good)
	return err
}

// workingOf is the working of a result and of the advice that follows, if any.
func workingOf(o working.Outcome, more calibrate.Advice, u unit.System) working.Working {
	steps := o.Working(u)
	if more != nil {
		steps.Append(more.Working(u))
	}
	return steps
}

// printFacts prints what a result says, names in a column.
func printFacts(w io.Writer, facts []working.Fact) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, f := range facts {
		fmt.Fprintf(t, "%s\t%s\n", f.Name, f.Text)
	}
	return t.Flush()
}

// printOutcomeJSON puts the result, whose test it is, and what goes with it into one object.
func printOutcomeJSON(w io.Writer, b bench, o working.Outcome, more calibrate.Advice, s *style, found problem.List) error {
	u := *s.units
	rest := struct {
		Facts    []working.Fact   `json:"facts"`
		Advice   calibrate.Advice `json:"advice,omitempty"`
		Working  working.Working  `json:"working,omitempty"`
		Problems problem.List     `json:"problems"`
	}{Facts: o.Facts(u), Advice: more, Problems: append(problem.List{}, found...)}
	if s.working {
		rest.Working = workingOf(o, more, u)
	}
	var setup any = struct{}{}
	if b.setup != nil {
		setup = b.setup
	}
	whole, err := joined(o, setup, rest)
	if err != nil {
		return err
	}
	return printJSON(w, whole)
}

// joined is one JSON object with the members of several.
func joined(parts ...any) (json.RawMessage, error) {
	out := []byte("{")
	for _, p := range parts {
		b, err := json.Marshal(p)
		if err != nil {
			return nil, err
		}
		if inner := b[1 : len(b)-1]; len(inner) > 0 {
			if len(out) > 1 {
				out = append(out, ',')
			}
			out = append(out, inner...)
		}
	}
	return append(out, '}'), nil
}

// isoDate is the parser of a date.
func isoDate(text string) (string, error) {
	text = strings.TrimSpace(text)
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return "", fmt.Errorf("%q is not a date such as 2027-04-05", text)
	}
	return text, nil
}

// today is the date on the machine's clock.
func today() string { return time.Now().Format(time.DateOnly) }
