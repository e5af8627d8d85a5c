package season_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
)

const (
	floz  = unit.FluidOuncePerThousand
	pound = unit.PoundPerThousand
)

// Invented products.
var (
	// 10.2 lb/gal x 18 % = 1.836 lb N/gal: 16 fl oz put on 0.2295 lb N, a third of it slow.
	feed = label.Product{Name: "Feed", Form: label.Liquid, Class: label.Soluble, Density: 10.2 * unit.PoundPerGallon,
		Analysis: label.Analysis{N: 0.18, K2O: 0.04, SlowN: 0.06},
		Label:    label.Label{Most: label.Rate{Liquid: 90 * floz}, Citation: "invented label", Dated: "2026-01-05"}}
	spread = label.Product{Name: "Spread", Form: label.Granule, Analysis: label.Analysis{N: 0.20, P2O5: 0.05, K2O: 0.10},
		Label: label.Label{Citation: "invented label", Dated: "2026-01-05"}}
	weed = label.Product{Name: "Weed", Form: label.Liquid, Class: label.Emulsifiable, Density: 9.1 * unit.PoundPerGallon,
		Analysis: label.Analysis{None: true},
		Label: label.Label{Most: label.Rate{Liquid: 1.5 * floz}, IntervalDays: 28, Citation: "invented label", Dated: "2026-01-05",
			Limits: []label.Limit{{Of: "Weed", Per: label.PerYear, Most: label.Rate{Liquid: 3 * floz}, Times: 3, Citation: "invented label", Dated: "2026-01-05"}}}}
)

func lb(x float64) label.Rate { return label.Rate{Dry: unit.MassPerArea(x) * pound} }
func oz(x float64) label.Rate { return label.Rate{Liquid: unit.VolumePerArea(x) * floz} }

func limit(of string, per label.Per, most float64) label.Limit {
	return label.Limit{Of: of, Per: per, Most: lb(most), Citation: "invented ordinance", Dated: "2026-02-01", Where: "day.yaml:3"}
}

func past(day string, p label.Product, r label.Rate) season.Applied {
	return season.Applied{Date: day, Property: "a", Product: p, Rate: r, Where: "log.csv:2"}
}

func visit(day string, parts ...season.Part) season.Visit {
	return season.Visit{Date: day, Property: "a", Grass: "bermuda", Applicator: "gun", Parts: parts, Where: "day.yaml:9"}
}

func part(p label.Product, r label.Rate) season.Part { return season.Part{Product: p, Rate: r} }

func codes(ps problem.List) string {
	var s []string
	for _, p := range ps {
		s = append(s, p.Code)
	}
	return strings.Join(s, " ")
}

// whole holds problems, facts and workings to what every one must be.
func whole(t testing.TB, name string, r season.Result, ps problem.List) {
	t.Helper()
	for _, p := range ps {
		if p.Where == "" || p.Severity == "" || !strings.HasSuffix(p.Fix, ".") || strings.Contains(p.What+p.Fix, "%!") {
			t.Errorf("%s: half a problem: %+v", name, p)
		}
	}
	for _, s := range []unit.System{unit.US, unit.Metric} {
		if err := r.Working(s).Verify(); err != nil {
			t.Errorf("%s: %v\n%s", name, err, r.Working(s).Text())
		}
		for _, f := range r.Facts(s) {
			if f.Name == "" || f.Text == "" || strings.Contains(f.Text, "NaN") {
				t.Errorf("%s: half a fact: %+v", name, f)
			}
		}
	}
}

