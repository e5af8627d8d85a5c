package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/tape"
)

func tapeCommand(e *env) *cobra.Command {
	var accuracy unit.Length
	var asJSON, asCSV bool
	cmd := &cobra.Command{
		Use:   "tape {FILE | LINE}...",
		Short: "Add up plain shapes measured with a tape or a wheel",
		Long: `Adds up turf that was measured as plain shapes, without a map, and takes off what stands
on it. Each line is a shape; a line that begins with "less" is taken off:

  property P-07 Corner lot
  front: rectangle 90 ft x 50 ft
  side: triangle base 125 ft height 75 ft       (or: triangle sides 30 ft 40 ft 50 ft)
  back: trapezoid 90 ft and 60 ft, 80 ft apart  (the two parallel sides, and their distance)
  island: circle radius 30 ft                   (or: circle across 60 ft)
  strip: offsets every 10 ft: 32 ft 50 ft 45 ft 17 ft
  knoll: radii 48 ft 52 ft 50 ft 51 ft
  less house: rectangle 50 ft x 25 ft

Also: square, parallelogram, ellipse (across both ways), L (two rectangles). Offsets are widths at
equal steps along a line that ends in points; where it does not, write "offsets every 10 ft with
ends:" and give the widths at both ends too. Every length needs its unit; 12 ft 6 in and 12'6" are
one length. The word after less says what it is: house, drive, bed, pond; others are keep-off.

An argument with a shape's word in it is a line, "-" is the standard input, others are files.`,
		Example: `  tankful tape "trapezoid 90 ft and 60 ft, 80 ft apart" "less house: rectangle 50 ft x 25 ft"
  tankful tape --accuracy "0.5 ft" lots.txt
  tankful tape --units metric --json lots.txt`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return &usageError{cmd.CommandPath() + " needs a line or a file", exampleLine(cmd)}
			}
			return nil
		},
	}
	units := unitsFlag(cmd)
	fs := cmd.Flags()
	fs.Var(&accuracy, "accuracy", "how well each length is known, one standard deviation, such as \"0.5 ft\" (default: no +- is given)")
	fs.Lookup("accuracy").DefValue = ""
	fs.BoolVar(&asJSON, "json", false, "print JSON, in SI units")
	fs.BoolVar(&asCSV, "csv", false, "print CSV, in SI units")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := oneOf(cmd, "json", "csv"); err != nil {
			return err
		}
		if fs.Changed("accuracy") && !(accuracy > 0) {
			return &usageError{"--accuracy must be above zero", cmd.CommandPath() + " --accuracy \"0.5 ft\" FILE"}
		}
		props, found, err := readTapes(args, tape.Options{Accuracy: accuracy, Units: *units})
		if err != nil {
			return err
		}
		switch {
		case asJSON:
			err = printJSON(e.out, tapeAnswer(props, found, accuracy > 0))
		case asCSV:
			err = tapeCSV(e.out, props, accuracy > 0)
		default:
			err = tapeTable(e.out, props, accuracy, *units)
		}
		if err != nil {
			return err
		}
		all := append(problem.List{}, found...)
		for _, p := range props {
			all = append(all, p.Problems...)
		}
		all.Sort()
		return endProblems(e, all)
	}
	return cmd
}

// readTapes reads files, and the lines among the arguments as one more.
func readTapes(args []string, opt tape.Options) (props []*tape.Property, found problem.List, err error) {
	take := func(name, text, id string) {
		opt.ID = id
		ps, list := tape.Read(name, text, opt)
		props, found = append(props, ps...), append(found, list...)
	}
	var lines []string
	for _, a := range args {
		if tape.IsLine(a) {
			lines = append(lines, strings.ReplaceAll(a, "\n", " "))
		}
	}
	if len(lines) > 0 {
		take("command line", strings.Join(lines, "\n"), "tape")
	}
	for _, a := range args {
		if tape.IsLine(a) {
			continue
		}
		text, err := tapeFile(a)
		if err != nil {
			return nil, nil, err
		}
		take(a, text, "")
	}
	seen := map[string]bool{}
	for _, p := range props {
		if seen[p.ID] && !p.Problems.HasErrors() {
			p.Problems.Warnf("property-repeated", p.Where, "Give each property an id of its own.", "property %q is there more than once; they are added up apart", p.ID)
		}
		seen[p.ID] = true
	}
	return props, found, nil
}

// tapeFile reads a file, or the standard input by the name "-", to just over the size that is refused.
func tapeFile(path string) (string, error) {
	in := os.Stdin
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			return "", fmt.Errorf("read shapes: %w", err)
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, tape.MaxBytes+1))
	if err != nil {
		return "", fmt.Errorf("read shapes: %w", err)
	}
	return string(data), nil
}

// taped is what `tape` prints. A figure that is not to be trusted, or not known, is null.
type taped struct {
	Properties []tapedProperty `json:"properties"`
	Problems   problem.List    `json:"problems"`
}

type tapedProperty struct {
	ID          string                    `json:"id"`
	Name        string                    `json:"name"`
	Turf        *unit.Area                `json:"turf_m2"`
	ExcludedSum *unit.Area                `json:"excluded_m2"`
	Net         *unit.Area                `json:"net_m2"`
	Excluded    map[geo.Surface]unit.Area `json:"excluded"`
	PlusMinus   *unit.Area                `json:"plus_minus_m2"`
	Lines       []tapedLine               `json:"lines"`
	Problems    problem.List              `json:"problems"`
}

