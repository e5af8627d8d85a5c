package dayfile

import (
	"os"
	"slices"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan/offer"
	"tankful/testdata/demo"
)

func demoBook(t testing.TB, edit ...string) (*offer.Book, problem.List) {
	t.Helper()
	data, err := demo.Files.ReadFile("prices.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i := 0; i+1 < len(edit); i += 2 {
		if strings.Count(text, edit[i]) != 1 {
			t.Fatalf("%q is there %d times", edit[i], strings.Count(text, edit[i]))
		}
		text = strings.Replace(text, edit[i], edit[i+1], 1)
	}
	return ParsePrices("prices.yaml", []byte(text), demo.Files.ReadFile, intake.Options{})
}

func TestDemoPrices(t *testing.T) {
	b, found := demoBook(t)
	if found.HasErrors() {
		t.Fatal(found.Err())
	}
	if b.Code != "USD" || b.Places != 2 || b.Units != unit.US || !b.Invented || b.ValidDays != 30 || len(b.Prices) != 2 || len(b.Programs) != 2 || len(b.Discounts) != 2 || b.Day == nil || b.Costs == nil {
		t.Errorf("got %+v", b)
	}
	if b.Billing.Rule != quote.Nearest || b.Units.Area(b.Billing.Step) != "100 sq ft" || b.SetUp != 6*unit.Minute {
		t.Errorf("billing %+v, set-up %v", b.Billing, b.SetUp)
	}
	// By hand: 21.00 for 2.5 gal = 320 fl oz is 0.065625 a fl oz.
	if p := b.Products[0]; p.Each.String() != "0.065625" || p.MarkUp.String() != "0.30" && p.MarkUp.String() != "0.3" {
		t.Errorf("the feed costs %v a fl oz, and %v on it", p.Each, p.MarkUp)
	}
	if v := b.Programs[1].Visits[1]; v.Name != "Weeds and iron" || !v.Material || v.Price != "Weed visit" || !slices.Equal(v.Mixes, []string{"Weed and iron"}) {
		t.Errorf("visit %+v", v)
	}
	if d := b.Discounts; d[0].Share.String() != "0.05" || d[1].Properties != 5 {
		t.Errorf("discounts %+v", d)
	}
}

// Each line of the table is one fault in the demo's book: its code, a part of its place and of what it says.
func TestBadPrices(t *testing.T) {
	tests := []struct{ old, new, code, where, what string }{
		{"tankful_prices: 1 ", "tankful_prices: 2 ", "file-version", "tankful_prices", "layout"},
		{"currency: USD", "currency: dollars", "unknown-currency", "currency", "dollars"},
		{"currency: USD", "currency: ZZZ", "unknown-currency", "currency", "ZZZ"},
		{"currency: USD\n", "", "missing-key", "currency", "missing"},
		{"units: us", "units: uk", "unknown-word", "units", "uk"},
		{"outfit: day.yaml", "outfit: night.yaml", "outfit-unreadable", "outfit", "night.yaml"},
		{"valid: 30 days", "valid: soon", "valid-unclear", "valid", "soon"},
		{"valid: 30 days", "valid: 0 days", "valid-unclear", "valid", "0 days"},
		{"rule: nearest}", "rule: down}", "unknown-word", "billable.rule", "down"},
		{"rule: nearest}", "rule: none}", "billing-unclear", "billable.step", "as measured"},
		{"step: 100 sq ft, rule: nearest", "rule: up", "missing-key", "billable.step", "missing"},
		{"step: 100 sq ft, rule: nearest", "step: 100, rule: up", "missing-unit", "billable.step", "unit"},
		{"step: 100 sq ft, rule: nearest", "step: 10 m2, rule: up", "billing-unclear", "billable.step", "whole"},
		{"price: 9.50 per 1000 sq ft", "price: $9.50 per 1000 sq ft", "bad-money", "tiers[0].price", "$9.50"},
		{"price: 9.50 per 1000 sq ft", "price: 9.50", "bad-money", "tiers[0].price", "per what"},
		{"price: 9.50 per 1000 sq ft", "price: 9.50 per 1000", "missing-unit", "tiers[0].price", "unit"},
		{"price: 9.50 per 1000 sq ft", "price: 9.50 per 0 sq ft", "not-positive", "tiers[0].price", "0 sq ft"},
		{"price: 9.50 per 1000 sq ft", "price: 9.50001 per 1000 sq ft", "bad-money", "tiers[0].price", "5 digits"},
		{"{up_to: 20000 sq ft, price: 7.25", "{up_to: 4000 sq ft, price: 7.25", "tiers-order", "tiers[1].up_to", "not over"},
		{"{price: 5.40 per", "{up_to: 30000 sq ft, price: 5.40 per", "tiers-end", "tiers", "30,000 sq ft"},
		{"{up_to: 20000 sq ft, price: 7.25", "{price: 7.25", "tiers-order", "tiers[2]", "after"},
		{"set_up: 16.00", "set_up: 16.005", "bad-money", "set_up", "3 digits"},
		{"set_up: 16.00", "set_up: -16", "bad-money", "set_up", "-16"},
		{"minimum: 42.00", "minimum: 42.00\n    may_fall: true", "price-unclear", "may_fall", "never"},
		{"  - name: Weed visit ", "  - name: Treatment ", "duplicate-name", "prices[1].name", "Treatment"},
		{"    bands:", "    bnds:", "unknown-key", "bnds", "bnds"},
		{"name: Basic\n", "name: Full season\n", "duplicate-name", "programs[1].name", "Full season"},
		{"price: Weed visit,", "price: Weed vist,", "unknown-name", "price", "Weed vist"},
		{"mixes: [Weed and iron]", "mixes: [Weed]", "unknown-name", "mixes[0]", "Weed"},
		{"for: broadleaf weeds", "until: 2026-05-01, from: 2026-06-01", "ends-before-start", "until", "2026-06-01"},
		{"cost: 21.00 per 2.5 gal", "cost: 21.00 per 2.5 lb", "bad-quantity", "products[0].cost", "lb"},
		{"cost: 21.00 per 2.5 gal", "cost: 21.00 per 0 gal", "not-positive", "products[0].cost", "0 gal"},
		{"{name: Soil wetter,", "{name: Soil water,", "unknown-name", "products[1].name", "Soil water"},
		{"mark_up: 30 %}\n  - {name: Soil", "mark_up: 30}\n  - {name: Soil", "bad-share", "mark_up", "30"},
		{"labour: 34.00 per h", "labour: 34.00 per day", "bad-money", "costs.labour", "per"},
		{"distance: 0.95 per mi", "distance: 0.95 per km", "bad-money", "costs.distance", "km"},
		{"drive_share: 25 %", "drive_share: 125 %", "bad-share", "drive_share", "over 100"},
		{"off: 5 %}", "off: five}", "bad-money", "off", "five"},
		{"properties: 5}", "properties: 1}", "not-positive", "properties", "1"},
		{"rate: 6.5 %, on: all", "rate: 6.5 %, on: half", "unknown-word", "tax.on", "half"},
		{"rate: 6.5 %, on: all", "rate: 6.5 %", "missing-key", "tax.on", "missing"},
	}
	for _, test := range tests {
		_, found := demoBook(t, test.old, test.new)
		ok := false
		for _, p := range found {
			if p.Code == test.code && strings.HasPrefix(p.Where, "prices.yaml:") && strings.Contains(p.Where, test.where) && strings.Contains(p.What, test.what) && p.Fix != "" {
				ok = true
			}
		}
		if !ok || !found.HasErrors() {
			t.Errorf("%q: got %v, want %s at %s with %q", test.new, found, test.code, test.where, test.what)
		}
	}
	// All of them at once, each with its line.
	_, found := demoBook(t, "currency: USD", "currency: ZZZ", "set_up: 16.00", "set_up: x", "off: 5 %}", "off: five}", "valid: 30 days", "valid: soon")
	if n := len(found); n != 4 {
		t.Errorf("%d problems of four are told: %v", n, found)
	}
}

