package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/offer"
)

// quoteCautions stand on every quote, before those of the book.
var quoteCautions = []string{
	"The product labels are the law and override this quote. A product may be replaced when its label or local rules ask for it; you will be told before.",
	"Work is done under the licence that the state requires. Local rules on notice, signs and dates come first.",
	"Keep people and pets off as the labels and the notice after each visit say.",
}

// quoteMapHigh leaves room for the options below the map.
const quoteMapHigh = 100 * unit.Millimetre

// quoteWriter prints the quotes of one run.
type quoteWriter struct {
	q   *offer.Quotes
	b   quote.Book // for printing money
	u   unit.System
	opt Options
}

func newQuoteWriter(q *offer.Quotes, opt Options) (*quoteWriter, error) {
	if q == nil || q.Units != unit.US && q.Units != unit.Metric {
		return nil, fmt.Errorf("sheet: no quotes")
	}
	return &quoteWriter{q: q, b: quote.Book{Places: q.Places}, u: q.Units, opt: opt}, nil
}

func (w *quoteWriter) document(title string) (*Document, error) {
	paper, err := w.opt.paper(w.u)
	if err != nil {
		return nil, err
	}
	return &Document{Title: title, Date: w.q.Date, Fingerprint: w.q.Fingerprint, What: "quote", Paper: paper, Invented: w.q.Invented}, nil
}

// Quote is what the customer of one property gets: no cost and no margin is in it. It fails when there is no such quote.
func Quote(q *offer.Quotes, property string, opt Options) (*Document, error) {
	w, err := newQuoteWriter(q, opt)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(q.Quotes, func(x offer.Quote) bool { return x.Property == property })
	if i < 0 {
		return nil, fmt.Errorf("sheet: there is no quote for %q", property)
	}
	x := &q.Quotes[i]
	d, err := w.document(fmt.Sprintf("Quote, %s, %s", orDash(x.Name), q.Date))
	if err != nil {
		return nil, err
	}
	pg := Page{Title: "Quote for " + orDash(x.Name), Stop: 0,
		Subtitle: fmt.Sprintf("%s  ·  %s  ·  valid until %s  ·  property %s", w.q.Firm.Name, q.Date, q.ValidUntil, x.Property)}
	pg.Blocks = append(pg.Blocks, w.prices(x), w.ground(x))
	pg.Blocks = append(pg.Blocks, w.sideBySide(x)...)
	pg.Blocks = append(pg.Blocks, Break{})
	for k := range x.Options {
		pg.Blocks = append(pg.Blocks, w.program(&x.Options[k])...)
	}
	pg.Blocks = append(pg.Blocks, w.substances(x)...)
	pg.Blocks = append(pg.Blocks, w.terms()...)
	pg.Blocks = append(pg.Blocks, w.contract(x)...)
	d.Pages = []Page{pg}
	return d, nil
}

func (w *quoteWriter) money(m quote.Money) string { return w.b.Print(m) }

// pay is an amount with its currency.
func (w *quoteWriter) pay(m quote.Money) string { return w.b.Print(m) + " " + w.q.Currency }

// prices are the options with what is paid for each.
func (w *quoteWriter) prices(x *offer.Quote) Block {
	f := Figures{}
	for i := range x.Options {
		f.Items = append(f.Items, Figure{x.Options[i].Name, w.pay(x.Options[i].Total.Pay)})
	}
	if len(f.Items) > 4 {
		f.Items = f.Items[:4] // the table below has all
	}
	return f
}

