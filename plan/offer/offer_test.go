package offer_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/plan/offer"
	"tankful/plan/offer/offertest"
)

var asked = offer.Asked{Date: "2026-03-02", With: []string{"Prepaid"}}

// By hand, from the demo's book and a net turf of 7,575 sq ft, billed as 7,600:
//
//	a Treatment: 5 x 9.50 + 2.6 x 7.25 + 16.00 = 47.50 + 18.85 + 16.00 = 82.35
//	Weeds and iron: a band of 58.00 + 12.00; 7,575 sq ft x 1.1 fl oz/1000 sq ft = 8.3 fl oz at 118.00/128 and 35 % on it: 7.6515625 x 1.35 = 10.3296;
//	  7,575 sq ft x 3 oz/1000 sq ft = 1.42 lb at 0.93 and 35 %: 1.78281; 70.00 + 10.33 + 1.78 = 82.11
//	Basic: 2 x 82.35 = 164.70, less 5 % 8.235 -> 8.24: 156.46; tax 10.1699 -> 10.17; 166.63
//	Full season: 3 x 82.35 + 82.11 = 329.16, less 16.458 -> 16.46: 312.70; tax 20.3255 -> 20.33; 333.03
func TestQuoteByHand(t *testing.T) {
	q, found := offertest.Book(t).Make(offertest.Lots(t, "kelp-circle-8"), asked)
	if found.HasErrors() || len(q.Quotes) != 1 {
		t.Fatal(found)
	}
	x, b := q.Quotes[0], quote.Book{Places: 2}
	if q.Units.Area(x.Net) != "7,575 sq ft" || q.Units.Area(x.Billable) != "7,600 sq ft" || q.ValidUntil != "2026-04-01" || q.Tax != "Sales tax, 6.5 %" {
		t.Errorf("net %s, billed %s, until %s, %s", q.Units.Area(x.Net), q.Units.Area(x.Billable), q.ValidUntil, q.Tax)
	}
	for i, want := range [][]string{{"82.35", "82.35", "164.70", "-8.24", "156.46", "10.17", "166.63"}, {"82.35", "82.11", "82.35", "82.35", "329.16", "-16.46", "312.70", "20.33", "333.03"}} {
		o := x.Options[i]
		var got []string
		for _, v := range o.Visits {
			got = append(got, b.Print(v.Charge.Sum))
		}
		got = append(got, b.Print(o.Total.Visits))
		for _, d := range o.Total.Discounts {
			got = append(got, b.Print(d.Amount))
		}
		got = append(got, b.Print(o.Total.Net), b.Print(o.Total.Tax), b.Print(o.Total.Pay))
		if strings.Join(got, " ") != strings.Join(want, " ") {
			t.Errorf("%s: got %v, want %v", o.Name, got, want)
		}
	}
	weeds := x.Options[1].Visits[1]
	if len(weeds.Mixes) != 1 || len(weeds.Mixes[0].Products) != 2 || weeds.Mixes[0].Products[0].Amount != "8.3 fl oz" || weeds.Mixes[0].Products[0].Registration != "INVENTED-0001" {
		t.Errorf("mixes %+v", weeds.Mixes)
	}
	checkCost(t, b, &x)
}

// The cost's lines add up, the margin is the price before tax less the cost, and the fixed cost is by hand: 4 x 3.50.
func checkCost(t *testing.T, b quote.Book, x *offer.Quote) {
	t.Helper()
	for _, o := range x.Options {
		c := o.Cost
		if c == nil {
			t.Fatalf("%s has no cost", o.Name)
		}
		sum := quote.Round(c.Sum, 2)
		for _, l := range c.Lines {
			sum, _ = sum.Sub(l.Amount)
		}
		rest, _ := o.Total.Net.Sub(c.Sum)
		if !sum.IsZero() || rest.Cmp(c.Margin) != 0 || c.Work <= 0 || c.Drive <= 0 {
			t.Errorf("%s: cost %+v", o.Name, c)
		}
	}
	if l := x.Options[1].Cost.Lines[5]; l.Text != "4 visits at 3.50" || b.Print(l.Amount) != "14.00" {
		t.Errorf("fixed: %+v", l)
	}
}

