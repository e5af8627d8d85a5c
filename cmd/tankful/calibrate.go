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
	// advise is what to change, nil for none; it is asked once result is there.
	advise func(where string) (working.Outcome, problem.List)
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
	var asJSON, withWorking, howTo bool
	cmd := &cobra.Command{
		Use: use, Short: m.short, Args: quotedArgs,
		Long:    upperFirst(m.short) + ".\n\n" + strings.Join(wrapped(b.procedure(unit.US)), "\n"),
		Example: "  tankful calibrate " + m.kind + " " + strings.Join(m.examples, "\n  tankful calibrate "+m.kind+" "),
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&howTo, "procedure", false, "print how it is done, with the figures given so far, and stop")
	workingFlag(cmd, &withWorking)
	units := unitsFlag(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, in SI units")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if howTo {
			return printProcedure(e, cmd, f, b, *units)
		}
		asked, err := f.read(e, cmd, wrapped(b.procedure(*units)))
		if err != nil {
			return refuse(e, err, asJSON)
		}
		o, found := b.result("command line")
		if err := found.Err(); err != nil {
			return refuse(e, afterAsking(err, asked), asJSON)
		}
		var more working.Outcome
		if b.advise != nil {
			advice, list := b.advise("command line")
			if found = append(found, list...); !list.HasErrors() {
				more = advice
			}
		}
		if asJSON {
			printProblems(e.err, found)
			return printOutcomeJSON(e.out, b, o, more, withWorking, *units, found)
		}
		err = printOutcome(e.out, o, more, m.good, withWorking, *units)
		printProblems(e.err, found)
		if asked != "" {
			fmt.Fprintf(e.err, "\nThe same again:\n  %s\n", asked)
		}
		return err
	}
	return cmd
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

// headFacts are what a person wants first: the rate, what was wanted, and whether it will do.
var headFacts = []string{"product rate", "carrier rate", "goes on", "effective swath", "wanted", "off the wanted rate", "judgement"}

// headFirst brings them to the top, in the order that they have.
func headFirst(facts []working.Fact) []working.Fact {
	facts = slices.Clone(facts)
	slices.SortStableFunc(facts, func(a, b working.Fact) int {
		rank := func(f working.Fact) int {
			if slices.Contains(headFacts, f.Name) {
				return 0
			}
			return 1
		}
		return rank(a) - rank(b)
	})
	return facts
}

func printOutcome(w io.Writer, o, more working.Outcome, good string, withWorking bool, u unit.System) error {
	facts := headFirst(o.Facts(u))
	if more != nil { // it says the pace, too
		facts = slices.DeleteFunc(facts, func(f working.Fact) bool { return f.Name == "by pace alone" })
	}
	if err := printFacts(w, facts); err != nil {
		return err
	}
	if more != nil {
		fmt.Fprintf(w, "\nTo reach the wanted rate, one of these\n")
		advice := slices.DeleteFunc(slices.Clone(more.Facts(u)), func(f working.Fact) bool { return slices.Contains(headFacts, f.Name) }) // said above
		if err := printFacts(w, advice); err != nil {
			return err
		}
	}
	if withWorking {
		steps := o.Working(u)
		if more != nil {
			steps.Append(more.Working(u))
		}
		fmt.Fprintf(w, "\n%s%s", workingHead, steps.Text())
	}
	_, err := fmt.Fprintf(w, "\n%sThe product label is the law and overrides these figures.\n", good)
	return err
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
func printOutcomeJSON(w io.Writer, b bench, o, more working.Outcome, withWorking bool, u unit.System, found problem.List) error {
	rest := struct {
		Facts    []working.Fact  `json:"facts"`
		Advice   working.Outcome `json:"advice,omitempty"`
		Working  working.Working `json:"working,omitempty"`
		Problems problem.List    `json:"problems"`
	}{Facts: o.Facts(u), Advice: more, Problems: append(problem.List{}, found...)}
	if withWorking {
		rest.Working = o.Working(u)
		if more != nil {
			rest.Working.Append(more.Working(u))
		}
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
