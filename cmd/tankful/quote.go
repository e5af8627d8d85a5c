package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/plan/dayfile"
	"tankful/plan/offer"
	"tankful/plan/sheet"
)

// quoteFlags are how quotes are made and where they go.
type quoteFlags struct {
	outlines                        outlineFlags
	sheets                          paperFlags
	book, out, areas, against, date string
	programs, with                  []string
	json, csv, office               bool
}

func quoteCommand(e *env) *cobra.Command {
	var f quoteFlags
	cmd := &cobra.Command{
		Use:   "quote --book PRICES.yaml [FILE-OR-FOLDER...]",
		Short: "Quote properties by their measured turf from a price book",
		Long: `Measures each property, rounds its net turf by the rule of the price book, and prices the
book's programs side by side: tiers or bands, set-up, minimum, material, discounts, tax.
Every line is exact to the smallest coin, and the lines add up to the total.

Properties come as outlines, as "tankful measure" reads them, or with --areas as a CSV table
of known areas: property,name,area. With --out a PDF for each customer is written, with
the map, the areas and the agreement, and apart from it the office's copy with costs and
margins; costs are reckoned when the book names an outfit and what work costs.

--against takes an older quotes.json: what changed since is told and why.`,
		Example: `  tankful quote --book prices.yaml streets.geojson
  tankful quote --book prices.yaml --out quotes --with Prepaid lot.geojson
  tankful quote --book prices.yaml --areas street.csv --csv > street-quotes.csv
  tankful quote --book prices.yaml --against quotes/quotes.json --out requote lot.geojson`,
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case f.book == "":
				return &usageError{"tankful quote needs a price book: --book PRICES.yaml", exampleLine(cmd)}
			case len(args) == 0 && f.areas == "":
				return &usageError{"tankful quote needs outlines, or --areas", exampleLine(cmd)}
			}
			return nil
		},
	}
	f.outlines.add(cmd)
	f.outlines.addMeasuring(cmd)
	f.sheets.addPaper(cmd)
	fs := cmd.Flags()
	fs.StringVar(&f.book, "book", "", "the price `book` (YAML)")
	fs.StringVar(&f.out, "out", "", "`folder` for the PDFs and quotes.json (default: print the summary only)")
	fs.StringVar(&f.areas, "areas", "", "a `table` (CSV) of properties whose area is known: property,name,area")
	fs.StringVar(&f.against, "against", "", "an older `quotes.json`: tell what changed")
	fs.StringVar(&f.date, "date", "", "`date` of the quotes, year-month-day (default: today)")
	fs.StringSliceVar(&f.programs, "program", nil, "`programs` of the book to quote (default: all)")
	fs.StringSliceVar(&f.with, "with", nil, "`discounts` of the book that are given by name")
	fs.BoolVar(&f.json, "json", false, "print JSON: areas in SI units, money as text; with costs, for the office")
	fs.BoolVar(&f.csv, "csv", false, "print CSV, a line for each property and option; without costs")
	fs.BoolVar(&f.office, "costs", false, "print costs and margins in the summary too")
	cmd.RunE = func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }
	return cmd
}

func (f *quoteFlags) run(cmd *cobra.Command, e *env, args []string) error {
	if err := oneOf(cmd, "json", "csv"); err != nil {
		return err
	}
	opt, err := f.sheets.options(exampleLine(cmd))
	if err != nil {
		return err
	}
	if info, err := os.Stat(f.out); f.out != "" && err == nil && !info.IsDir() {
		return &usageError{fmt.Sprintf("--out: %s is a file, and a folder is wanted", f.out), exampleLine(cmd)}
	}
	if f.date == "" {
		f.date = time.Now().Format(time.DateOnly)
	}
	book, found, err := f.readBook(cmd)
	if err != nil {
		return err
	}
	if err := found.Err(); err != nil {
		return refuse(e, err, f.json)
	}
	properties, more, err := f.properties(cmd, e, args)
	if err != nil {
		return err
	}
	found = append(found, more...)
	if err := found.Err(); err != nil && len(properties) == 0 {
		return refuse(e, err, f.json)
	}
	old, more, err := f.older()
	if err != nil {
		return err
	}
	if err := more.Err(); err != nil {
		return refuse(e, err, f.json)
	}
	if err := interrupted(cmd.Context()); err != nil {
		return err
	}
	q, more := book.Make(properties, offer.Asked{Date: f.date, Programs: f.programs, With: f.with})
	found = withNew(found, more)
	if q == nil {
		return refuse(e, found.Err(), f.json)
	}
	q.Problems = found
	if old != nil {
		q.Against(old)
	}
	printProblems(e.err, found)
	if f.out != "" {
		if err := writeQuotes(cmd.Context(), e, q, f.out, opt); err != nil {
			return err
		}
	}
	if err := f.print(e, q); err != nil {
		return err
	}
	if len(q.Left) > 0 || found.HasErrors() {
		return &problem.Failed{} // each was told above
	}
	return nil
}

