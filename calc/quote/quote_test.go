package quote_test

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/govalues/decimal"

	"tankful/calc/quote"
	"tankful/calc/unit"
)

func TestBillable(t *testing.T) {
	tests := []struct {
		name      string
		units     unit.System
		step      unit.Area
		rule      quote.Rule
		net, want unit.Area
	}{
		{"nearest, down", unit.US, 100 * unit.SquareFoot, quote.Nearest, 12_349 * unit.SquareFoot, 12_300 * unit.SquareFoot},
		{"a half goes up", unit.US, 100 * unit.SquareFoot, quote.Nearest, 12_350 * unit.SquareFoot, 12_400 * unit.SquareFoot},
		{"up", unit.US, 1000 * unit.SquareFoot, quote.Up, 12_001 * unit.SquareFoot, 13_000 * unit.SquareFoot},
		{"up, whole steps", unit.US, 1000 * unit.SquareFoot, quote.Up, 12_000 * unit.SquareFoot, 12_000 * unit.SquareFoot},
		{"printed first", unit.US, 1000 * unit.SquareFoot, quote.Up, 12_000.4 * unit.SquareFoot, 12_000 * unit.SquareFoot},
		{"never nothing", unit.US, 1000 * unit.SquareFoot, quote.Nearest, 80 * unit.SquareFoot, 1000 * unit.SquareFoot},
		{"no turf", unit.US, 1000 * unit.SquareFoot, quote.Up, 0, 0},
		{"as measured", unit.US, 0, quote.Exact, 12_349.2 * unit.SquareFoot, 12_349 * unit.SquareFoot},
		{"metric", unit.Metric, 10 * unit.SquareMetre, quote.Nearest, 1234.9 * unit.SquareMetre, 1230 * unit.SquareMetre},
	}
	for _, test := range tests {
		b := quote.Book{Units: test.units, Billing: quote.Billing{Step: test.step, Rule: test.rule}}
		if got := b.Billable(test.net); test.units.Area(got) != test.units.Area(test.want) {
			t.Errorf("%s: got %s, want %s", test.name, test.units.Area(got), test.units.Area(test.want))
		}
	}
}