// Without an outfit mixes are names; material and costs are refused, and their place told.
func TestPricesWithoutAnOutfit(t *testing.T) {
	_, found := demoBook(t, "outfit: day.yaml      # mixes, products, catch tests and yard are taken from here\n", "")
	codes := map[string]int{}
	for _, p := range found {
		codes[p.Code]++
	}
	if codes["no-outfit"] != 6 || len(codes) != 1 { // four products, the costs, one visit
		t.Errorf("got %v", found)
	}
}

func TestAreas(t *testing.T) {
	out, found := Areas("street.csv", []byte("property,name,area\na,First,\"12,300 sq ft\"\nb,,0.5 acres\n"))
	if len(found) > 0 || len(out) != 2 || out[1].Name != "b" || unit.US.Area(out[0].Net) != "12,300 sq ft" || unit.US.Area(out[1].Net) != "21,780 sq ft" {
		t.Errorf("got %+v, %v", out, found)
	}
	for table, code := range map[string]string{"": "areas-unreadable", "property\na\n": "missing-key", "property,area\n,1 acre\n": "empty-value", "property,area\na,5\n": "bad-quantity", "property,area\na,0 sq ft\n": "out-of-range",
		"property,area\na,12,300 sq ft\n": "areas-unreadable", "property,area,colour\na,1 acre,x\n": "unknown-key", "property,area\n\"a\n": "areas-unreadable", "property,property,area\n": "duplicate-key"} {
		out, found := Areas("street.csv", []byte(table))
		if out != nil || len(found) == 0 || found[0].Code != code {
			t.Errorf("%q: got %v, want %s", table, found, code)
		}
	}
}

// Whatever the bytes, a book comes with problems that are whole, and one without errors can be quoted from.
func FuzzParsePrices(f *testing.F) {
	data, err := demo.Files.ReadFile("prices.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	for _, s := range []string{"", "tankful_prices: 1\nprices: [{}]\n", "tankful_prices: 1\nfirm: {name: a}\ncurrency: JPY\nunits: metric\nvalid: 1 days\nbillable: {rule: none}\nprices: [{name: p, tiers: [{price: 1 per 100 m2}]}]\nprograms: [{name: q, visits: [{name: v, when: w, price: p}]}]\n"} {
		f.Add([]byte(s))
	}
	none := func(string) ([]byte, error) { return nil, os.ErrNotExist }
	f.Fuzz(func(t *testing.T, data []byte) {
		b, found := ParsePrices("prices.yaml", data, none, intake.Options{})
		for _, p := range found {
			if p.Code == "" || p.What == "" || p.Fix == "" || !strings.HasPrefix(p.Where, "prices.yaml") {
				t.Errorf("an entry is not whole: %+v", p)
			}
		}
		if found.HasErrors() {
			return
		}
		q, more := b.Make([]offer.Property{{ID: "a", Name: "a", Net: 1234 * unit.SquareMetre, Where: "a"}}, offer.Asked{Date: "2026-03-02"})
		if q == nil && !more.HasErrors() {
			t.Error("no quotes and no error")
		}
	})
}