// Where only the area is known the price is the same as for a measured lawn of that area, amounts of material too.
func TestAreaAlone(t *testing.T) {
	measured := offertest.Lots(t, "kelp-circle-8")
	known := []offer.Property{{ID: "x", Name: "x", Net: unit.US.RoundArea(measured[0].Net), Where: "areas.csv:2"}}
	a, _ := offertest.Book(t).Make(measured, asked)
	b, found := offertest.Book(t).Make(known, asked)
	if found.HasErrors() {
		t.Fatal(found)
	}
	for i := range a.Quotes[0].Options {
		if x, y := a.Quotes[0].Options[i].Total.Pay, b.Quotes[0].Options[i].Total.Pay; x.Cmp(y) != 0 {
			t.Errorf("measured %v, area alone %v", x, y)
		}
	}
	if b.Quotes[0].Map != nil || b.Quotes[0].Measure != nil {
		t.Error("an area has a map")
	}
}

// Quotes are read back as they were written; changed by hand they are refused.
func TestReadBack(t *testing.T) {
	q, _ := offertest.Book(t).Make(offertest.Lots(t, "kelp-circle-8", "gull-row-4"), asked)
	data, err := json.MarshalIndent(q, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	back, found := offer.Read("quotes.json", data)
	if found.HasErrors() {
		t.Fatal(found)
	}
	if again, _ := json.MarshalIndent(back, "", "  "); !bytes.Equal(data, again) {
		t.Error("read back and written again differs")
	}
	changed := strings.Replace(string(data), "166.63", "66.63", 1)
	for text, code := range map[string]string{changed: "quotes-changed", "{": "not-quotes", "{}": "not-quotes", "[]": "not-quotes"} {
		if got, found := offer.Read("quotes.json", []byte(text)); got != nil || len(found) != 1 || found[0].Code != code {
			t.Errorf("got %v, want %s", found, code)
		}
	}
}

// A lawn that grew is quoted anew: area, visits and totals are told as they were and are.
func TestAgainst(t *testing.T) {
	b := offertest.Book(t)
	property := func(feet unit.Area) []offer.Property {
		return []offer.Property{{ID: "a", Name: "A", Net: feet * unit.SquareFoot, Where: "a"}}
	}
	old, _ := b.Make(property(7600), asked)
	same, _ := b.Make(property(7600), asked)
	same.Against(old)
	if c := same.Quotes[0].Changes; len(c) != 0 {
		t.Errorf("nothing changed, and %+v is told", c)
	}
	now, _ := b.Make(property(8600), offer.Asked{Date: "2026-03-09", Programs: []string{"Full season"}, With: []string{"Prepaid"}})
	now.Against(old)
	told := map[string][2]string{}
	for _, c := range now.Quotes[0].Changes {
		told[c.What] = [2]string{c.Old, c.New}
	}
	// By hand: 1,000 sq ft more at 7.25 are 7.25 a visit: 82.35 and 89.60.
	for what, want := range map[string][2]string{"net turf": {"7,600 sq ft", "8,600 sq ft"}, "billable area": {"7,600 sq ft", "8,600 sq ft"}, "Full season: Spring feed": {"82.35", "89.60"},
		"option Basic": {"166.63", "not offered"}} {
		if told[what] != want {
			t.Errorf("%s: got %v, want %v", what, told[what], want)
		}
	}
	if _, found := offer.Read("quotes.json", mustJSON(t, now)); found.HasErrors() {
		t.Error(found)
	}
}

func mustJSON(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestWhatCannotBeQuoted(t *testing.T) {
	b := offertest.Book(t)
	if q, found := b.Make(nil, offer.Asked{Date: "soon"}); q != nil || found[0].Code != "bad-date" {
		t.Errorf("a date: %v", found)
	}
	if q, found := b.Make(nil, offer.Asked{Date: "2026-03-02", Programs: []string{"Best"}, With: []string{"Street of five and more"}}); q != nil || len(found) != 2 || found[0].Code != "unknown-name" {
		t.Errorf("names: %v", found) // a discount by the number of properties is not given by name
	}
	b.ValidDays, b.ValidUntil = 0, "2026-02-28"
	if q, found := b.Make(nil, asked); q != nil || found[0].Code != "book-expired" {
		t.Errorf("an old book: %v", found)
	}
	b = offertest.Book(t)
	q, found := b.Make([]offer.Property{{ID: "n", Name: "n", Where: "n"}, {ID: "a", Name: "a", Net: 500 * unit.SquareMetre, Where: "a"}}, asked)
	if len(q.Quotes) != 1 || len(q.Left) != 1 || q.Left[0] != "n" || !found.HasErrors() {
		t.Errorf("no turf: %v", found)
	}
	// The weed visit's last band is dearer per area than the one before; a cheaper one makes the price fall, which is told once.
	b.Prices[1].Bands[2].Each = quote.Round(b.Prices[1].Bands[2].Each, 0)
	b.Prices[1].Bands[2].Each, _ = b.Prices[1].Bands[2].Each.Sub(quote.Round(b.Prices[1].Bands[1].Flat.One(), 0))
	_, found = b.Make([]offer.Property{{ID: "a", Name: "a", Net: 500 * unit.SquareMetre, Where: "a"}}, asked)
	falls := 0
	for _, p := range found {
		if p.Code == "price-falls" {
			falls++
		}
	}
	if falls != 1 {
		t.Errorf("a price that falls is told %d times: %v", falls, found)
	}
}

// Whatever the bytes, there are quotes or a problem, never both.
func FuzzRead(f *testing.F) {
	q, _ := offertest.Book(f).Make([]offer.Property{{ID: "a", Name: "A", Net: 500 * unit.SquareMetre, Where: "a"}}, offer.Asked{Date: "2026-03-02"})
	data, err := json.Marshal(q)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	for _, s := range []string{"", "{}", "null", `{"tankful_quotes":1,"fingerprint":"x"}`, `{"tankful_quotes":1,"quotes":[{"options":[{"total":{"net":"1e9999"}}]}]}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		q, found := offer.Read("quotes.json", data)
		if (q == nil) != found.HasErrors() {
			t.Errorf("quotes %v beside %v", q != nil, found)
		}
	})
}

// BenchmarkStreet quotes nine measured lots of two programs: passes, amounts and costs.
func BenchmarkStreet(b *testing.B) {
	bk := offertest.Book(b)
	list := offertest.Lots(b)
	for b.Loop() {
		if q, found := bk.Make(list, asked); q == nil {
			b.Fatal(found)
		}
	}
	b.ReportMetric(float64(len(list)), "quotes")
}

// A visit that names no mixes takes something that is not known: no cost is claimed of its option, and why is told; the price stands.
func TestVisitWithoutMixes(t *testing.T) {
	b := offertest.Book(t)
	b.Programs[0].Visits[1].Mixes = nil
	q, found := b.Make(offertest.Lots(t, "kelp-circle-8"), asked)
	if found.HasErrors() {
		t.Fatal(found)
	}
	o := q.Quotes[0].Options
	if o[0].Cost != nil || o[1].Cost == nil || o[0].Total.Pay.String() != "166.63" {
		t.Errorf("costs %v and %v, price %v", o[0].Cost, o[1].Cost, o[0].Total.Pay)
	}
	if !slices.ContainsFunc(found, func(p problem.Problem) bool { return p.Code == "no-cost" && strings.Contains(p.What, "Fall feed") }) {
		t.Errorf("nothing says why: %v", found)
	}
}