func (f *quoteFlags) readBook(cmd *cobra.Command) (*offer.Book, problem.List, error) {
	data, err := os.ReadFile(f.book)
	if err != nil {
		return nil, nil, fmt.Errorf("read price book: %w", err)
	}
	opt, err := f.outlines.options(cmd)
	if err != nil {
		return nil, nil, err
	}
	book, found := dayfile.ParsePrices(f.book, data, func(path string) ([]byte, error) {
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(f.book), path)
		}
		return os.ReadFile(path)
	}, opt)
	return book, found, nil
}

// properties are those of the outlines and of the table, each once.
func (f *quoteFlags) properties(cmd *cobra.Command, e *env, args []string) (out []offer.Property, ps problem.List, err error) {
	if len(args) > 0 {
		list, err := outlineFiles(args)
		if err != nil {
			return nil, nil, err
		}
		found, err := f.outlines.each(cmd.Context(), e, cmd, list, func(string, string) bool { return false }, func(m measured) error {
			if m.site == nil {
				ps = append(ps, m.problems...)
				return nil
			}
			p := m.site.Property
			name := p.Name
			if name == "" {
				name = p.ID
			}
			m.site.Problems = m.problems
			out = append(out, offer.Property{ID: p.ID, Name: name, Net: m.site.NetArea, Site: m.site, Where: p.Where})
			return nil
		})
		if err != nil {
			return nil, nil, err
		}
		ps = append(ps, found...)
	}
	if f.areas != "" {
		data, err := os.ReadFile(f.areas)
		if err != nil {
			return nil, nil, fmt.Errorf("read areas: %w", err)
		}
		more, found := dayfile.Areas(f.areas, data)
		out, ps = append(out, more...), append(ps, found...)
	}
	seen := map[string]string{}
	for _, p := range out {
		if at, twice := seen[p.ID]; twice {
			ps.Errorf("duplicate-name", p.Where, "Quote each property once, or give it another ID.", "the property %q is there twice, first at %s", p.ID, at)
		}
		seen[p.ID] = p.Where
	}
	if len(out) == 0 && !ps.HasErrors() {
		ps.Errorf("no-properties", strings.Join(append(args, f.areas), " "), "Name a file with outlines of turf.", "there is nothing to quote")
	}
	if ps.HasErrors() && slices.ContainsFunc(ps, func(p problem.Problem) bool { return p.Code == "duplicate-name" }) {
		return nil, ps, nil
	}
	return out, ps, nil
}

func (f *quoteFlags) older() (*offer.Quotes, problem.List, error) {
	if f.against == "" {
		return nil, nil, nil
	}
	data, err := os.ReadFile(f.against)
	if err != nil {
		return nil, nil, fmt.Errorf("read older quotes: %w", err)
	}
	old, found := offer.Read(f.against, data)
	return old, found, nil
}

func (f *quoteFlags) print(e *env, q *offer.Quotes) error {
	switch {
	case f.json:
		return printJSON(e.out, q)
	case f.csv:
		return printQuotesCSV(e.out, q)
	}
	return printQuotes(e.out, q, f.office)
}

// printQuotes is the quotes in short, for a terminal.
func printQuotes(w io.Writer, q *offer.Quotes, costs bool) error {
	b := quote.Book{Places: q.Places}
	if q.Invented {
		fmt.Fprintln(w, "INVENTED DATA: not for use on turf.")
	}
	fmt.Fprintf(w, "%s, %s, valid until %s, in %s\n\n", q.Firm.Name, q.Date, q.ValidUntil, q.Currency)
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	head := "property\tnet turf\tbilled\toption\tvisits\tbefore tax\ttotal"
	if costs {
		head += "\tcost\tmargin"
	}
	fmt.Fprintln(tw, head)
	for i := range q.Quotes {
		x := &q.Quotes[i]
		for k := range x.Options {
			o := &x.Options[k]
			name, net, billed := x.Name, q.Units.Area(x.Net), q.Units.Area(x.Billable)
			if k > 0 {
				name, net, billed = "", "", ""
			}
			fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%d\t%s\t%s", name, net, billed, o.Name, len(o.Visits), b.Print(o.Total.Net), b.Print(o.Total.Pay))
			switch {
			case costs && o.Cost != nil:
				fmt.Fprintf(tw, "\t%s\t%s (%s)", b.Print(o.Cost.Sum), b.Print(o.Cost.Margin), o.Cost.Share)
			case costs:
				fmt.Fprint(tw, "\t-\t-")
			}
			fmt.Fprintln(tw)
		}
	}
	tw.Flush()
	for i := range q.Quotes {
		for _, c := range q.Quotes[i].Changes {
			fmt.Fprintf(w, "%s: %s was %s and is %s\n", q.Quotes[i].Name, c.What, c.Old, c.New)
		}
	}
	for _, id := range q.Left {
		fmt.Fprintf(w, "NOT QUOTED: %s\n", id)
	}
	_, err := fmt.Fprintf(w, "%s\nQuote %s\n", quote.Ties, q.Fingerprint)
	return err
}

