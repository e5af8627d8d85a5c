package quote

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/govalues/decimal"

	"tankful/calc/unit"
)

// Billable is the area that is charged for a net turf: whole steps, or the turf as it is printed. It is 0 only for no turf.
func (b *Book) Billable(net unit.Area) unit.Area {
	net = b.Units.RoundArea(net)
	if b.Billing.Rule == Exact || b.Billing.Step <= 0 || net <= 0 {
		return net
	}
	n := float64(net / b.Billing.Step)
	n = math.Round(n*1e9) / 1e9 // 3.0000000001 steps are 3
	switch b.Billing.Rule {
	case Up:
		n = math.Ceil(n)
	default:
		n = math.Floor(n + 0.5)
	}
	return b.Units.RoundArea(unit.Area(max(n, 1)) * b.Billing.Step)
}

// BillingText is the rule in words.
func (b *Book) BillingText() string {
	switch b.Billing.Rule {
	case Up:
		return "net turf, rounded up to whole " + b.Units.Area(b.Billing.Step)
	case Exact:
		return "net turf as measured"
	}
	return "net turf, rounded to the nearest " + b.Units.Area(b.Billing.Step) + ", a half up, and at least that"
}

// area is an area as it is printed, as a decimal of the system's unit: what is charged is what is printed.
func (b *Book) area(a unit.Area) Money {
	text, _, _ := strings.Cut(b.Units.Area(a), " ")
	return must(decimal.Parse(strings.ReplaceAll(text, ",", "")))
}

// Find is the price of a name, nil when the book has none.
func (b *Book) Find(name string) *Price {
	for i := range b.Prices {
		if b.Prices[i].Name == name {
			return &b.Prices[i]
		}
	}
	return nil
}

// Charge is what a visit costs on a billable area: lines for the ground, the set-up, what is missing to the minimum, and each material.
func (b *Book) Charge(p *Price, billable unit.Area, materials []Material) Charge {
	var c Charge
	line := func(text string, m Money, material bool) {
		m = Round(m, b.Places)
		c.Lines = append(c.Lines, Line{text, m, material})
		c.Sum = Add(c.Sum, m)
	}
	c.Sum = Round(decimal.Zero, b.Places)
	for _, g := range b.ground(p, billable) {
		line(g.Text, g.Amount, false)
	}
	if !p.SetUp.IsZero() {
		line("set-up", p.SetUp, false)
	}
	if short := Sub(p.Minimum, c.Sum); short.IsPos() {
		line("to the minimum of "+b.Print(p.Minimum), short, false)
	}
	for _, m := range materials {
		cost := Mul(m.Amount, m.Each)
		line(m.Text, Add(cost, Mul(cost, m.MarkUp)), true)
	}
	return c
}

// ground is what the area itself costs, a line for each tier that it reaches into, not rounded yet.
func (b *Book) ground(p *Price, billable unit.Area) (out []Line) {
	if billable <= 0 {
		return nil
	}
	for _, t := range p.Bands {
		if t.UpTo > 0 && unit.Exceeds(billable, t.UpTo) {
			continue
		}
		if t.IsFlat {
			return []Line{{Text: b.Units.Area(billable) + ", flat" + upTo(b, t), Amount: t.Flat}}
		}
		return []Line{b.each(t, billable)}
	}
	from := unit.Area(0)
	for _, t := range p.Tiers {
		part := billable - from
		if t.UpTo > 0 {
			part = min(part, t.UpTo-from)
		}
		if part <= 0 || !unit.Exceeds(billable, from) {
			break
		}
		out = append(out, b.each(t, part))
		from = t.UpTo
		if t.UpTo == 0 {
			break
		}
	}
	return out
}

func upTo(b *Book, t Tier) string {
	if t.UpTo > 0 {
		return " up to " + b.Units.Area(t.UpTo)
	}
	return ""
}

// each is an area at a price per area.
func (b *Book) each(t Tier, a unit.Area) Line {
	amount := Quo(Mul(b.area(a), t.Each), b.area(t.Per))
	return Line{Text: fmt.Sprintf("%s at %s per %s", b.Units.Area(a), b.Rate(t.Each), b.Units.Area(t.Per)), Amount: amount}
}

// Rate prints a price per something, which may have more digits than a coin.
func (b *Book) Rate(m Money) string {
	return b.Print(m.Trim(b.Places))
}

// Fall is an area at which the price falls: just above At a visit costs Above, at At it costs Before.
type Fall struct {
	Price         string
	At            unit.Area
	Before, Above Money
}

// Falls finds where a larger area costs less although the book does not say that it may: only at the edge of a band can it, as tiers add up and no
// price is below zero. It is looked for one billable step above each edge.
func (b *Book) Falls() (out []Fall) {
	for i := range b.Prices {
		p := &b.Prices[i]
		if p.MayFall {
			continue
		}
		for _, t := range p.Bands {
			if t.UpTo <= 0 {
				continue
			}
			at := b.atMost(t.UpTo)
			before, above := b.Charge(p, at, nil).Sum, b.Charge(p, at+b.step(), nil).Sum
			if above.Less(before) {
				out = append(out, Fall{p.Name, at, before, above})
			}
		}
	}
	return out
}

// step is the least by which a billable area grows, and atMost the largest billable area up to a.
func (b *Book) step() unit.Area {
	if b.Billing.Rule == Exact || b.Billing.Step <= 0 {
		if b.Units == unit.Metric {
			return unit.SquareMetre / 10
		}
		return unit.SquareFoot
	}
	return b.Billing.Step
}

func (b *Book) atMost(a unit.Area) unit.Area {
	n := math.Floor(float64(a/b.step()) + 1e-9)
	return b.Units.RoundArea(unit.Area(n) * b.step())
}

// ParseMoney reads an amount of at most so many places behind the point: "12", "12.50". A sign, a currency and thousands are refused.
func ParseMoney(text string, places int) (Money, error) {
	whole, frac, has := strings.Cut(text, ".")
	digits := func(s string) bool {
		return s != "" && strings.IndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) < 0
	}
	switch {
	case !digits(whole) || has && !digits(frac):
		return decimal.Zero, fmt.Errorf("%q is no amount of money: write digits and a point, such as 12.50", text)
	case len(frac) > places:
		return decimal.Zero, fmt.Errorf("%q has %d digits behind the point, and %d are taken", text, len(frac), places)
	case len(strings.TrimLeft(whole, "0")) > 7:
		return decimal.Zero, fmt.Errorf("%q is over ten million", text)
	}
	return must(decimal.Parse(text)), nil
}

// ParseShare reads a per cent: "5 %", "6.25%", from 0 to most.
func ParseShare(text string, most int) (Money, error) {
	number, ok := strings.CutSuffix(strings.TrimSpace(text), "%")
	m, err := ParseMoney(strings.TrimSpace(number), 4)
	if !ok || err != nil {
		return decimal.Zero, fmt.Errorf("%q is no per cent: write it like \"5 %%\"", text)
	}
	if m.Cmp(decimal.MustNew(int64(most), 0)) > 0 {
		return decimal.Zero, fmt.Errorf("%q is over %s %%", text, strconv.Itoa(most))
	}
	return Quo(m, decimal.MustNew(100, 0)), nil
}
