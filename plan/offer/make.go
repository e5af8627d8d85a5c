package offer

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// Asked is what a run of quotes is for.
type Asked struct {
	Date     string   // of the quotes, ISO 8601
	Programs []string // by name; none for all
	With     []string // discounts that are asked for by name
}

// Make quotes properties. A property that cannot be quoted is left out with its problems; the Quotes are nil only when the book or what is asked has an error.
func (b *Book) Make(properties []Property, asked Asked) (*Quotes, problem.List) {
	var ps problem.List
	b.check(asked, &ps)
	if ps.HasErrors() {
		return nil, ps
	}
	out := &Quotes{Layout: Layout, Date: asked.Date, ValidUntil: b.validUntil(asked.Date), Firm: b.Firm, Invented: b.Invented, Units: b.Units, Currency: b.Code, Places: b.Places,
		Terms: append([]string{}, b.Terms...), Cautions: append([]string{}, b.Cautions...), Quotes: []Quote{}, Left: []string{}}
	if !b.Tax.Rate.IsZero() {
		out.Tax = b.Tax.Text()
	}
	for _, f := range b.Falls() {
		ps.Warnf("price-falls", b.Find(f.Price).Where, "Raise the band above, or write may_fall: true to say that it is meant.", "a larger lawn costs less: at %s a visit of %s is %s, just above %s",
			b.Units.Area(f.At), f.Price, b.Print(f.Before), b.Print(f.Above))
	}
	for i := range properties {
		q := b.quote(&properties[i], asked, len(properties))
		if q.Problems.HasErrors() {
			out.Left = append(out.Left, q.Property)
			ps = append(ps, q.Problems...)
			continue
		}
		out.Quotes = append(out.Quotes, q)
		ps = append(ps, q.Problems...)
	}
	ps = ps.Distinct()
	out.Problems = ps
	out.Fingerprint = out.fingerprint()
	return out, ps
}

// check holds what is asked against the book.
func (b *Book) check(asked Asked, ps *problem.List) {
	if _, err := date.Parse(asked.Date); err != nil {
		ps.Errorf("bad-date", b.Where, "Write the date as year-month-day, such as 2026-04-14.", "%v", err)
	}
	if b.ValidUntil != "" && asked.Date > b.ValidUntil {
		ps.Errorf("book-expired", b.Where, "Write a later valid, or bring the prices up to date.", "the prices hold until %s, and the quote is of %s", b.ValidUntil, asked.Date)
	}
	var programs, discounts []string
	for _, p := range b.Programs {
		programs = append(programs, p.Name)
	}
	for _, d := range b.Discounts {
		if d.Properties == 0 {
			discounts = append(discounts, d.Name)
		}
	}
	for _, name := range asked.Programs {
		if !slices.Contains(programs, name) {
			ps.Errorf("unknown-name", b.Where, "Write one of: "+strings.Join(programs, ", ")+".", "the book has no program %q", name)
		}
	}
	for _, name := range asked.With {
		if !slices.Contains(discounts, name) {
			ps.Errorf("unknown-name", b.Where, "Write one of: "+cmp.Or(strings.Join(discounts, ", "), "none in the book")+".", "the book has no discount %q that is asked for by name", name)
		}
	}
}

func (b *Book) validUntil(day string) string {
	if b.ValidUntil != "" {
		return b.ValidUntil
	}
	d, err := date.Parse(day)
	if err != nil {
		return ""
	}
	return (d + date.Date(b.ValidDays)).String()
}

// fingerprint is the head of a hash of the quotes without it and their problems.
func (q *Quotes) fingerprint() string {
	bare := *q
	bare.Fingerprint, bare.Problems = "", nil
	text, err := json.Marshal(bare)
	if err != nil {
		return ""
	}
	h := sha256.Sum256(text)
	return hex.EncodeToString(h[:5])
}

// quoting is one property on its way to a quote.
type quoting struct {
	b     *Book
	p     *Property
	q     *Quote
	date  string
	works map[string]*work // by mixes
}

// work is what a visit's mixes take on the property, from a plan for it alone; nil plan where there is none.
type work struct{ plan *plan.Plan }

func (b *Book) quote(p *Property, asked Asked, together int) Quote {
	q := Quote{Property: p.ID, Name: p.Name, Net: p.Net, BillingText: b.BillingText(), Options: []Option{}, Problems: problem.List{}}
	if p.Site != nil {
		m, g := plan.MeasureOf(p.Site), plan.MapOf(p.Site)
		m.Problems = append(problem.List{}, p.Site.Problems...)
		q.Measure, q.Map, q.Net = &m, &g, p.Site.NetArea
		q.Problems = append(q.Problems, p.Site.Problems...)
	}
	if b.Units.RoundArea(q.Net) <= 0 && !q.Problems.HasErrors() {
		q.Problems.Errorf("no-turf", p.Where, "Check its outline or its area.", "%s has no turf to quote", cmp.Or(p.Name, p.ID))
	}
	if q.Problems.HasErrors() {
		return q
	}
	q.Billable = b.Billable(q.Net)
	z := quoting{b: b, p: p, q: &q, date: asked.Date, works: map[string]*work{}}
	for i := range b.Programs {
		if pr := &b.Programs[i]; len(asked.Programs) == 0 || slices.Contains(asked.Programs, pr.Name) {
			q.Options = append(q.Options, z.option(pr, asked.With, together))
		}
	}
	return q
}