// Two feeds of 0.9 lb N, a third planned; limits of the form that counties and states publish.
func ExampleSeason_Check() {
	s := season.Season{
		Past:   []season.Applied{past("2026-03-16", spread, lb(4.5)), past("2025-10-01", spread, lb(4.5))},
		Limits: []label.Limit{limit("N", label.PerYear, 1), {Of: "N", From: "11-15", To: "03-01", Citation: "invented ordinance", Dated: "2026-02-01"}},
	}
	r, problems := s.Check(visit("2026-04-14", part(feed, oz(16))))
	for _, p := range problems {
		fmt.Println(p)
	}
	for _, f := range r.Facts(unit.US) {
		fmt.Println(f.Name+":", f.Text)
	}
	// Output:
	// day.yaml:9: error: N per year (2026) would be 1.13 lb N/1000 sq ft (55.15 kg N/ha) with this visit, and the most is 1.00 lb N/1000 sq ft (48.82 kg N/ha): over by 0.1295 lb N/1000 sq ft (6.32 kg N/ha) [invented ordinance, read 2026-02-01] [limit-over]. Put on at most 6.971 fl oz/1000 sq ft (22.19 L/ha) of Feed, or come on 2027-03-02 at the earliest.
	// this visit: N: 0.2295 lb/1000 sq ft
	// this visit: quick N: 0.153 lb/1000 sq ft
	// this visit: slow N: 0.0765 lb/1000 sq ft
	// this visit: K2O: 0.051 lb/1000 sq ft
	// this visit: Feed: 16.00 fl oz/1000 sq ft
	// other visits in 2026: N: 0.90 lb/1000 sq ft
	// other visits in 2026: quick N: 0.90 lb/1000 sq ft
	// other visits in 2026: P2O5: 0.225 lb/1000 sq ft
	// other visits in 2026: K2O: 0.45 lb/1000 sq ft
	// other visits in 2026: Spread: 4.50 lb/1000 sq ft
	// Feed per application (2026-04-14): none before, 16.00 fl oz/1000 sq ft with this visit, of 90.00 fl oz/1000 sq ft: 74.00 fl oz/1000 sq ft left [invented label, read 2026-01-05]
	// N per year (2026): NOT ALLOWED: 0.90 lb N/1000 sq ft before, 1.13 lb N/1000 sq ft with this visit, of 1.00 lb N/1000 sq ft: over by 0.1295 lb N/1000 sq ft [invented ordinance, read 2026-02-01]
	// blackout of N, 11-15 to 03-01: the visit is outside it [invented ordinance, read 2026-02-01]
	// most of Feed on this date: 6.971 fl oz/1000 sq ft, by N per year
	// earliest date as planned: 2027-03-02
}

func ExampleResult_Working() {
	s := season.Season{Past: []season.Applied{past("2026-03-16", spread, lb(4))}, Limits: []label.Limit{limit("P", label.PerYear, 0.2)}}
	r, _ := s.Check(visit("2026-04-14", part(spread, lb(3))))
	fmt.Print(r.Working(unit.US).Text())
	// Output:
	// P in Spread: 2.1825 %
	//   = P2O5 x P in P2O5
	//   = 5 % x 0.4365
	//   = 2.1825 %
	//   The bag states phosphate, P2O5; the element is 0.44 of it.
	//   source of P in P2O5: SPES-201NP, Table 1, Virginia Cooperative Extension
	//
	// P, 2026-03-16 Spread: 0.0873 lb P/1000 sq ft
	//   = rate of Spread x P in Spread
	//   = (4 lb/1000 sq ft) x 2.1825 %
	//   = 0.0873 lb/1000 sq ft
	//
	// P, this visit, Spread: 0.0655 lb P/1000 sq ft
	//   = rate of Spread x P in Spread
	//   = (3 lb/1000 sq ft) x 2.1825 %
	//   = 0.065475 lb/1000 sq ft
	//
	// P per year (2026): 0.1528 lb P/1000 sq ft
	//   = 2026-03-16 Spread + this visit, Spread
	//   = (0.0873 lb/1000 sq ft) + (0.065475 lb/1000 sq ft)
	//   = 0.152775 lb/1000 sq ft
	//
	// left of P per year: 0.04723 lb P/1000 sq ft
	//   = most - with this visit
	//   = (0.2 lb/1000 sq ft) - (0.152775 lb/1000 sq ft)
	//   = 0.047225 lb/1000 sq ft
	//   invented ordinance, read 2026-02-01
	//
	// earliest date as planned: 2026-04-14
	//   Every day from the visit's date on is held against every limit.
}