// ground is the map with the areas below it, or the area alone.
func (w *quoteWriter) ground(x *offer.Quote) Block {
	t := Table{Columns: []Column{{Head: "Area", Align: Left}, {Head: areaUnitOf(w.u), Align: Right}}}
	row := func(what string, a unit.Area, bold bool, sign string) {
		t.Rows = append(t.Rows, Row{Cells: []string{what, sign + strings.TrimSuffix(w.u.Area(a), " "+areaUnitOf(w.u))}, Bold: bold})
	}
	sure := Text{Text: "The area is as given; it was not measured from an outline.", Style: Small}
	if ms := x.Measure; ms != nil {
		row("Turf as drawn", ms.Turf, false, "")
		for _, sf := range geo.LeftOut {
			if a, ok := ms.Excluded[sf]; ok {
				row("less "+strings.ToLower(surfaceWords[sf]), a, false, "-")
			}
		}
		sure.Text = fmt.Sprintf("Measured on the ellipsoid from the outlines; good to ± %s if each corner is good to %s.", w.u.Area(ms.PlusMinus), w.u.Length(ms.Accuracy))
	}
	row("Net turf", x.Net, true, "")
	row("Billed", x.Billable, true, "")
	right := []Block{Text{Text: "Billed: " + x.BillingText + "."}, sure}
	if x.Map == nil {
		return Beside{Left: []Block{t}, Right: right, Share: 0.5}
	}
	mp := PassMap(x.Map, &plan.PassPlan{}, w.u)
	mp.Marks, mp.Edges, mp.High = nil, nil, quoteMapHigh
	return Beside{Left: []Block{mp}, Right: append([]Block{t}, right...), Share: 0.6}
}

func areaUnitOf(u unit.System) string {
	if u == unit.Metric {
		return "m2"
	}
	return "sq ft"
}

// sideBySide sets the options beside each other: a line for each visit, then the sums.
func (w *quoteWriter) sideBySide(x *offer.Quote) []Block {
	t := Table{Columns: []Column{{Head: "Visit", Align: Left}, {Head: "When", Align: Left}}}
	for i := range x.Options {
		t.Columns = append(t.Columns, Column{Head: x.Options[i].Name, Align: Right})
	}
	line := func(bold bool, what, when string, of func(o *offer.Option) string) {
		cells := []string{what, when}
		for i := range x.Options {
			cells = append(cells, of(&x.Options[i]))
		}
		t.Rows = append(t.Rows, Row{Cells: cells, Bold: bold})
	}
	type key struct{ name, when string }
	var seen []key
	fullest := slices.Clone(x.Options)
	slices.SortStableFunc(fullest, func(a, b offer.Option) int { return len(b.Visits) - len(a.Visits) })
	for _, o := range fullest {
		for _, v := range o.Visits {
			if k := (key{v.Name, v.When}); !slices.Contains(seen, k) {
				seen = append(seen, k)
			}
		}
	}
	for _, k := range seen {
		line(false, k.name, k.when, func(o *offer.Option) string {
			for _, v := range o.Visits {
				if v.Name == k.name && v.When == k.when {
					return w.money(v.Charge.Sum)
				}
			}
			return "-"
		})
	}
	line(true, "Visits", "", func(o *offer.Option) string { return w.money(o.Total.Visits) })
	var discounts []string
	for _, o := range x.Options {
		for _, d := range o.Total.Discounts {
			if !slices.Contains(discounts, d.Text) {
				discounts = append(discounts, d.Text)
			}
		}
	}
	for _, text := range discounts {
		line(false, text, "", func(o *offer.Option) string {
			for _, d := range o.Total.Discounts {
				if d.Text == text {
					return w.money(d.Amount)
				}
			}
			return "-"
		})
	}
	if w.q.Tax != "" {
		line(false, "Taxed", "", func(o *offer.Option) string { return w.money(o.Total.Taxable) })
		line(false, w.q.Tax, "", func(o *offer.Option) string { return w.money(o.Total.Tax) })
	}
	line(true, "Total, "+w.q.Currency, "", func(o *offer.Option) string { return w.money(o.Total.Pay) })
	return []Block{Heading{Text: "Options, side by side", Together: true}, t, Text{Text: quote.Ties, Style: Small}}
}

