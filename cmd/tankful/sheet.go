package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/plan"
	"tankful/plan/dayfile"
	"tankful/plan/offer"
	"tankful/plan/sheet"
)

// The parts that --only knows, and the formats.
var (
	sheetParts   = []string{string(sheet.Loads), string(sheet.Stops), string(sheet.Working), "notice", "quote"}
	sheetFormats = []string{"pdf", "svg", "png", "html"}
)

// sheetFlags are what is asked for of a plan.
type sheetFlags struct {
	paperFlags
	out, stop, truck, done string
	only, formats          []string
	dpi                    float64
}

func sheetCommand(e *env) *cobra.Command {
	var f sheetFlags
	cmd := &cobra.Command{
		Use:   "sheet PLAN.json|QUOTES.json",
		Short: "Draw the sheets of a plan again, or some of them",
		Long: `Draws the sheets of a plan.json that "tankful day" wrote, without planning again: the same
plan gives the same sheets. A plan that was changed by hand is refused.

--only draws a part: loads (the load sheet), stops (a sheet for each stop), working (how the
amounts were come by), notice (what stays with the customer). --stop keeps one property.
Notices show what is planned, with blanks; with --done, a CSV table of what was done, they
are filled. Its columns: property, date, began, finished, applicator, licence, product,
amount, wind, wind_from, temperature, remarks; property must be there.

A quotes.json of "tankful quote" is drawn again too: all quotes with the office's copy, or
with --stop that of one property.`,
		Example: `  tankful sheet monday/plan.json
  tankful sheet monday/plan.json --only stops --stop gull-row-4
  tankful sheet monday/plan.json --only notice --done done.csv --out notices
  tankful sheet monday/plan.json --only loads --format png --paper a4`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"tankful sheet takes one plan.json", exampleLine(cmd)}
			}
			return nil
		},
	}
	f.paperFlags.add(cmd)
	cmd.Flags().StringVar(&f.out, "out", "", "`folder` for the sheets (default: that of the plan)")
	cmd.Flags().StringSliceVar(&f.only, "only", nil, "`parts` to draw: "+strings.Join(sheetParts, ", "))
	cmd.Flags().StringVar(&f.stop, "stop", "", "draw the stops of one `property` only, by its ID")
	cmd.Flags().StringVar(&f.truck, "truck", "", "draw the sheets of one `truck` only, by its name")
	cmd.Flags().StringVar(&f.done, "done", "", "fill the notices from a `table` (CSV) of what was done")
	cmd.Flags().StringSliceVar(&f.formats, "format", nil, "`formats` to draw parts in: pdf (the default), svg, png, html; several with commas")
	cmd.Flags().Float64Var(&f.dpi, "dpi", mapDPI, "resolution of PNG pages, 36 to 600")
	completeWith(cmd, "only", sheetParts...)
	completeWith(cmd, "format", sheetFormats...)
	cmd.RunE = func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args[0]) }
	return cmd
}

func (f *sheetFlags) run(cmd *cobra.Command, e *env, name string) error {
	try := exampleLine(cmd)
	opt, err := f.options(try)
	if err != nil {
		return err
	}
	if err := f.check(try); err != nil {
		return err
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return fmt.Errorf("read plan: %w", err)
	}
	if q, ok, err := f.asQuotes(name, data, try); ok {
		if err != nil {
			return err
		}
		return f.quotes(cmd, e, q, name, opt)
	}
	p, found := plan.Read(name, data)
	if err := found.Err(); err != nil {
		return err
	}
	s := &sheetWriter{env: e, p: p, opt: opt}
	if f.done != "" {
		table, err := os.ReadFile(f.done)
		if err != nil {
			return fmt.Errorf("read what was done: %w", err)
		}
		done, found := dayfile.Applied(f.done, table, p)
		if err := found.Err(); err != nil {
			return err
		}
		s.done = done
	}
	if err := f.known(p, name); err != nil {
		return err
	}
	s.opt.Property = f.stop
	if f.out == "" {
		f.out = filepath.Dir(name)
	}
	if s.dir, err = makeFolder(f.out); err != nil {
		return err
	}
	printProblems(e.err, p.Problems)
	if len(f.only)+len(f.formats) == 0 && f.stop == "" && f.truck == "" {
		if err := s.all(cmd.Context()); err != nil {
			return fmt.Errorf("the sheets in %s are not complete: %w", f.out, err)
		}
		fmt.Fprintf(e.err, "wrote %s\n", s.what())
		return nil
	}
	return f.parts(cmd, s)
}

// what says what all writes.
func (s *sheetWriter) what() string {
	return fmt.Sprintf("%s as SVG and PNG, the overview as these and PDF, a calendar, the notices and the file for a phone, in %s", plural(len(s.p.Stops), "map"), s.dir.dir)
}