// Limits of the form published by New Jersey (jerseyyards.org, Rutgers FAQ), Florida 5E-1.003 (UF/IFAS
// EDIS EP353), Marion County FL code 19-247 and Suffolk County NY advice. The entries are invented: law is by
// place and changes. The sums are by hand.
func TestForms(t *testing.T) {
	nj := []label.Limit{limit("N", label.PerApplication, 0.9), {Of: "N", LeastSlow: 0.2, From: "11-15", To: "03-01", Citation: "c", Dated: "2026-02-01"}}
	fl := []label.Limit{limit("N", label.PerApplication, 0.7), limit("P2O5", label.PerApplication, 0.25), limit("P2O5", label.PerYear, 0.50)}
	fl[0].Basis = label.Quick
	marion := []label.Limit{limit("N", label.PerYear, 3), limit("N", label.PerYear, 4), limit("N", label.PerYear, 2)}
	marion[0].Grass, marion[1].Grass, marion[2].Grass = "bahia", "bermuda", "centipede"
	suffolk := []label.Limit{limit("N", label.PerApplication, 0.5), {Of: "N", LeastSlow: 0.5, Citation: "c", Dated: "2026-02-01"}}
	suffolk[0].Basis = label.Quick
	half := label.Product{Name: "Half", Form: label.Granule, Analysis: label.Analysis{N: 0.30, SlowN: 0.15}, Label: label.Label{Citation: "c"}}
	boom := []label.Limit{limit("N", label.PerApplication, 0.1)}
	boom[0].Applicator = "boom"
	for _, c := range []struct {
		name     string
		limits   []label.Limit
		past     []season.Applied
		v        season.Visit
		want     string
		earliest string
		largest  float64 // lb or fl oz per 1,000 sq ft of the first product, -1 for no bound
	}{
		// 4.5 lb x 20 % = 0.9 lb N, but none of it slow.
		{"NJ at the most, no slow", nj, nil, visit("2026-04-14", part(spread, lb(4.5))), "slow-part-low", "", 0},
		// 62.7 fl oz x 1.836 / 128 = 0.8994 lb; a third is slow.
		{"NJ within", nj, nil, visit("2026-04-14", part(feed, oz(62.7))), "", "2026-04-14", 62.7451},
		{"NJ over", nj, nil, visit("2026-04-14", part(feed, oz(63))), "limit-over", "", 62.7451},
		{"NJ last day before", nj, nil, visit("2026-11-14", part(feed, oz(16))), "", "2026-11-14", 62.7451},
		{"NJ first day", nj, nil, visit("2026-11-15", part(feed, oz(16))), "in-blackout", "2027-03-02", 0},
		{"NJ new year", nj, nil, visit("2027-01-01", part(feed, oz(16))), "in-blackout", "2027-03-02", 0},
		{"NJ last day", nj, nil, visit("2027-03-01", part(feed, oz(16))), "in-blackout", "2027-03-02", 0},
		{"NJ, no N in it", nj, nil, visit("2026-12-01", part(weed, oz(1.1))), "", "2026-12-01", 1.5},
		// A second pass on the same day is the same application: 0.5 + 0.5 lb.
		{"NJ twice a day", nj[:1], []season.Applied{past("2026-04-14", spread, lb(2.5))}, visit("2026-04-14", part(spread, lb(2.5))), "limit-over", "2026-04-15", 2},
		// 3.5 lb x 20 % = 0.7 lb quick N; 3.5 x 5 % = 0.175 lb P2O5.
		{"FL within", fl, nil, visit("2026-04-14", part(spread, lb(3.5))), "", "2026-04-14", 3.5},
		{"FL third of the year", fl, []season.Applied{past("2026-02-01", spread, lb(3.5)), past("2026-03-01", spread, lb(3.5))},
			visit("2026-04-14", part(spread, lb(3.5))), "limit-over", "2027-01-01", 3},
		{"Marion, bermuda", marion, []season.Applied{past("2026-02-01", spread, lb(15))}, visit("2026-04-14", part(spread, lb(4.5))), "", "2026-04-14", 5},
		{"Marion, bermuda over", marion, []season.Applied{past("2026-02-01", spread, lb(15))}, visit("2026-04-14", part(spread, lb(5.5))), "limit-over", "2027-01-01", 5},
		// 3 lb x 30 % = 0.9 lb N, 0.45 quick; 50 % slow.
		{"Suffolk within", suffolk, nil, visit("2026-04-14", part(half, lb(3))), "", "2026-04-14", 3.3333333},
		{"Suffolk, two products", suffolk, nil, visit("2026-04-14", part(half, lb(2)), part(spread, lb(0.5))), "slow-part-low", "", 0},
		{"another applicator", boom, nil, visit("2026-04-14", part(spread, lb(3.5))), "", "2026-04-14", -1},
		{"another property", fl, []season.Applied{{Date: "2026-03-01", Property: "b", Product: spread, Rate: lb(50)}}, visit("2026-04-14", part(spread, lb(3.5))), "", "2026-04-14", 3.5},
		{"by amount and area", fl[2:], []season.Applied{{Date: "2026-03-01", Property: "a", Product: spread, Amount: label.Amount{Dry: 40 * unit.Pound}, Area: 5000 * unit.SquareFoot}},
			visit("2026-04-14", part(spread, lb(3))), "limit-over", "2027-01-01", 2},
	} {
		r, ps := season.Season{Past: c.past, Limits: c.limits}.Check(c.v)
		whole(t, c.name, r, ps)
		if codes(ps) != c.want || r.Earliest != c.earliest || r.Allowed != (c.want == "") {
			t.Errorf("%s: got %q, earliest %q (%v), want %q and %q\n%v", c.name, codes(ps), r.Earliest, r.Why, c.want, c.earliest, ps)
		}
		l := r.Largest[0]
		got := l.Rate.Dry.In(pound) + l.Rate.Liquid.In(floz)
		if c.largest < 0 {
			if l.Bound {
				t.Errorf("%s: bound to %v by %s", c.name, got, l.By)
			}
		} else if !l.Bound || math.Abs(got-c.largest) > 1e-4 {
			t.Errorf("%s: largest %v (bound %v), want %v", c.name, got, l.Bound, c.largest)
		}
	}
}