// program shows how the price of each visit was come by.
func (w *quoteWriter) program(o *offer.Option) []Block {
	t := Table{Columns: []Column{{Head: "Visit", Align: Left}, {Head: "When", Align: Left}, {Head: "For", Align: Left}, {Head: "Mixes", Align: Left}, {Head: "How the price is made", Align: Left}, {Head: w.q.Currency, Align: Right}}}
	for _, v := range o.Visits {
		when := v.When
		if v.From != "" || v.Until != "" {
			when += " (" + strings.Trim(v.From+" to "+v.Until, " ") + ")"
		}
		var mixes, how []string
		for _, m := range v.Mixes {
			mixes = append(mixes, m.Name)
		}
		for _, l := range v.Charge.Lines {
			how = append(how, l.Text+": "+w.money(l.Amount))
		}
		t.Rows = append(t.Rows, Row{Cells: []string{v.Name, when, orDash(v.For), orDash(strings.Join(mixes, ", ")), orDash(strings.Join(how, "; ")), w.money(v.Charge.Sum)}})
	}
	return []Block{Heading{Text: fmt.Sprintf("%s: %s, %s", o.Name, count(len(o.Visits), "visit"), w.pay(o.Total.Pay)), Together: true}, t}
}

// substances lists each product once with what its label says to people on the property.
func (w *quoteWriter) substances(x *offer.Quote) []Block {
	t := Table{Columns: []Column{{Head: "Product", Align: Left}, {Head: "Registration", Align: Left}, {Head: "Rate", Align: Left}, {Head: "Each time here", Align: Right}, {Head: "Its label says", Align: Left}}}
	seen := map[string]bool{}
	for _, o := range x.Options {
		for _, v := range o.Visits {
			for _, m := range v.Mixes {
				for _, p := range m.Products {
					if seen[m.Name+"\n"+p.Name] {
						continue
					}
					seen[m.Name+"\n"+p.Name] = true
					var says []string
					for _, s := range append([]string{p.KeepOff}, p.Cautions...) {
						if s != "" {
							says = append(says, sentence(s))
						}
					}
					if len(says) == 0 {
						says = []string{"No texts entered: ask for the label."}
					}
					if p.Citation != "" {
						says = append(says, "["+p.Citation+"]")
					}
					t.Rows = append(t.Rows, Row{Cells: []string{p.Name, orDash(p.Registration), orDash(p.Rate), orDash(p.Amount), strings.Join(says, " ")}})
				}
			}
		}
	}
	if len(t.Rows) == 0 {
		return []Block{Heading{Text: "Products"}, Text{Text: "The products of each visit are named before the work."}}
	}
	return []Block{Heading{Text: "Products", Together: true}, t}
}

func (w *quoteWriter) terms() []Block {
	out := []Block{Heading{Text: "Terms and cautions", Together: true}}
	for _, s := range w.q.Terms {
		out = append(out, Text{Text: sentence(s)})
	}
	for _, s := range append(append([]string{}, quoteCautions...), w.q.Cautions...) {
		out = append(out, Text{Text: sentence(s), Style: Strong})
	}
	return out
}

// contract is what written contracts for lawn applications commonly ask for (New York ECL 33-1001 and 6 NYCRR 325.40, as seen second-hand): who works under which
// certificate, when about, how often, what with, for how much; and signatures. Which of it applies is the user's to know.
func (w *quoteWriter) contract(x *offer.Quote) []Block {
	f := w.q.Firm
	out := []Block{Heading{Text: "Agreement", Together: true}}
	facts, blanks := Facts{}, Fields{}
	for _, v := range []struct{ label, value string }{{"Firm", f.Name}, {"Address", f.Address}, {"Telephone", f.Telephone}, {"Business licence", f.Licence}, {"Applicator certificate", f.Certificate}} {
		if v.value != "" {
			facts.Items = append(facts.Items, Fact{v.label, v.value})
		} else {
			blanks.Items = append(blanks.Items, Field{v.label, 2})
		}
	}
	for i := range x.Options {
		o := &x.Options[i]
		facts.Items = append(facts.Items, Fact{o.Name, fmt.Sprintf("%s, %s", count(len(o.Visits), "application"), w.pay(o.Total.Pay))})
	}
	out = append(out, facts)
	text := fmt.Sprintf("The quote holds until %s. The approximate dates, the products and the warnings of their labels are those above.", w.q.ValidUntil)
	blanks.Items = append(blanks.Items, Field{"Customer and address", 4}, Field{"Option chosen", 2}, Field{"Applications begin about", 2}, Field{"Signed for the customer", 2}, Field{"Date", 2},
		Field{"Signed for the firm", 2}, Field{"Date", 2})
	return append(out, Text{Text: text}, blanks)
}

