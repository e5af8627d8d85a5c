package offer

import (
	"fmt"
	"slices"

	"github.com/govalues/decimal"

	"tankful/calc/quote"
	"tankful/calc/unit"
)

// costing sums what an option costs the office.
type costing struct {
	b       *Book
	cost    Cost
	visits  int
	product quote.Money
	// without says that something of it is not known, so that no cost is claimed.
	without bool
}

func newCost(b *Book) *costing {
	return &costing{b: b, cost: Cost{Lines: []quote.Line{}}, product: decimal.Zero, without: b.Costs == nil || b.Day == nil}
}

// visit adds a visit: its product at cost, and the times of a plan for the property alone.
func (c *costing) visit(z *quoting, v *quote.Visit, w *work) {
	c.visits++
	switch {
	case c.without:
		return
	case len(v.Mixes) == 0:
		c.without = true
		z.q.Problems.Warnf("no-cost", v.Where, "Name the mixes of the visit.", "no cost is reckoned: the visit %s names no mixes, and what it takes is not known", v.Name)
		return
	case w.plan == nil:
		c.without = true
		return
	}
	for i := range w.plan.Stops {
		for _, lp := range w.plan.Stops[i].Products {
			k := slices.IndexFunc(c.b.Products, func(x Product) bool { return x.Name == lp.Name })
			n, _, err := Printed(lp.Amount, c.b.Units)
			if k < 0 || err != nil {
				c.without = true
				z.q.Problems.Warnf("no-cost", v.Where, "Add it to products with its cost.", "no cost is reckoned: the book does not say what %s costs", lp.Name)
				return
			}
			c.product = quote.Add(c.product, quote.Mul(n, c.b.Products[k].Each))
		}
	}
	for _, t := range w.plan.Trucks {
		c.cost.Work, c.cost.Fill, c.cost.Drive, c.cost.Driven = c.cost.Work+t.Work, c.cost.Fill+t.Fill, c.cost.Drive+t.Drive, c.cost.Driven+t.Driven
	}
}

// done is the cost against the price before tax; nil when it is not known.
func (c *costing) done(net quote.Money) *Cost {
	if c.without {
		return nil
	}
	x := &c.cost
	x.Sum = quote.Round(decimal.Zero, c.b.Places)
	line := func(text string, m quote.Money) {
		m = quote.Round(m, c.b.Places)
		x.Lines = append(x.Lines, quote.Line{Text: text, Amount: m})
		x.Sum = quote.Add(x.Sum, m)
	}
	k := c.b.Costs
	line("product", c.product)
	line("work, "+unit.Minutes(x.Work), quote.Mul(exact(x.Work.In(unit.Hour)), k.Labour))
	line("filling, "+unit.Minutes(x.Fill), quote.Mul(exact(x.Fill.In(unit.Hour)), k.Labour))
	share := quote.Percent(k.DriveShare)
	line(fmt.Sprintf("%s of the drive time, %s", share, unit.Minutes(x.Drive)), quote.Mul(quote.Mul(exact(x.Drive.In(unit.Hour)), k.Labour), k.DriveShare))
	far := x.Driven.In(unit.Mile)
	if c.b.Units == unit.Metric {
		far = x.Driven.In(unit.Kilometre)
	}
	line(fmt.Sprintf("%s of the drive, %s", share, c.b.Units.Distance(x.Driven)), quote.Mul(quote.Mul(exact(far), k.Distance), k.DriveShare))
	if !k.Fixed.IsZero() {
		line(fmt.Sprintf("%d visits at %s", c.visits, c.b.Print(k.Fixed)), quote.Mul(decimal.MustNew(int64(c.visits), 0), k.Fixed))
	}
	x.Margin = quote.Sub(net, x.Sum)
	x.Share = "-"
	if net.IsPos() {
		x.Share = quote.Round(quote.Mul(quote.Quo(x.Margin, net), decimal.MustNew(100, 0)), 1).String() + " %"
	}
	return x
}

// exact is a measured figure to four digits behind the point, as a decimal: hours to 0.4 s, miles to half a foot.
func exact(x float64) quote.Money {
	return decimal.MustNew(int64(unit.Round(x*1e4, 1)), 4)
}