// printQuotesCSV is a line for each property and option, for a spreadsheet.
func printQuotesCSV(w io.Writer, q *offer.Quotes) error {
	b := quote.Book{Places: q.Places}
	plain := func(m quote.Money) string { return strings.ReplaceAll(b.Print(m), ",", "") }
	out := csv.NewWriter(w)
	_ = out.Write([]string{"property", "name", "net_m2", "billable_m2", "option", "visits", "visits_sum", "discounts", "before_tax", "tax", "total", "currency", "date", "valid_until"})
	for i := range q.Quotes {
		x := &q.Quotes[i]
		for k := range x.Options {
			o := &x.Options[k]
			_ = out.Write([]string{x.Property, x.Name, squareMetres(x.Net), squareMetres(x.Billable), o.Name, fmt.Sprint(len(o.Visits)), plain(o.Total.Visits), plain(quote.Sub(o.Total.Visits, o.Total.Net)), plain(o.Total.Net), plain(o.Total.Tax),
				plain(o.Total.Pay), q.Currency, q.Date, q.ValidUntil})
		}
	}
	out.Flush()
	return out.Error()
}

// writeQuotes writes a PDF for each customer, the office's copy, and the quotes as JSON.
func writeQuotes(ctx context.Context, e *env, q *offer.Quotes, dir string, opt sheet.Options) error {
	to, err := makeFolder(dir)
	if err != nil {
		return err
	}
	s := sheetWriter{env: e, dir: to, opt: opt}
	data, err := json.MarshalIndent(q, "", "  ")
	if err != nil {
		return fmt.Errorf("write quotes: %w", err)
	}
	if err := to.write("quotes.json", append(data, '\n')); err != nil {
		return err
	}
	pr := e.progress("drawing", len(q.Quotes))
	defer pr.end()
	if err := s.quotes(ctx, q, "", []string{"pdf"}, mapDPI, pr.step); err != nil {
		return fmt.Errorf("the quotes in %s are not complete: %w", dir, err)
	}
	fmt.Fprintf(e.err, "wrote %s, the office's copy and quotes.json, in %s\n", plural(len(q.Quotes), "quote"), dir)
	return nil
}

// quotes draws the quotes: of one property, or of all with the office's copy.
func (s *sheetWriter) quotes(ctx context.Context, q *offer.Quotes, property string, formats []string, dpi float64, step func()) error {
	quiet := *s // the summary is the answer, not the names of files
	quiet.env = &env{out: io.Discard, err: s.err}
	for i := range q.Quotes {
		x := &q.Quotes[i]
		if property != "" && x.Property != property {
			continue
		}
		if err := interrupted(ctx); err != nil {
			return err
		}
		doc, err := sheet.Quote(q, x.Property, s.opt)
		if err != nil {
			return err
		}
		if err := quiet.pages(doc, s.free(fileName(q.Date, "quote", x.Property)), formats, dpi); err != nil {
			return err
		}
		step()
	}
	if property != "" {
		return nil
	}
	doc, err := sheet.QuoteOffice(q, s.opt)
	if err != nil {
		return err
	}
	return quiet.pages(doc, s.free(fileName(q.Date, "office")), formats, dpi)
}

// free is a name that this run has not written yet: two IDs may differ in letters that a file name does without.
func (s *sheetWriter) free(name string) string {
	taken := func(name string) bool {
		for n := range s.dir.wrote {
			if strings.HasPrefix(n, name+".") || strings.HasPrefix(n, name+"-0") {
				return true
			}
		}
		return false
	}
	out := name
	for n := 2; taken(out); n++ {
		out = fmt.Sprintf("%s-%d", name, n)
	}
	return out
}

// squareMetres is an area for a table: m2 to a hundredth, without thousands.
func squareMetres(a unit.Area) string { return strconv.FormatFloat(a.In(unit.SquareMetre), 'f', 2, 64) }