type tapedLine struct {
	Name      string       `json:"name"`
	Surface   geo.Surface  `json:"surface"`
	Less      bool         `json:"less"`
	Method    string       `json:"method"`
	Area      unit.Area    `json:"area_m2"`
	Perimeter *unit.Length `json:"perimeter_m"`
	Working   string       `json:"working"`
	PlusMinus *unit.Area   `json:"plus_minus_m2"`
}

func tapeAnswer(props []*tape.Property, found problem.List, sure bool) taped {
	out := taped{Properties: []tapedProperty{}, Problems: append(problem.List{}, found...)}
	for _, p := range props {
		t := tapedProperty{ID: p.ID, Name: p.Name, Lines: []tapedLine{}, Problems: append(problem.List{}, p.Problems...)}
		if !p.Problems.HasErrors() {
			t.Turf, t.ExcludedSum, t.Net, t.Excluded = &p.Turf, &p.Excluded, &p.Net, p.By
			if sure {
				t.PlusMinus = &p.PlusMinus
			}
		}
		for i := range p.Lines {
			l := &p.Lines[i]
			line := tapedLine{Name: l.Name, Surface: l.Surface, Less: l.Less, Method: l.Method, Area: l.Area, Working: l.Working}
			if l.Perimeter > 0 {
				line.Perimeter = &l.Perimeter
			}
			if sure {
				line.PlusMinus = &l.PlusMinus
			}
			t.Lines = append(t.Lines, line)
		}
		out.Properties = append(out.Properties, t)
	}
	return out
}

func tapeTable(w io.Writer, props []*tape.Property, accuracy unit.Length, u unit.System) error {
	sum, counted := unit.Area(0), 0
	for i, p := range props {
		if i > 0 {
			fmt.Fprintln(w)
		}
		name := p.ID
		if p.Name != p.ID {
			name += " " + p.Name
		}
		if p.Problems.HasErrors() {
			fmt.Fprintf(w, "%s: not measured\n", name)
			continue
		}
		fmt.Fprintln(w, name)
		if err := tapeProperty(w, p, accuracy > 0, u); err != nil {
			return err
		}
		sum += u.RoundArea(p.Net)
		counted++
	}
	if counted > 1 {
		fmt.Fprintf(w, "\n%d properties: net turf %s\n", counted, u.Area(sum))
	}
	if accuracy > 0 && counted > 0 {
		fmt.Fprintf(w, "+- is the 95 %% range from lengths that are known to %s each.\n", tapeLength(accuracy, u))
	}
	return nil
}

// tapeLength prints an accuracy to the inch or the centimetre.
func tapeLength(l unit.Length, u unit.System) string {
	if u == unit.Metric {
		return unit.Number(l.In(unit.Metre), 2) + " m"
	}
	return unit.Number(l.In(unit.Foot), 2) + " ft"
}

func tapeProperty(w io.Writer, p *tape.Property, sure bool, u unit.System) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	end := func(pm unit.Area) string {
		if !sure {
			return ""
		}
		return "\t+- " + u.Area(pm)
	}
	for i := range p.Lines {
		l := &p.Lines[i]
		name := l.Name
		if l.Less {
			name = strings.TrimSpace("less " + name)
		}
		edge := ""
		if l.Perimeter > 0 {
			edge = ", edge " + u.Length(l.Perimeter)
		}
		fmt.Fprintf(t, "  %s\t%s\t%s%s%s\n", name, l.Method, l.Working, edge, end(l.PlusMinus))
	}
	fmt.Fprintf(t, "  turf\t\t%s\n", u.Area(p.Turf))
	for _, s := range geo.LeftOut {
		if a := p.By[s]; a > 0 {
			fmt.Fprintf(t, "  less %s\t\t%s\n", s, u.Area(a))
		}
	}
	fmt.Fprintf(t, "  net turf\t\t%s%s\n", u.Area(p.Net), end(p.PlusMinus))
	return t.Flush()
}

func tapeCSV(w io.Writer, props []*tape.Property, sure bool) error {
	c := csv.NewWriter(w)
	head := []string{"id", "name", "turf_m2", "excluded_m2", "net_m2", "plus_minus_m2"}
	for _, s := range geo.LeftOut {
		head = append(head, "excluded_"+strings.ReplaceAll(string(s), "-", "_")+"_m2")
	}
	rows := [][]string{append(head, "problems")}
	for _, p := range props {
		row := []string{plainCell(p.ID), plainCell(p.Name)}
		figures := []unit.Area{p.Turf, p.Excluded, p.Net, p.PlusMinus}
		for _, s := range geo.LeftOut {
			figures = append(figures, p.By[s])
		}
		for i, a := range figures {
			text := strconv.FormatFloat(a.In(unit.SquareMetre), 'f', -1, 64)
			if p.Problems.HasErrors() || i == 3 && !sure {
				text = ""
			}
			row = append(row, text)
		}
		var codes []string
		for _, x := range p.Problems {
			codes = append(codes, x.Code)
		}
		rows = append(rows, append(row, strings.Join(codes, " ")))
	}
	return c.WriteAll(rows)
}
