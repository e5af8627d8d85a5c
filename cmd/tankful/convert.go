package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"unicode"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/unit/convert"
	"tankful/calc/working"
)

func convertCommand(e *env) *cobra.Command {
	var opt convert.Options
	var asJSON, showWorking bool
	var file string
	cmd := &cobra.Command{
		Use:   "convert TEXT...",
		Short: "Turn a rate, an amount or a size into other units",
		Long: `Prints each text in the units that the trade gives such a figure in, or with --to in one.

  4.5 fl oz/1000 sq ft    1 1/2 pt/acre    200 L/ha       20 gpa
  0.75 lb/M               3 g/m2           5 lb/1,000 ft2
  3 1/2 gal               8 oz wt          7' 6"          1,250 sq ft
  0.25 % v/v              1 qt/100 gal     2 lb/100 gal   8.34 lb/gal
  3 mph                   20 fl oz/min     40 psi         1 min 18 s

Below the line of a rate M is 1,000 sq ft and A an acre. What could mean two things is refused and
the choices are named: oz, ton, %, 1:100, 1,5.

Weight and volume are joined by --density alone: a fluid ounce is an ounce of volume, and what it
weighs is the product's. A weight of a nutrient, such as "125 lb P2O5" or "0.75 lb N/M", is
counted as its other form with --to P, P2O5, K or K2O.

At a terminal the command asks for figures when it is given none.`,
		Example: `  tankful convert "4.5 fl oz/1000 sq ft"
  tankful convert --to L/ha --working "4.5 fl oz/1000 sq ft" "20 gpa"
  tankful convert --to "lb/1000 sq ft" --density "10.68 lb/gal" "6 fl oz/1000 sq ft"
  tankful convert --to P "125 lb P2O5"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 && file == "" && !e.asks {
				return &usageError{cmd.CommandPath() + " needs a figure with its unit, in quotes", exampleLine(cmd)}
			}
			for _, a := range args {
				if len(args) > 1 && !strings.ContainsFunc(a, unicode.IsNumber) {
					return &usageError{fmt.Sprintf("%q is no figure; put each figure with its unit in quotes", a), cmd.CommandPath() + ` "` + strings.Join(args, " ") + `"`}
				}
			}
			return nil
		},
	}
	units := unitsFlag(cmd)
	fs := cmd.Flags()
	fs.StringVar(&file, "file", "", "read figures from a `file`, one a line, after those of the command line")
	fs.StringVar(&opt.To, "to", "", "`unit` wanted, or a nutrient: P, P2O5, K, K2O")
	fs.Var(&opt.Density, "density", "the product's density, from its label, such as \"10.68 lb/gal\"")
	fs.Lookup("density").DefValue = ""
	fs.BoolVar(&showWorking, "working", false, "show how each figure is come by")
	fs.BoolVar(&asJSON, "json", false, "print JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if fs.Changed("density") && !(opt.Density > 0) {
			return &usageError{"--density must be above zero", cmd.CommandPath() + ` --density "10.68 lb/gal" "4 fl oz"`}
		}
		opt.Units = *units
		say := func(args []string) error {
			results, found := convert.Texts(args, opt)
			var err error
			switch {
			case asJSON:
				err = printJSON(e.out, convertedAnswer(results, found, *units, showWorking))
			case opt.To != "":
				err = printOne(e.out, results, *units, showWorking)
			default:
				err = printUsual(e.out, results, *units, showWorking)
			}
			if err != nil {
				return err
			}
			return endProblems(e, found)
		}
		switch more, err := figuresOf(file); {
		case err != nil:
			return err
		case file != "" || len(args) > 0:
			return say(append(args, more...))
		}
		return askFigures(e, *units, say)
	}
	return cmd
}

// figuresOf is the lines of a file, without the empty ones and those that begin with #; none without a file.
func figuresOf(file string) (list []string, err error) {
	if file == "" {
		return nil, nil
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("read the file of figures: %w", err)
	}
	for line := range strings.Lines(string(data)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			list = append(list, line)
		}
	}
	if len(list) == 0 {
		var ps problem.List
		ps.Errorf("empty-file", filepath.Base(file), `Write figures into the file, one a line, such as "4.5 fl oz/1000 sq ft", or name another file.`, "the file has no figure in it")
		return nil, ps.Err()
	}
	return list, nil
}

// askFigures converts what is typed, a line at a time, until a line is empty or the input ends.
func askFigures(e *env, u unit.System, say func([]string) error) error {
	example := "4.5 fl oz/1000 sq ft"
	if u == unit.Metric {
		example = "200 L/ha"
	}
	for prompt := "A figure with its unit (" + example + "): "; ; prompt = "Another one; Enter when done: " {
		fmt.Fprint(e.err, prompt)
		text, err := e.line()
		if err != nil || text == "" {
			return nil // what was asked for is answered
		}
		err = say([]string{text})
		var failed *problem.Failed
		if errors.As(err, &failed) {
			for _, p := range failed.Problems {
				fmt.Fprintf(e.err, "  %s\n", p.What)
			}
		} else if err != nil {
			return err
		}
		fmt.Fprintln(e.err)
	}
}

// printOne prints a line for each text that has the unit wanted.
func printOne(w io.Writer, results []convert.Result, u unit.System, showWorking bool) error {
	for _, r := range results {
		for _, f := range r.Figures {
			fmt.Fprintln(w, strings.TrimSpace(fmt.Sprintf("%s = %s %s", r.Text, f.Text(), densityWords(f.Density, u))))
		}
		if err := printNotes(w, r, u, showWorking); err != nil {
			return err
		}
	}
	return nil
}

// tooSmall is the figure below which a unit is too large to be of use: it is printed with --to alone.
const tooSmall = 0.001

// printUsual prints each text in all its units.
func printUsual(w io.Writer, results []convert.Result, u unit.System, showWorking bool) error {
	for i, r := range results {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "%s (%s)\n", r.Text, r.Given.Kind())
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, f := range r.Figures {
			if x := math.Abs(f.Number); x > 0 && x < tooSmall && len(r.Figures) > 1 {
				continue
			}
			fmt.Fprintf(t, "  =\t%s", f.Text())
			if f.Density != 0 {
				fmt.Fprintf(t, "\t%s", densityWords(f.Density, u))
			}
			fmt.Fprintln(t)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		if err := printNotes(w, r, u, showWorking); err != nil {
			return err
		}
	}
	return nil
}

func densityWords(d unit.Density, u unit.System) string {
	if d == 0 {
		return ""
	}
	return "at " + u.Density(d)
}

func printNotes(w io.Writer, r convert.Result, u unit.System, showWorking bool) error {
	for _, n := range r.Notes {
		fmt.Fprintf(w, "  %s\n", n)
	}
	if !showWorking {
		return nil
	}
	steps := r.Working(u)
	if err := steps.Verify(); err != nil {
		return fmt.Errorf("the working of %q does not lead to its result: %w", r.Text, err)
	}
	_, err := fmt.Fprintf(w, "\n%s", steps.Text())
	return err
}

// converted is what `convert` prints as JSON.
type converted struct {
	Results  []convertedText `json:"results"`
	Problems problem.List    `json:"problems"`
}

type convertedText struct {
	Text     string            `json:"text"`
	Kind     unit.Kind         `json:"kind"`
	Nutrient unit.Nutrient     `json:"nutrient,omitempty"`
	Figures  []convertedFigure `json:"figures"`
	Notes    []string          `json:"notes,omitempty"`
	Working  working.Working   `json:"working,omitempty"`
}

type convertedFigure struct {
	Number   float64       `json:"number"` // of the unit beside it
	Unit     string        `json:"unit"`
	Nutrient unit.Nutrient `json:"nutrient,omitempty"`
	Density  unit.Density  `json:"density_kg_per_l,omitempty"`
	Text     string        `json:"printed"`
}

func convertedAnswer(results []convert.Result, found problem.List, u unit.System, showWorking bool) converted {
	out := converted{Results: []convertedText{}, Problems: append(problem.List{}, found...)}
	for _, r := range results {
		c := convertedText{Text: r.Text, Kind: r.Given.Kind(), Nutrient: r.Nutrient, Notes: r.Notes}
		for _, f := range r.Figures {
			c.Figures = append(c.Figures, convertedFigure{Number: f.Number, Unit: f.Unit.Name(), Nutrient: f.Nutrient, Density: f.Density, Text: f.Text()})
		}
		if showWorking {
			c.Working = r.Working(u)
		}
		out.Results = append(out.Results, c)
	}
	return out
}
