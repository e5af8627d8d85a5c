package quote_test

import (
	"fmt"

	"github.com/govalues/decimal"

	"tankful/calc/quote"
	"tankful/calc/unit"
)

var thousand = 1000 * unit.SquareFoot

func money(s string) quote.Money { return decimal.MustParse(s) }

// book is in dollars, to the nearest 100 sq ft.
func book(prices ...quote.Price) *quote.Book {
	return &quote.Book{Code: "USD", Places: 2, Units: unit.US, Billing: quote.Billing{Step: 100 * unit.SquareFoot, Rule: quote.Nearest}, Prices: prices}
}

func tiered() quote.Price {
	return quote.Price{Name: "Treatment", SetUp: money("18.00"), Minimum: money("45.00"), Tiers: []quote.Tier{
		{UpTo: 5 * thousand, Each: money("12.00"), Per: thousand},
		{UpTo: 20 * thousand, Each: money("9.50"), Per: thousand},
		{Each: money("7.80"), Per: thousand}}}
}

func banded() quote.Price {
	return quote.Price{Name: "Lots", Bands: []quote.Tier{
		{UpTo: 5 * thousand, Flat: money("49.00"), IsFlat: true},
		{UpTo: 10 * thousand, Flat: money("68.00"), IsFlat: true},
		{Each: money("6.40"), Per: thousand}}}
}

func show(b *quote.Book, c quote.Charge) {
	for _, l := range c.Lines {
		fmt.Printf("%s: %s\n", l.Text, b.Print(l.Amount))
	}
	fmt.Println("sum:", b.Print(c.Sum))
}

// By hand: 12,340 sq ft net is billed as 12,300; 5 x 12.00 = 60.00; 7.3 x 9.50 = 69.35; with the set-up 147.35.
func ExampleBook_Charge_tiers() {
	b := book(tiered())
	billable := b.Billable(12_340 * unit.SquareFoot)
	show(b, b.Charge(b.Find("Treatment"), billable, nil))
	// Output:
	// 5,000 sq ft at 12.00 per 1,000 sq ft: 60.00
	// 7,300 sq ft at 9.50 per 1,000 sq ft: 69.35
	// set-up: 18.00
	// sum: 147.35
}

// By hand: 1.3 x 12.00 = 15.60, with 18.00 it is 33.60, and 11.40 are missing to 45.00.
func ExampleBook_Charge_minimum() {
	b := book(tiered())
	show(b, b.Charge(b.Find("Treatment"), 1_300*unit.SquareFoot, nil))
	// Output:
	// 1,300 sq ft at 12.00 per 1,000 sq ft: 15.60
	// set-up: 18.00
	// to the minimum of 45.00: 11.40
	// sum: 45.00
}

// By hand: 78.4 fl oz out of jugs of 2.5 gal = 320 fl oz at 48.00, which is 0.15 a fl oz: 11.76, and 35 % on it 15.876.
func ExampleBook_Charge_material() {
	b := book(banded())
	show(b, b.Charge(b.Find("Lots"), 4_900*unit.SquareFoot, []quote.Material{{Text: "78.4 fl oz Feed", Amount: money("78.4"), Each: money("0.15"), MarkUp: money("0.35")}}))
	// Output:
	// 4,900 sq ft, flat up to 5,000 sq ft: 49.00
	// 78.4 fl oz Feed: 15.88
	// sum: 64.88
}

// By hand: two visits of 147.35 are 294.70; 5 % of it are 14.735, a tie, and come to 14.74; 10.00 more for five properties leave 269.96; 6.5 % of
// that are 17.5474.
func ExampleBook_Total() {
	b := book(tiered())
	b.Discounts = []quote.Discount{{Name: "Prepaid", Share: money("0.05")}, {Name: "Street", Amount: money("10.00"), Properties: 5}, {Name: "Not asked for", Share: money("0.5")}}
	b.Tax = quote.Tax{Name: "Sales tax", Rate: money("0.065"), On: quote.OnAll}
	visit := b.Charge(b.Find("Treatment"), 12_300*unit.SquareFoot, nil)
	t := b.Total([]quote.Charge{visit, visit}, []string{"Prepaid"}, 5)
	fmt.Println("visits:", b.Print(t.Visits))
	for _, d := range t.Discounts {
		fmt.Printf("%s: %s\n", d.Text, b.Print(d.Amount))
	}
	fmt.Printf("%s: %s\ntotal: %s\n", b.Tax.Text(), b.Print(t.Tax), b.Print(t.Pay))
	// Output:
	// visits: 294.70
	// Prepaid, 5 % off: -14.74
	// Street, 10.00 off: -10.00
	// Sales tax, 6.5 %: 17.55
	// total: 287.51
}

// By hand: of 64.88 15.88 are for product; 10 % off the whole leave 58.39, of which 58.39 x 15.88 / 64.88 = 14.2915 are product; 8 % of 14.29 are 1.1432.
func ExampleBook_Total_taxOnMaterial() {
	b := book(banded())
	b.Discounts = []quote.Discount{{Name: "Neighbor", Share: money("0.10"), Properties: 2}}
	b.Tax = quote.Tax{Name: "Tax", Rate: money("0.08"), On: quote.OnMaterial}
	visit := b.Charge(b.Find("Lots"), 4_900*unit.SquareFoot, []quote.Material{{Text: "Feed", Amount: money("78.4"), Each: money("0.15"), MarkUp: money("0.35")}})
	t := b.Total([]quote.Charge{visit}, nil, 2)
	fmt.Println(b.Print(t.Net), b.Print(t.Taxable), b.Print(t.Tax), b.Print(t.Pay))
	// Output:
	// 58.39 14.29 1.14 59.53
}

// By hand: up to 10,000 sq ft it is 68.00 flat; 10,100 sq ft at 6.40 are 64.64.
func ExampleBook_Falls() {
	b := book(tiered(), banded())
	for _, f := range b.Falls() {
		fmt.Printf("%s: %s at %s, %s above\n", f.Price, b.Print(f.Before), b.Units.Area(f.At), b.Print(f.Above))
	}
	// Output:
	// Lots: 68.00 at 10,000 sq ft, 64.64 above
}

func ExampleRound() {
	for _, s := range []string{"2.345", "2.3449999", "-2.345", "0.005", "2.675", "1.005", "7"} {
		fmt.Print(quote.Round(money(s), 2), " ")
	}
	fmt.Println(quote.Round(money("1234.5"), 0))
	// Output:
	// 2.35 2.34 -2.35 0.01 2.68 1.01 7.00 1235
}
