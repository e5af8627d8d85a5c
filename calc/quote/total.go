package quote

import "github.com/govalues/decimal"

// Total is what a program comes to: the visits, the discounts that hold (by name, or by the number of properties quoted together) in the order of the book, each
// rounded, then the tax on what is taxed of the rest. Where only a part is taxed, the discounts are shared out by what service and material cost.
func (b *Book) Total(visits []Charge, asked []string, properties int) Total {
	zero := Round(decimal.Zero, b.Places)
	t := Total{Visits: zero, Discounts: []Line{}, Tax: zero}
	material := zero
	for _, v := range visits {
		t.Visits = Add(t.Visits, v.Sum)
		for _, l := range v.Lines {
			if l.Material {
				material = Add(material, l.Amount)
			}
		}
	}
	t.Net = t.Visits
	for _, d := range b.Discounts {
		if !d.holds(asked, properties) {
			continue
		}
		off := d.Amount
		if !d.Share.IsZero() {
			off = Mul(t.Net, d.Share)
		}
		off = Round(off.Min(t.Net), b.Places) // never below nothing
		t.Discounts = append(t.Discounts, Line{Text: d.Text(b), Amount: off.Neg()})
		t.Net = Sub(t.Net, off)
	}
	t.Taxable = b.taxable(t, material)
	t.Tax = Round(Mul(t.Taxable, b.Tax.Rate), b.Places)
	t.Pay = Add(t.Net, t.Tax)
	return t
}

// taxable is what the tax is laid on.
func (b *Book) taxable(t Total, material Money) Money {
	if b.Tax.Rate.IsZero() || t.Visits.IsZero() {
		return Round(decimal.Zero, b.Places)
	}
	var part Money
	switch b.Tax.On {
	case OnService:
		part = Sub(t.Visits, material)
	case OnMaterial:
		part = material
	default:
		return t.Net
	}
	return Round(Quo(Mul(t.Net, part), t.Visits), b.Places)
}

// holds reports whether a discount is given.
func (d *Discount) holds(asked []string, properties int) bool {
	if d.Properties > 0 {
		return properties >= d.Properties
	}
	for _, a := range asked {
		if a == d.Name {
			return true
		}
	}
	return false
}

// Text names a discount with what it takes off.
func (d *Discount) Text(b *Book) string {
	if !d.Share.IsZero() {
		return d.Name + ", " + Percent(d.Share) + " off"
	}
	return d.Name + ", " + b.Print(d.Amount) + " off"
}

// Text is the tax as it is printed: "Sales tax, 6.5 % on material".
func (t Tax) Text() string {
	switch t.On {
	case OnService, OnMaterial:
		return t.Name + ", " + Percent(t.Rate) + " on " + string(t.On)
	}
	return t.Name + ", " + Percent(t.Rate)
}