// QuoteOffice is the office's copy of all quotes: costs and margins, and what changed since older ones. It is not for customers.
func QuoteOffice(q *offer.Quotes, opt Options) (*Document, error) {
	w, err := newQuoteWriter(q, opt)
	if err != nil {
		return nil, err
	}
	d, err := w.document("Quotes, office copy, " + q.Date)
	if err != nil {
		return nil, err
	}
	pg := Page{Title: "Office copy: costs and margins", Subtitle: fmt.Sprintf("%s  ·  %s  ·  valid until %s  ·  %s", q.Firm.Name, q.Date, q.ValidUntil, count(len(q.Quotes), "quote"))}
	pg.Blocks = append(pg.Blocks, Text{Text: "NOT FOR CUSTOMERS", Style: Huge})
	t := Table{Columns: []Column{{Head: "Property", Align: Left}, {Head: "Net " + areaUnitOf(w.u), Align: Right}, {Head: "Billed", Align: Right}, {Head: "Option", Align: Left}, {Head: "Before tax", Align: Right},
		{Head: "Cost", Align: Right}, {Head: "Margin", Align: Right}, {Head: "of price", Align: Right}, {Head: "Total", Align: Right}}}
	bare := func(a unit.Area) string { return strings.TrimSuffix(w.u.Area(a), " "+areaUnitOf(w.u)) }
	for i := range q.Quotes {
		x := &q.Quotes[i]
		for k := range x.Options {
			o := &x.Options[k]
			cells := []string{x.Name, bare(x.Net), bare(x.Billable), o.Name, w.money(o.Total.Net), "-", "-", "-", w.money(o.Total.Pay)}
			if c := o.Cost; c != nil {
				cells[5], cells[6], cells[7] = w.money(c.Sum), w.money(c.Margin), c.Share
			}
			if k > 0 {
				cells[0], cells[1], cells[2] = "", "", ""
			}
			t.Rows = append(t.Rows, Row{Cells: cells})
		}
	}
	pg.Blocks = append(pg.Blocks, t)
	for i := range q.Quotes {
		pg.Blocks = append(pg.Blocks, w.costs(&q.Quotes[i])...)
	}
	for _, p := range q.Problems {
		pg.Blocks = append(pg.Blocks, Text{Text: fmt.Sprintf("CHECK: %s. %s [%s]", upper(strings.TrimSuffix(p.What, ".")), p.Fix, p.Where), Style: Warned})
	}
	pg.Blocks = append(pg.Blocks, Text{Style: Small, Text: "Cost: product at cost for the amounts of the passes; work and filling are those of a plan for this property alone; of the drive from the yard and back the book's share. What a day with other stops really takes is less sure."})
	d.Pages = []Page{pg}
	return d, nil
}

// costs are the lines of cost of each option of a property, and what changed.
func (w *quoteWriter) costs(x *offer.Quote) []Block {
	var out []Block
	t := Table{Fine: true, Columns: []Column{{Head: "Option", Align: Left}, {Head: "Cost", Align: Left}, {Head: w.q.Currency, Align: Right}}}
	for _, o := range x.Options {
		if o.Cost == nil {
			continue
		}
		for i, l := range o.Cost.Lines {
			name := ""
			if i == 0 {
				name = o.Name
			}
			t.Rows = append(t.Rows, Row{Cells: []string{name, l.Text, w.money(l.Amount)}})
		}
	}
	if len(t.Rows) > 0 {
		out = append(out, t)
	}
	if len(x.Changes) > 0 {
		c := Table{Fine: true, Columns: []Column{{Head: "Since the older quote", Align: Left}, {Head: "Was", Align: Right}, {Head: "Is", Align: Right}}}
		for _, y := range x.Changes {
			c.Rows = append(c.Rows, Row{Cells: []string{y.What, y.Old, y.New}})
		}
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil
	}
	return append([]Block{Heading{Text: x.Name, Together: true}}, out...)
}
