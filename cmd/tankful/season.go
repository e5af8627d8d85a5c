package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/plan/dayfile"
)

// seasonEntries is what the command takes.
type seasonEntries struct {
	labels, record, date, property, grass, applicator string
	products                                          []pair
}

func (s *seasonEntries) entries() []entry {
	return []entry{
		{name: "labels", usage: "the YAML file with products, and limits of the place; a day file serves", example: "labels.yaml", need: true, set: into(&s.labels, word)},
		{name: "record", usage: "the CSV table of past applications: date, property, product, and rate or amount and area", example: "record.csv", set: into(&s.record, word)},
		{name: "property", usage: "the property's ID", example: "P-01", need: true, set: into(&s.property, word)},
		{name: "date", usage: "date of the visit", example: "2027-04-05", note: "Enter for today", set: into(&s.date, isoDate)},
		{name: "product", usage: "a product and its rate, `name=rate`, per area or of a nutrient", example: "feed=6 fl oz/1000 sq ft", need: true, several: true,
			set: onto(&s.products, pairOf("feed=6 fl oz/1000 sq ft"))},
		{name: "grass", usage: "its grass, where limits ask for it", set: into(&s.grass, word)},
		{name: "applicator", usage: "kind of the applicator, where limits ask for it", example: "gun", set: into(&s.applicator, word)},
	}
}

func seasonCommand(e *env) *cobra.Command {
	s := &seasonEntries{}
	f := &form{entries: s.entries()}
	var how style
	cmd := &cobra.Command{
		Use:   "season",
		Short: "What a visit adds to the year, against every cap, blackout and interval",
		Long: `Adds up what a property had (nitrogen quick and slow, P2O5, K2O, each product), holds a planned
visit against the labels' limits and the local ones, and says the largest rate and the earliest
date that would do. Limits are your own entries with their citation: no law ships with the program.
A limit that is broken is an error.

The file of labels has products and limits, such as

  products:
    - name: Feed
      form: liquid               # liquid, dry or granule
      class: soluble             # how it mixes; not for a granule
      density: 10.2 lb/gal
      analysis: {grade: 18-0-4, slow_n: 6 %}
      label: {most: 20 fl oz/1000 sq ft, interval: 21 days, citation: its label}
  limits:
    - {of: N, per: application, most: 0.9 lb/1000 sq ft, citation: the rule, dated: 2026-01-05}
    - {of: N, per: year, most: 3 lb/1000 sq ft, citation: the rule, dated: 2026-01-05}
    - {of: N, blackout: {from: 11-15, to: 03-01}, citation: the rule, dated: 2026-01-05}

The record has a line for each application, with a rate, or an amount and its area:

  date,property,product,rate,amount,area
  2026-03-05,P-01,Feed,12 fl oz/1000 sq ft,,
  2026-04-20,P-01,Feed,,60 fl oz,"5,200 sq ft"`,
		Example: `  tankful season --labels day.yaml --record record.csv --property P-01 --date 2027-06-01 --product "Feed 18-0-4=12 fl oz/1000 sq ft"
  tankful season --labels labels.yaml --property P-01 --product "Granule=0.7 lb N/1000 sq ft" --working`,
		Args: quotedArgs,
	}
	f.add(cmd)
	how.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		asked, err := f.read(e, cmd, []string{"Whether a visit keeps to the caps of the season."})
		if err != nil {
			return refuse(e, err, how.json)
		}
		r, found, err := s.check()
		if err != nil {
			return afterAsking(err, asked)
		}
		if r.Date == "" { // an entry is at fault, and there is nothing to show
			return refuse(e, afterAsking(found.Err(), asked), how.json)
		}
		if err := printSeason(e, s, r, found, &how); err != nil {
			return err
		}
		sayAgain(e, asked)
		return found.Err() // a broken limit is the answer, and an error
	}
	return cmd
}

// verdict is the answer in one line.
func (s *seasonEntries) verdict(r season.Result) string {
	text := fmt.Sprintf("%s on %s: ", s.property, r.Date)
	switch broken := brokenLimits(r); {
	case r.Allowed && len(r.Lines) == 0:
		return text + "no limit is entered, so that nothing was checked.\n"
	case r.Allowed:
		return text + "within every limit that is entered.\n"
	case r.Earliest != "":
		return text + fmt.Sprintf("do not treat: it breaks %s. As planned it may be done from %s on.\n", plural(broken, "limit"), r.Earliest)
	default:
		return text + fmt.Sprintf("do not treat: it breaks %s, on every date looked at.\n", plural(broken, "limit"))
	}
}