func (z *quoting) option(pr *quote.Program, with []string, together int) Option {
	o := Option{Name: pr.Name, Visits: []Visit{}}
	var charges []quote.Charge
	cost := newCost(z.b)
	for i := range pr.Visits {
		v := &pr.Visits[i]
		w := z.work(v)
		visit := Visit{Name: v.Name, When: v.When, From: v.From, Until: v.Until, For: v.For, Mixes: z.mixes(v, w)}
		var materials []quote.Material
		if v.Material {
			materials = z.materials(v, w)
		}
		visit.Charge = z.b.Charge(z.b.Find(v.Price), z.q.Billable, materials)
		o.Visits, charges = append(o.Visits, visit), append(charges, visit.Charge)
		cost.visit(z, v, w)
	}
	o.Total = z.b.Total(charges, with, together)
	o.Cost = cost.done(o.Total.Net)
	return o
}

// work plans the visit's mixes on the property alone. Limits and the record are for the day of the work, not for a quote.
func (z *quoting) work(v *quote.Visit) *work {
	key := strings.Join(v.Mixes, "\n")
	if w, ok := z.works[key]; ok {
		return w
	}
	w := &work{}
	z.works[key] = w
	if z.b.Day == nil || len(v.Mixes) == 0 {
		return w
	}
	site := z.p.Site
	if site == nil {
		site = z.square()
	}
	d := *z.b.Day
	// The catch tests are held against the day of the outfit's own file: a visit to come has none yet.
	d.Date, d.Limits, d.Past, d.Recorded, d.Lunch, d.End, d.Stops = cmp.Or(d.Date, z.date), nil, nil, false, plan.Pause{}, 0, nil
	for _, name := range v.Mixes {
		d.Stops = append(d.Stops, plan.Stop{Site: site, Mix: name, SetUp: z.b.SetUp, Where: z.p.Where})
	}
	p, found := plan.Make(&d)
	switch {
	case p == nil:
		for _, f := range found {
			if f.Severity == problem.Error {
				z.q.Problems = append(z.q.Problems, f)
			}
		}
	case len(p.LeftOut) > 0:
		z.q.Problems.Errorf("visit-impossible", z.p.Where, p.LeftOut[0].Fix, "the outfit cannot do the visit %s: %s", v.Name, p.LeftOut[0].Why)
	default:
		w.plan = p
	}
	return w
}

// mixes lists the products of a visit: with rates and amounts where the outfit is known.
func (z *quoting) mixes(v *quote.Visit, w *work) []Mix {
	out := []Mix{}
	for _, name := range v.Mixes {
		m := Mix{Name: name, Products: []MixedProduct{}}
		if w.plan != nil {
			for i := range w.plan.Mixes {
				if w.plan.Mixes[i].Name == name {
					m.Products = z.products(&w.plan.Mixes[i], w.plan)
				}
			}
		}
		out = append(out, m)
	}
	return out
}

func (z *quoting) products(mp *plan.MixPlan, p *plan.Plan) []MixedProduct {
	out := []MixedProduct{}
	for i := range mp.Products {
		x := &mp.Products[i]
		y := MixedProduct{Name: x.Name, Registration: x.Registration, Rate: x.Rate.Text(z.b.Units), KeepOff: x.KeepOff, Cautions: x.Cautions, Citation: x.Citation}
		for k := range p.Stops {
			for _, lp := range p.Stops[k].Products {
				if p.Stops[k].Mix == mp.Name && lp.Name == x.Name {
					y.Amount = lp.Amount.Text(z.b.Units)
				}
			}
		}
		out = append(out, y)
	}
	return out
}

// Printed is an amount as it is printed in one unit: its number and the unit's name.
func Printed(a label.Amount, u unit.System) (quote.Money, string, error) {
	text, _, _ := strings.Cut(a.Text(u), " (")
	number, name, _ := strings.Cut(text, " ")
	m, err := decimal.Parse(strings.ReplaceAll(number, ",", ""))
	return m, name, err
}

// materials are the products of a visit at what they are charged: the amount as it is printed.
func (z *quoting) materials(v *quote.Visit, w *work) (out []quote.Material) {
	if w.plan == nil {
		return nil
	}
	for i := range w.plan.Stops {
		for _, lp := range w.plan.Stops[i].Products {
			k := slices.IndexFunc(z.b.Products, func(x Product) bool { return x.Name == lp.Name })
			if k < 0 {
				z.q.Problems.Errorf("no-cost", v.Where, "Add it to products with its cost.", "the visit %s charges material, and the book does not say what %s costs", v.Name, lp.Name)
				continue
			}
			n, name, err := Printed(lp.Amount, z.b.Units)
			if err != nil {
				z.q.Problems.Errorf("no-cost", v.Where, "Check the mix.", "the amount of %s cannot be charged: %v", lp.Name, err)
				continue
			}
			out = append(out, quote.Material{Text: fmt.Sprintf("%s %s of %s", n, name, lp.Name), Amount: n, Each: z.b.Products[k].Each, MarkUp: z.b.Products[k].MarkUp})
		}
	}
	return out
}

// square is a square of the property's area at the yard, for what takes an outline to reckon: where only an area is known the office's minutes are those of a
// square lawn. The amounts depend on the area alone.
func (z *quoting) square() *geo.Site {
	at, side := z.b.Day.Yard.At, 1e-5 // degrees
	var site *geo.Site
	for range 4 { // each time nearer
		site = geo.Measure(squareProperty(z.p, at, side), geo.MeasureOptions{})
		if site.NetArea <= 0 {
			break
		}
		side *= math.Sqrt(float64(z.p.Net / site.NetArea))
	}
	return site
}