// check refuses words and figures that the flags do not know.
func (f *sheetFlags) check(try string) error {
	for _, x := range f.only {
		if !slices.Contains(sheetParts, x) {
			return &usageError{fmt.Sprintf("--only: %q is not one of %s", x, strings.Join(sheetParts, ", ")), try}
		}
	}
	for _, x := range f.formats {
		if !slices.Contains(sheetFormats, x) {
			return &usageError{fmt.Sprintf("--format: %q is not one of %s", x, strings.Join(sheetFormats, ", ")), try}
		}
	}
	if !(f.dpi >= 36 && f.dpi <= 600) {
		return &usageError{fmt.Sprintf("--dpi: %g is not from 36 to 600", f.dpi), try}
	}
	if f.done != "" && len(f.only) > 0 && !slices.Contains(f.only, "notice") {
		return &usageError{"--done fills notices, and --only leaves them out", try}
	}
	return nil
}

// known refuses a stop or a truck that the plan does not have.
func (f *sheetFlags) known(p *plan.Plan, name string) error {
	var ps problem.List
	if f.stop != "" && len(p.StopsAt(f.stop)) == 0 {
		var ids []string
		for i := range p.Stops {
			ids = append(ids, p.Stops[i].Property)
		}
		ps.Errorf("unknown-property", name, "Write one of: "+strings.Join(slices.Compact(ids), ", ")+".", "the plan has no stop at %q", f.stop)
	}
	if f.truck != "" && !slices.ContainsFunc(p.Trucks, func(t plan.TruckDay) bool { return t.Truck == f.truck }) {
		var names []string
		for _, t := range p.Trucks {
			names = append(names, t.Truck)
		}
		ps.Errorf("unknown-truck", name, "Write one of: "+strings.Join(names, ", ")+".", "the plan has no truck %q", f.truck)
	}
	return ps.Err()
}

// parts draws what is asked for of each truck that has it.
func (f *sheetFlags) parts(cmd *cobra.Command, s *sheetWriter) error {
	formats := f.formats
	if len(formats) == 0 {
		formats = []string{"pdf"}
	}
	only := f.only
	switch {
	case len(only) == 0 && f.stop != "":
		only = []string{string(sheet.Stops)}
	case len(only) == 0:
		only = []string{""} // the whole document
	}
	for i := range s.p.Trucks {
		truck := s.p.Trucks[i].Truck
		if f.truck != "" && truck != f.truck || f.stop != "" && !s.goesTo(truck, f.stop) {
			continue
		}
		prefix := s.prefix(truck)
		s.dir.wrote[prefix+".pdf"] = true // the name is taken
		for _, part := range only {
			if err := interrupted(cmd.Context()); err != nil {
				return err
			}
			opt, name := s.opt, prefix
			var doc *sheet.Document
			var err error
			if part != "" {
				name += "-" + part
			}
			if f.stop != "" {
				name = fileName(name, f.stop)
			}
			if part == "notice" {
				doc, err = sheet.Notices(s.p, truck, opt, s.done)
			} else {
				if part != "" {
					opt.Only = []sheet.Part{sheet.Part(part)}
				}
				doc, err = sheet.Truck(s.p, truck, opt)
			}
			if err != nil {
				return fmt.Errorf("lay out the sheets of %s: %w", truck, err)
			}
			if err := s.pages(doc, name, formats, f.dpi); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *sheetWriter) goesTo(truck, property string) bool {
	return slices.ContainsFunc(s.p.StopsAt(property), func(x *plan.StopPlan) bool { return x.Truck == truck })
}

// asQuotes reads quotes; ok is false when the file is something else, such as a plan.
func (f *sheetFlags) asQuotes(name string, data []byte, try string) (q *offer.Quotes, ok bool, err error) {
	var head struct {
		Layout int `json:"tankful_quotes"`
	}
	others := slices.ContainsFunc(f.only, func(part string) bool { return part != "quote" })
	if json.Unmarshal(data, &head) != nil || head.Layout == 0 {
		if slices.Contains(f.only, "quote") {
			return nil, true, &usageError{"--only quote draws a quotes.json, which tankful quote writes; " + name + " is none", try}
		}
		return nil, false, nil
	}
	if others || f.truck != "" || f.done != "" {
		return nil, true, &usageError{"a file of quotes has quotes only: --only quote, and neither --truck nor --done", try}
	}
	q, found := offer.Read(name, data)
	return q, true, found.Err()
}

// quotes draws quotes again.
func (f *sheetFlags) quotes(cmd *cobra.Command, e *env, q *offer.Quotes, name string, opt sheet.Options) error {
	if f.stop != "" && !slices.ContainsFunc(q.Quotes, func(x offer.Quote) bool { return x.Property == f.stop }) {
		var ids []string
		for _, x := range q.Quotes {
			ids = append(ids, x.Property)
		}
		var ps problem.List
		ps.Errorf("unknown-property", name, "Write one of: "+strings.Join(ids, ", ")+".", "there is no quote for %q", f.stop)
		return ps.Err()
	}
	if f.out == "" {
		f.out = filepath.Dir(name)
	}
	dir, err := makeFolder(f.out)
	if err != nil {
		return err
	}
	formats := f.formats
	if len(formats) == 0 {
		formats = []string{"pdf"}
	}
	s := sheetWriter{env: e, dir: dir, opt: opt}
	if err := s.quotes(cmd.Context(), q, f.stop, formats, f.dpi, func() {}); err != nil {
		return fmt.Errorf("the quotes in %s are not complete: %w", f.out, err)
	}
	fmt.Fprintf(e.err, "wrote %s in %s\n", plural(len(dir.wrote), "file"), f.out)
	return nil
}