// An interval of 28 days: the next application at the earliest on day 28 after the last, and a cap in
// any 28 days says the same. It holds towards later entries too.
func TestDaysApart(t *testing.T) {
	in28 := weed
	in28.Label = label.Label{Citation: "c", Limits: []label.Limit{{Of: "Weed", Per: label.PerDays, Days: 28, Most: oz(1.5), Citation: "c", Dated: "2026-01-05"}}}
	for _, c := range []struct {
		day             string
		apart           bool
		earliest, later string // without and with another application on 2026-05-20
	}{
		{"2026-04-01", true, "2026-04-01", "2026-04-01"}, // the same day: one application
		{"2026-04-02", false, "2026-04-29", "2026-05-20"},
		{"2026-04-28", false, "2026-04-29", "2026-05-20"},
		{"2026-04-29", true, "2026-04-29", "2026-05-20"},
		{"2026-03-04", true, "2026-03-04", "2026-03-04"},
		{"2026-03-05", false, "2026-04-01", "2026-04-01"},
	} {
		first := past("2026-04-01", weed, oz(0.5))
		for _, later := range []bool{false, true} {
			log, want := []season.Applied{first}, c.earliest
			if later {
				log, want = append(log, past("2026-05-20", weed, oz(0.5))), c.later
			}
			r, ps := season.Season{Past: log}.Check(visit(c.day, part(weed, oz(0.5))))
			whole(t, c.day, r, ps)
			if r.Earliest != want || r.Allowed != (want == c.day) {
				t.Errorf("interval, %s, later %v: got %s (%v), want %s", c.day, later, r.Earliest, r.Allowed, want)
			}
			if r.Allowed == strings.Contains(codes(ps), "interval-short") {
				t.Errorf("interval, %s: allowed is %v and %v", c.day, r.Allowed, ps)
			}
			// Amounts of 0.8 twice pass 1.5 wherever both fall into one window; on one day too.
			for i := range log {
				log[i].Product, log[i].Rate = in28, oz(0.8)
			}
			r, ps = season.Season{Past: log}.Check(visit(c.day, part(in28, oz(0.8))))
			whole(t, c.day, r, ps)
			apart := c.apart && c.day != "2026-04-01" && (!later || c.day != "2026-04-29")
			if r.Allowed != apart {
				t.Errorf("28 days, %s, later %v: allowed is %v, want %v: %+v", c.day, later, r.Allowed, apart, r.Lines)
			}
		}
	}
}