func brokenLimits(r season.Result) (n int) {
	for _, l := range r.Lines {
		if l.Broken {
			n++
		}
	}
	return n
}

func printSeason(e *env, s *seasonEntries, r season.Result, found problem.List, how *style) error {
	u := *how.units
	if how.json {
		rest := struct {
			Working  working.Working `json:"working,omitempty"`
			Problems problem.List    `json:"problems"`
		}{Problems: append(problem.List{}, found...)}
		if how.working {
			rest.Working = r.Working(u)
		}
		whole, err := joined(r, rest)
		if err != nil {
			return err
		}
		return printJSON(e.out, whole)
	}
	fmt.Fprintln(e.out, s.verdict(r))
	if err := printFacts(e.out, r.Facts(u)); err != nil {
		return err
	}
	if how.working {
		fmt.Fprintf(e.out, "\n%s%s", workingHead, r.Working(u).Text())
	}
	if !found.HasErrors() { // else they are printed as the error
		printProblems(e.err, found)
	}
	_, err := fmt.Fprintln(e.out, "\nThe product label is the law and overrides these figures; so do local rules that are not entered.")
	return err
}

// check reads the files and holds the visit against the limits.
func (s *seasonEntries) check() (r season.Result, found problem.List, err error) {
	data, err := os.ReadFile(s.labels)
	if err != nil {
		return r, nil, err
	}
	products, limits, found := dayfile.Labels(filepath.Base(s.labels), data)
	unread := found.HasErrors() // then a name may be missing for that reason
	mendLabels(found)
	known := season.Season{Limits: limits, Products: products}
	if s.record != "" && !found.HasErrors() {
		if data, err = os.ReadFile(s.record); err != nil {
			return r, nil, err
		}
		past, more := dayfile.Record(filepath.Base(s.record), data, products)
		known.Past, found = past, append(found, more...)
	}
	if !found.HasErrors() {
		s.noRecord(known.Past, &found)
	}
	v := season.Visit{Date: s.date, Property: s.property, Grass: s.grass, Applicator: s.applicator, Where: "command line"}
	if v.Date == "" {
		v.Date = today()
	}
	for _, p := range s.products {
		if unread {
			break
		}
		part, more := visitPart(p, filepath.Base(s.labels), products)
		found = append(found, more...)
		v.Parts = append(v.Parts, part)
	}
	if found.HasErrors() {
		return r, found, nil
	}
	r, more := known.Check(v)
	return r, append(found, more...), nil
}

// noRecord says when a property counts as untouched because nothing is recorded of it: a slip in its ID does that, too.
func (s *seasonEntries) noRecord(past []season.Applied, found *problem.List) {
	var others []string
	for _, a := range past {
		if a.Property == s.property {
			return
		}
		if !slices.Contains(others, a.Property) && len(others) < 12 {
			others = append(others, a.Property)
		}
	}
	switch {
	case s.record == "":
		found.Notef("no-record", "command line", "Give the record of past applications with --record, unless there were none.", "no record is given, so that %s counts as having had nothing", s.property)
	case len(others) == 0:
		found.Notef("no-record", filepath.Base(s.record), "Add the past applications, unless there were none.", "the record is empty, so that %s counts as having had nothing", s.property)
	default:
		found.Warnf("property-not-recorded", filepath.Base(s.record), "Check the property's ID, unless it had nothing yet.",
			"the record has nothing of %s, which counts as having had nothing; it has %s", s.property, strings.Join(others, ", "))
	}
}

// visitPart reads a product's rate, given per area or of a nutrient.
func visitPart(p pair, file string, products []label.Product) (part season.Part, found problem.List) {
	i := slices.IndexFunc(products, func(q label.Product) bool { return q.Name == p.name })
	if i < 0 {
		unknownProduct(&found, "--product", p.name, file, products)
		return part, found
	}
	part.Product = products[i]
	if n, rate, err := unit.ParseNutrientRate(p.value); err == nil {
		c, found := part.Product.Content(string(n), label.Total, "--product")
		if found.HasErrors() {
			return part, found
		}
		d, more := c.ForWeight(rate, "--product")
		part.Rate = d.Rate
		return part, append(found, more...)
	}
	rate, err := label.ParseRate(p.value, part.Product.Form)
	if err != nil {
		found.Errorf("quantity", "--product", "Write the rate with its units, such as 6 fl oz/1000 sq ft or 0.7 lb N/1000 sq ft.", "%s: %v", p.name, err)
	}
	part.Rate = rate
	return part, found
}
