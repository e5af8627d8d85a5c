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
	if c.without || len(v.Mixes) == 0 {
		return
	}
	if w.plan == nil {
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
			c.product = plus(c.product, times(n, c.b.Products[k].Each))
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
		x.Sum = plus(x.Sum, m)
	}
	k := c.b.Costs
	line("product", c.product)
	line("work, "+unit.Minutes(x.Work), times(tenths(x.Work.In(unit.Hour)), k.Labour))
	line("filling, "+unit.Minutes(x.Fill), times(tenths(x.Fill.In(unit.Hour)), k.Labour))
	share := quote.Percent(k.DriveShare)
	line(fmt.Sprintf("%s of the drive time, %s", share, unit.Minutes(x.Drive)), times(times(tenths(x.Drive.In(unit.Hour)), k.Labour), k.DriveShare))
	far := x.Driven.In(unit.Mile)
	if c.b.Units == unit.Metric {
		far = x.Driven.In(unit.Kilometre)
	}
	line(fmt.Sprintf("%s of the drive, %s", share, c.b.Units.Distance(x.Driven)), times(times(tenths(far), k.Distance), k.DriveShare))
	if !k.Fixed.IsZero() {
		line(fmt.Sprintf("%d visits at %s", c.visits, c.b.Print(k.Fixed)), times(decimal.MustNew(int64(c.visits), 0), k.Fixed))
	}
	x.Margin = minus(net, x.Sum)
	x.Share = "-"
	if net.IsPos() {
		p, err := x.Margin.Quo(net)
		if err == nil {
			x.Share = quote.Round(times(p, decimal.MustNew(100, 0)), 1).String() + " %"
		}
	}
	return x
}

// tenths is a measured figure to four digits behind the point, as a decimal: hours to 0.4 s, miles to half a foot.
func tenths(x float64) quote.Money {
	return decimal.MustNew(int64(unit.Round(x*1e4, 1)), 4)
}

func plus(a, b quote.Money) quote.Money  { return sure(a.Add(b)) }
func minus(a, b quote.Money) quote.Money { return sure(a.Sub(b)) }
func times(a, b quote.Money) quote.Money { return sure(a.Mul(b)) }

// sure is a sum that the bounds of a book keep within 19 digits.
func sure(m quote.Money, err error) quote.Money {
	if err != nil {
		panic(fmt.Sprintf("offer: %v", err))
	}
	return m
}