// Three times a year, and three ounces: applications on one day count once.
func TestTimes(t *testing.T) {
	log := []season.Applied{past("2026-03-01", weed, oz(0.5)), past("2026-04-10", weed, oz(0.5)), past("2026-04-10", weed, oz(0.1)), past("2026-06-01", weed, oz(0.5))}
	r, ps := season.Season{Past: log[:3]}.Check(visit("2026-06-01", part(weed, oz(0.5))))
	whole(t, "third", r, ps)
	if len(ps) > 0 || !r.Allowed {
		t.Errorf("the third of the year: got %v", ps)
	}
	r, ps = season.Season{Past: log}.Check(visit("2026-06-01", part(weed, oz(0.5))))
	whole(t, "third in two", r, ps)
	if len(ps) > 0 || !r.Allowed {
		t.Errorf("the third of the year, put on in two: got %v", ps)
	}
	r, ps = season.Season{Past: log}.Check(visit("2026-08-01", part(weed, oz(0.5))))
	whole(t, "fourth", r, ps)
	if codes(ps) != "limit-times" || r.Earliest != "2027-01-01" {
		t.Errorf("the fourth of the year: got %v, earliest %s", ps, r.Earliest)
	}
}

// What no date allows says why.
func TestNever(t *testing.T) {
	r, ps := season.Season{Limits: []label.Limit{limit("N", label.PerApplication, 0.2)}}.Check(visit("2026-04-14", part(spread, lb(4.5))))
	whole(t, "never", r, ps)
	if r.Earliest != "" || strings.Join(r.Why, "|") != "N per application" || !strings.Contains(ps[0].Fix, "at most 1.00 lb/1000 sq ft") {
		t.Errorf("got %q, %v, %v", r.Earliest, r.Why, ps)
	}
	facts := r.Facts(unit.US)
	if got := facts[len(facts)-1].Text; got != "not within 2 years: N per application" {
		t.Errorf("got %q", got)
	}
	all := label.Limit{Of: "Spread", From: "01-01", To: "12-31", Citation: "c", Dated: "2026-02-01"}
	r, ps = season.Season{Limits: []label.Limit{all}}.Check(visit("2026-04-14", part(spread, lb(4.5))))
	if codes(ps) != "in-blackout" || r.Earliest != "" || !strings.Contains(ps[0].Fix, "no date within 2 years") {
		t.Errorf("all year: got %v", ps)
	}
}

