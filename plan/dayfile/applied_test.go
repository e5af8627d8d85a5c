package dayfile

import (
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
)

// appliedPlan has two stops on one property, spray and granules, and one elsewhere.
func appliedPlan() *plan.Plan {
	return &plan.Plan{Date: "2026-05-04", Units: unit.US,
		Mixes: []plan.MixPlan{
			{Name: "Spray", Products: []plan.ProductPlan{{Name: "Feed", Form: label.Liquid}, {Name: "Iron", Form: label.Dry}}},
			{Name: "Spread", Products: []plan.ProductPlan{{Name: "Pellets", Form: label.Granule}}},
		},
		Stops: []plan.StopPlan{{N: 1, Property: "a", Mix: "Spray"}, {N: 2, Property: "a", Mix: "Spread"}, {N: 3, Property: "b", Mix: "Spray"}},
	}
}

func TestApplied(t *testing.T) {
	table := "\uFEFFProperty, product, amount, began, finished, applicator, licence, wind, wind_from, temperature, remarks, date\n" +
		"a, Feed, 2 gal, 07:40, 08:15, Kim, X-1, 4 mph, NW, 61 F, \"dog, gate\",\n" +
		"a, Pellets, 30 lb, , , , , , , , , \n" +
		"b, , , 09:00\n"
	done, found := Applied("done.csv", []byte(table), appliedPlan())
	if len(found) > 0 || len(done) != 2 {
		t.Fatalf("got %d entries and %v", len(done), found)
	}
	a, b := done[0], done[1]
	if a.Property != "a" || a.Date != "2026-05-04" || a.Began != 7*unit.Hour+40*unit.Minute || a.Finished != 8*unit.Hour+15*unit.Minute || a.Applicator != "Kim" || a.Licence != "X-1" ||
		a.WindFrom != "NW" || a.Temperature != "61 F" || a.Remarks != "dog, gate" || unit.US.Speed(a.Wind) != "4.0 mph" {
		t.Errorf("got %+v", a)
	}
	if len(a.Products) != 2 || a.Products[0].Amount.Text(unit.US) != "256.0 fl oz (2 gal 0.0 fl oz)" || a.Products[1].Amount.Text(unit.US) != "30.00 lb" {
		t.Errorf("used %+v", a.Products)
	}
	if b.Property != "b" || b.Began != 9*unit.Hour || len(b.Products) != 0 {
		t.Errorf("got %+v", b)
	}
}

func TestAppliedRefuses(t *testing.T) {
	tests := []struct{ table, code, what string }{
		{"", "record-unreadable", "no head line"},
		{"property\n", "record-unreadable", "no line below"},
		{"date\n2026-05-04\n", "missing-key", "property is missing"},
		{"property,property\na,a\n", "duplicate-key", "twice"},
		{"property,colour\na,x\n", "unknown-key", `"colour"`},
		{"property\nc\n", "unknown-property", `"c"`},
		{"property\n\"a\n", "record-unreadable", "no line of a table"},
		{"property,date\na,4 May\n", "bad-date", ""},
		{"property,began\na,7\n", "clock-invalid", `"7"`},
		{"property,began,finished\na,09:00,08:00\n", "ends-before-start", "09:00"},
		{"property,wind\na,4\n", "bad-quantity", "unit"},
		{"property,product\na,Feed\n", "missing-key", "one of product and amount"},
		{"property,product,amount\na,Feed,2 oz\n", "bad-quantity", "oz"},
		{"property,product,amount\na,Feed,2 lb\n", "bad-quantity", ""},
		{"property,product,amount\nb,Pellets,2 lb\n", "unknown-product", `"Pellets"`},
		{"property,product,amount\na,Feed,2 gal\na,Feed,1 gal\n", "duplicate-name", "Feed"},
		{"property,remarks\na,one\na,two\n", "record-differs", "done.csv:2"},
		{"property\na,b\n", "record-unreadable", "2 cells"},
	}
	for _, test := range tests {
		done, found := Applied("done.csv", []byte(test.table), appliedPlan())
		if done != nil || len(found) != 1 || found[0].Code != test.code || !strings.Contains(found[0].What, test.what) || found[0].Fix == "" {
			t.Errorf("%q: got %v, want one %s with %q", test.table, found, test.code, test.what)
		}
	}
}

// Whatever the bytes, entries or problems come, never both, and no panic.
func FuzzApplied(f *testing.F) {
	for _, s := range []string{"", "property\na\n", "property,product,amount\na,Feed,2 gal\n", "property,began\nb,25:61\n", "\"", "property;date\n", "property,wind\na,1e999 mph\n"} {
		f.Add([]byte(s))
	}
	p := appliedPlan()
	f.Fuzz(func(t *testing.T, data []byte) {
		done, found := Applied("done.csv", data, p)
		if (len(done) == 0) != found.HasErrors() {
			t.Errorf("%d entries beside %v", len(done), found)
		}
		for _, q := range found {
			if q.Code == "" || q.What == "" || q.Fix == "" || !strings.HasPrefix(q.Where, "done.csv") {
				t.Errorf("an entry is not whole: %+v", q)
			}
		}
	})
}