func TestParseMoney(t *testing.T) {
	for text, want := range map[string]string{"12": "12", "12.5": "12.5", "0.07": "0.07", "9999999.99": "9999999.99"} {
		if got, err := quote.ParseMoney(text, 2); err != nil || got.String() != want {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", ".", "1.", ".5", "-1", "+1", "$5", "1,000", "1e3", "NaN", "1.234", "12 345", "99999999", "1.2.3"} {
		if got, err := quote.ParseMoney(text, 2); err == nil {
			t.Errorf("%q: got %v, want an error", text, got)
		}
	}
	for _, text := range []string{"5", "% 5", "-1 %", "101 %", "x %"} {
		if got, err := quote.ParseShare(text, 100); err == nil {
			t.Errorf("%q: got %v, want an error", text, got)
		}
	}
	if got, err := quote.ParseShare("6.25 %", 100); err != nil || got.String() != "0.0625" {
		t.Errorf("6.25 %%: got %v, %v", got, err)
	}
}

// round is Round by other means: big rationals, a half away from zero.
func round(x *big.Rat, places int) *big.Rat {
	p := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
	y := new(big.Rat).Mul(new(big.Rat).Abs(x), p)
	y.Add(y, big.NewRat(1, 2))
	whole := new(big.Rat).SetInt(new(big.Int).Quo(y.Num(), y.Denom()))
	whole.Quo(whole, p)
	if x.Sign() < 0 {
		whole.Neg(whole)
	}
	return whole
}

func rat(m quote.Money) *big.Rat {
	r, _ := new(big.Rat).SetString(m.String())
	return r
}

type dice struct{ *rand.Rand }

func (r dice) money(most int, places int) quote.Money {
	return decimal.MustNew(r.Int64N(int64(most)), places)
}

func (r dice) book() *quote.Book {
	b := &quote.Book{Code: "USD", Places: r.IntN(4), Units: unit.US, Billing: quote.Billing{Step: 100 * unit.SquareFoot, Rule: []quote.Rule{quote.Nearest, quote.Up, quote.Exact}[r.IntN(3)]}}
	per := 1000 * unit.SquareFoot
	p := quote.Price{Name: "P", SetUp: r.money(3000, 2), Minimum: r.money(9000, 2)}
	edge := unit.Area(0)
	for range r.IntN(4) {
		edge += unit.Area(1+r.IntN(90)) * 100 * unit.SquareFoot
		p.Tiers = append(p.Tiers, quote.Tier{UpTo: edge, Each: r.money(200_000, 4), Per: per})
	}
	p.Tiers = append(p.Tiers, quote.Tier{Each: r.money(200_000, 4), Per: per})
	if r.IntN(2) == 0 {
		p.Bands, p.Tiers = p.Tiers, nil
		for i := range p.Bands {
			if r.IntN(2) == 0 {
				p.Bands[i] = quote.Tier{UpTo: p.Bands[i].UpTo, Flat: r.money(30_000, 2), IsFlat: true}
			}
		}
	}
	b.Prices = []quote.Price{p}
	for range r.IntN(3) {
		d := quote.Discount{Name: "D", Properties: r.IntN(3), Share: r.money(6000, 4)}
		if r.IntN(2) == 0 {
			d.Share, d.Amount = decimal.Zero, r.money(20_000, 2)
		}
		b.Discounts = append(b.Discounts, d)
	}
	if r.IntN(3) > 0 {
		b.Tax = quote.Tax{Name: "Tax", Rate: r.money(2000, 4), On: []quote.Taxed{quote.OnAll, quote.OnService, quote.OnMaterial}[r.IntN(3)]}
	}
	return b
}

// 10,000 random quotes: lines have whole coins and add up to the sums and the total; each line is its exact value rounded once, by big rationals; a larger
// area costs less only where Falls says so.
func TestRandomQuotes(t *testing.T) {
	r := dice{rand.New(rand.NewPCG(7, 11))}
	falls := 0
	for n := range 10_000 {
		b := r.book()
		p := &b.Prices[0]
		billable := b.Billable(unit.Area(1+r.IntN(40_000)) * unit.SquareFoot)
		var materials []quote.Material
		for range r.IntN(3) {
			materials = append(materials, quote.Material{Text: "M", Amount: r.money(100_000, 1), Each: r.money(100_000, 5), MarkUp: r.money(20_000, 4)})
		}
		var visits []quote.Charge
		for range 1 + r.IntN(5) {
			visits = append(visits, b.Charge(p, billable, materials))
		}
		c := visits[0]
		sum := new(big.Rat)
		for _, l := range c.Lines {
			if l.Amount.IsNeg() || l.Amount.Scale() != b.Places {
				t.Fatalf("line %s is %v", l.Text, l.Amount)
			}
			sum.Add(sum, rat(l.Amount))
		}
		if sum.Cmp(rat(c.Sum)) != 0 || c.Sum.Less(quote.Round(p.Minimum, b.Places)) {
			t.Fatalf("lines come to %v, the sum is %v, the minimum %v", sum.FloatString(4), c.Sum, p.Minimum)
		}
		for i, m := range materials {
			l := c.Lines[len(c.Lines)-len(materials)+i]
			exact := new(big.Rat).Mul(rat(m.Amount), rat(m.Each))
			exact.Mul(exact, new(big.Rat).Add(big.NewRat(1, 1), rat(m.MarkUp)))
			if want := round(exact, b.Places); want.Cmp(rat(l.Amount)) != 0 {
				t.Fatalf("%v x %v + %v is %v, want %v", m.Amount, m.Each, m.MarkUp, l.Amount, want.FloatString(4))
			}
		}
		total := b.Total(visits, []string{"D"}, r.IntN(4))
		pay := new(big.Rat)
		for _, v := range visits {
			pay.Add(pay, rat(v.Sum))
		}
		for _, d := range total.Discounts {
			pay.Add(pay, rat(d.Amount))
		}
		if pay.Cmp(rat(total.Net)) != 0 || total.Net.IsNeg() {
			t.Fatalf("visits less discounts are %v, the net is %v", pay.FloatString(4), total.Net)
		}
		if want := round(new(big.Rat).Mul(rat(total.Taxable), rat(b.Tax.Rate)), b.Places); want.Cmp(rat(total.Tax)) != 0 {
			t.Fatalf("tax %v of %v is %v, want %v", b.Tax.Rate, total.Taxable, total.Tax, want.FloatString(4))
		}
		if pay.Add(pay, rat(total.Tax)); pay.Cmp(rat(total.Pay)) != 0 {
			t.Fatalf("all comes to %v, the total is %v", pay.FloatString(4), total.Pay)
		}
		if n%10 == 0 {
			falls += checkGrowth(t, b, p)
		}
	}
	if falls == 0 {
		t.Error("no book's price falls: the books are too tame")
	}
}

// checkGrowth walks the area up in whole steps: the price may fall only at the edges that Falls names.
func checkGrowth(t *testing.T, b *quote.Book, p *quote.Price) int {
	t.Helper()
	named := map[string]bool{}
	list := b.Falls()
	for _, f := range list {
		named[b.Units.Area(f.At)] = true
	}
	before, at := decimal.Zero, unit.Area(0)
	step := b.Billing.Step
	seen := 0
	for i := range 380 {
		a := unit.Area(i+1) * step
		sum := b.Charge(p, a, nil).Sum
		if sum.Less(before) {
			if seen++; b.Billing.Rule != quote.Exact && !named[b.Units.Area(at)] {
				t.Fatalf("from %s to %s the price falls from %v to %v, and nothing says so: %+v", b.Units.Area(at), b.Units.Area(a), before, sum, list)
			}
		}
		before, at = sum, a
	}
	return seen
}