func TestProblems(t *testing.T) {
	bare := label.Product{Name: "Bare", Form: label.Liquid, Label: label.Label{Citation: "c"}}
	light := label.Product{Name: "Light", Form: label.Liquid, Analysis: label.Analysis{N: 0.1}, Label: label.Label{Citation: "c"}}
	n := []label.Limit{limit("N", label.PerYear, 3)}
	grass := []label.Limit{limit("N", label.PerYear, 3)}
	grass[0].Grass = "bahia"
	good := visit("2026-04-14", part(spread, lb(3)))
	at := func(day string) season.Visit { v := good; v.Date = day; return v }
	for _, c := range []struct {
		name   string
		past   []season.Applied
		limits []label.Limit
		v      season.Visit
		want   string
		zero   bool
	}{
		{"good", nil, n, good, "", false},
		{"no date", nil, n, at(""), "date-invalid", true},
		{"bad date", nil, n, at("2026-02-30"), "date-invalid", true},
		{"far date", nil, n, at("2626-02-20"), "date-invalid", true},
		{"last date", nil, n, at("2199-12-31"), "", false},
		{"nothing", nil, n, season.Visit{Where: "x"}, "date-invalid property-missing visit-without-products", true},
		{"zero rate", nil, n, visit("2026-04-14", part(spread, label.Rate{})), "rate-zero", true},
		{"NaN rate", nil, n, visit("2026-04-14", part(spread, lb(math.NaN()))), "rate-zero", true},
		{"infinite rate", nil, n, visit("2026-04-14", part(spread, lb(math.Inf(1)))), "rate-zero", true},
		{"wrong kind", nil, n, visit("2026-04-14", part(spread, oz(3))), "rate-wrong-kind", true},
		{"no form", nil, n, visit("2026-04-14", part(label.Product{Name: "x"}, oz(3))), "form-unknown", true},
		{"no analysis, a limit", nil, n, visit("2026-04-14", part(bare, oz(3))), "analysis-missing", true},
		{"no analysis in the past, a limit", []season.Applied{past("2026-03-01", bare, oz(3))}, n, good, "analysis-missing", true},
		{"no analysis, no limit", nil, nil, visit("2026-04-14", part(bare, oz(3))), "analysis-missing", false},
		{"no density", nil, n, visit("2026-04-14", part(light, oz(3))), "density-missing", true},
		{"past without a property", []season.Applied{{Date: "2026-03-01", Product: spread, Rate: lb(3), Where: "x"}}, n, good, "property-missing", true},
		{"past without a date", []season.Applied{past("March", spread, lb(3))}, n, good, "date-invalid", true},
		{"past without a rate", []season.Applied{past("2026-03-01", spread, label.Rate{})}, n, good, "rate-zero", true},
		{"amount without an area", []season.Applied{{Date: "2026-03-01", Property: "a", Product: spread, Amount: label.Amount{Dry: 1}, Where: "x"}}, n, good, "applied-area", true},
		{"rate and amount", []season.Applied{{Date: "2026-03-01", Property: "a", Product: spread, Rate: lb(1), Amount: label.Amount{Dry: 1}, Area: 1, Where: "x"}}, n, good, "applied-twice", true},
		{"two forms of one name", []season.Applied{past("2026-03-01", label.Product{Name: "Spread", Form: label.Liquid}, oz(3))}, nil, good, "form-differs", true},
		{"a limit of nothing known", nil, []label.Limit{limit("Spraed", label.PerYear, 3)}, good, "limit-of-unknown", true},
		{"a limit that says nothing", nil, []label.Limit{{Of: "N", Citation: "c", Dated: "2026-01-01"}}, good, "limit-empty", true},
		{"not our grass", nil, grass, good, "", false},
		{"grass not known", nil, grass, season.Visit{Date: "2026-04-14", Property: "a", Parts: good.Parts, Where: "x"}, "grass-unknown", false},
	} {
		r, ps := season.Season{Past: c.past, Limits: c.limits}.Check(c.v)
		whole(t, c.name, r, ps)
		if codes(ps) != c.want || (r.Date == "") != c.zero || ps.HasErrors() != c.zero {
			t.Errorf("%s: got %q, result of %q\n%v", c.name, codes(ps), r.Date, ps)
		}
	}
	// A product that is not used today may be named when it is known.
	if _, ps := (season.Season{Limits: []label.Limit{{Of: "Weed", Per: label.PerYear, Times: 1, Citation: "c", Dated: "2026-01-01"}}, Products: []label.Product{weed}}).Check(good); len(ps) > 0 {
		t.Errorf("a limit of another product: got %v", ps)
	}
}

// A limit that is passed already, by others, stops no visit that adds nothing to it.
func TestUntouchedLimits(t *testing.T) {
	once := limit("N", label.PerYear, 0.1)
	once.Times = 1
	log := []season.Applied{past("2026-03-01", spread, lb(1)), past("2026-04-10", spread, lb(2))}
	r, ps := season.Season{Limits: []label.Limit{once}, Past: log}.Check(visit("2026-04-14", part(weed, oz(1))))
	whole(t, "untouched", r, ps)
	if len(ps) > 0 || !r.Allowed || r.Earliest != "2026-04-14" {
		t.Errorf("got %v, %v, earliest %s", r.Allowed, ps, r.Earliest)
	}
	for _, l := range r.Lines {
		if l.Kind == season.Times && l.Title == "applications of N per year" && (l.UsedTimes != 2 || l.AddsTimes != 0) {
			t.Errorf("got %+v", l)
		}
	}
	// A product that went on twice is one line of the year.
	if len(r.Year.Products) != 1 || math.Abs(r.Year.Products[0].Rate.Dry.In(pound)-3) > 1e-12 {
		t.Errorf("the year has %+v", r.Year.Products)
	}
}

