package sheet_test

import (
	"regexp"
	"strings"
	"testing"

	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/plan/offer"
	"tankful/plan/offer/offertest"
	"tankful/plan/sheet"
)

// quotes are those of the demo's lots by its book, and of an area alone.
func quotes(t *testing.T) *offer.Quotes {
	t.Helper()
	list := append(offertest.Lots(t), offer.Property{ID: "area", Name: "Area alone", Net: 5000 * unit.SquareFoot, Where: "a"})
	q, found := offertest.Book(t).Make(list, offer.Asked{Date: "2026-03-02", With: []string{"Prepaid"}})
	if found.HasErrors() {
		t.Fatal(found.Err())
	}
	return q
}

// Every figure of a quote is on the customer's paper; what it costs the office is not, and is on the office's copy.
func TestQuoteIsWhole(t *testing.T) {
	q := quotes(t)
	b := quote.Book{Places: q.Places}
	office, err := sheet.QuoteOffice(q, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	inside := office.Text()
	for i := range q.Quotes {
		x := &q.Quotes[i]
		d, err := sheet.Quote(q, x.Property, sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(d.Text()), " ")
		billed, _, _ := strings.Cut(q.Units.Area(x.Billable), " ")
		want := []string{x.Name, "Billed " + billed, q.ValidUntil, q.Tax, quote.Ties, q.Fingerprint, q.Firm.Name, q.Firm.Licence, "Signed for the customer", "Address: ______", q.Terms[0], "law"}
		for _, o := range x.Options {
			want = append(want, o.Name, b.Print(o.Total.Visits), b.Print(o.Total.Net), b.Print(o.Total.Tax), b.Print(o.Total.Pay)+" USD")
			for _, d := range o.Total.Discounts {
				want = append(want, d.Text, b.Print(d.Amount))
			}
			for _, v := range o.Visits {
				want = append(want, v.Name, v.When, v.For, b.Print(v.Charge.Sum))
				for _, l := range v.Charge.Lines {
					want = append(want, l.Text+": "+b.Print(l.Amount))
				}
				for _, m := range v.Mixes {
					for _, p := range m.Products {
						want = append(want, p.Name, p.Rate, p.Amount, p.Registration, strings.TrimSuffix(p.KeepOff, "."))
					}
				}
			}
			for _, l := range o.Cost.Lines {
				if !strings.Contains(inside, l.Text) {
					t.Errorf("the office's copy lacks %q", l.Text)
				}
			}
			if !strings.Contains(inside, b.Print(o.Cost.Margin)) || strings.Contains(text, o.Cost.Share) {
				t.Errorf("%s: margin %s: on the office's copy %v, share on the customer's %v", x.Name, b.Print(o.Cost.Margin), strings.Contains(inside, b.Print(o.Cost.Margin)), strings.Contains(text, o.Cost.Share))
			}
		}
		for _, w := range want {
			if w = strings.Join(strings.Fields(w), " "); !strings.Contains(text, w) {
				t.Errorf("%s: %q is not on paper", x.Name, w)
			}
		}
		if regexp.MustCompile(`(?i)margin|drive time|work, \d`).MatchString(text) {
			t.Errorf("%s: the customer reads what it costs", x.Name)
		}
	}
	if _, err := sheet.Quote(q, "nobody", sheet.Options{}); err == nil {
		t.Error("a quote for nobody is drawn")
	}
	if _, err := sheet.QuoteOffice(nil, sheet.Options{}); err == nil {
		t.Error("no quotes are drawn")
	}
}