// By hand, a visit on 20 April and windows of 10 days: of those that hold it, the fullest counts, to its own end and no farther.
func TestFullestWindow(t *testing.T) {
	ten := limit("N", label.PerDays, 5)
	ten.Days = 10
	for _, c := range []struct {
		name string
		past map[string]float64 // lb of N by day
		want float64
		from string
	}{
		{"from the visit on, although the 26th lies two days after the other window", map[string]float64{"2026-04-15": 0.3, "2026-04-26": 0.4}, 0.4, "2026-04-20"},
		{"from the 15th, although the 30th lies just after the visit's own", map[string]float64{"2026-04-15": 0.45, "2026-04-26": 0.4, "2026-04-30": 0.2}, 0.45, "2026-04-11"},
		{"the 15th and the 24th", map[string]float64{"2026-04-11": 0.2, "2026-04-15": 0.5, "2026-04-24": 0.3, "2026-04-27": 0.25}, 0.8, "2026-04-15"},
		{"up to the visit", map[string]float64{"2026-04-11": 0.6, "2026-04-15": 0.5, "2026-04-24": 0.3}, 1.1, "2026-04-11"},
	} {
		s := season.Season{Limits: []label.Limit{ten}}
		for day, n := range c.past {
			s.Past = append(s.Past, past(day, spread, lb(n/0.2)))
		}
		r, ps := s.Check(visit("2026-04-20", part(spread, lb(1))))
		whole(t, c.name, r, ps)
		if l := r.Lines[0]; math.Abs(l.Used.Dry.In(pound)-c.want) > 1e-12 || !strings.HasPrefix(l.Period, c.from) {
			t.Errorf("%s: got %v from %s, want %g from %s", c.name, l.Used.Dry.In(pound), l.Period, c.want, c.from)
		}
	}
}

// A winter blackout holds over the new year, both days within it; one within a year does not pass it.
func TestBlackoutOverNewYear(t *testing.T) {
	winter := label.Limit{Of: "N", From: "11-15", To: "03-01", Citation: "c", Dated: "2026-02-01"}
	summer := label.Limit{Of: "N", From: "06-01", To: "08-31", Citation: "c", Dated: "2026-02-01"}
	for day, want := range map[string][2]string{
		"2026-11-14": {"2026-11-14", "2026-11-14"}, "2026-11-15": {"2027-03-02", "2026-11-15"}, "2026-12-31": {"2027-03-02", "2026-12-31"}, "2027-01-01": {"2027-03-02", "2027-01-01"},
		"2028-02-29": {"2028-03-02", "2028-02-29"}, "2027-03-01": {"2027-03-02", "2027-03-01"}, "2027-03-02": {"2027-03-02", "2027-03-02"},
		"2027-05-31": {"2027-05-31", "2027-05-31"}, "2027-06-01": {"2027-06-01", "2027-09-01"}, "2027-08-31": {"2027-08-31", "2027-09-01"},
	} {
		for i, l := range []label.Limit{winter, summer} {
			r, ps := season.Season{Limits: []label.Limit{l}}.Check(visit(day, part(spread, lb(1))))
			whole(t, day, r, ps)
			if r.Earliest != want[i] || r.Allowed != (want[i] == day) {
				t.Errorf("%s, %s to %s: allowed %v, earliest %s, want %s", day, l.From, l.To, r.Allowed, r.Earliest, want[i])
			}
		}
	}
}

// By hand: 16 fl oz of Feed bring 0.2295 lb of N and 0.0765 slow; 20 % of it are 0.0459, so that 0.0306 lb are to spare. A pound of a product with
// 20 % N and 2 % slow takes 0.04 - 0.02: 1.53 lb may go on.
func TestLargestBySlowPart(t *testing.T) {
	mixed := spread
	mixed.Name, mixed.Analysis = "Mixed", label.Analysis{N: 0.20, SlowN: 0.02}
	slow := label.Limit{Of: "N", LeastSlow: 0.20, Citation: "c", Dated: "2026-02-01"}
	r, ps := season.Season{Limits: []label.Limit{slow}}.Check(visit("2026-04-14", part(mixed, lb(1)), part(feed, oz(16))))
	whole(t, "slow part", r, ps)
	if l := r.Largest[0]; !l.Bound || math.Abs(l.Rate.Dry.In(pound)-1.53) > 1e-9 {
		t.Errorf("got %+v, want 1.53 lb", l)
	}
}

// A rate of the other kind is refused, of a liquid and of what is weighed.
func TestRateOfTheOtherKind(t *testing.T) {
	for _, p := range []season.Part{part(feed, lb(1)), part(spread, oz(1))} {
		if _, ps := (season.Season{}).Check(visit("2026-04-14", p)); codes(ps) != "rate-wrong-kind" {
			t.Errorf("%s: got %v", p.Product.Name, ps)
		}
	}
}
