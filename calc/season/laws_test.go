package season_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/season"
	"tankful/calc/unit"
)

func drawDay(t *rapid.T, name string) string {
	return date.Date(rapid.IntRange(739_616, 740_346).Draw(t, name)).String() // 2026 and 2027
}

func drawPart(t *rapid.T) season.Part {
	switch rapid.IntRange(0, 2).Draw(t, "product") {
	case 0:
		return part(feed, oz(rapid.Float64Range(0.1, 100).Draw(t, "fl oz")))
	case 1:
		return part(spread, lb(rapid.Float64Range(0.01, 8).Draw(t, "lb")))
	}
	return part(weed, oz(rapid.Float64Range(0.01, 2).Draw(t, "fl oz")))
}

func drawApplied(t *rapid.T) season.Applied {
	p := drawPart(t)
	return past(drawDay(t, "applied"), p.Product, p.Rate)
}

func drawLimit(t *rapid.T) label.Limit {
	l := limit(rapid.SampledFrom([]string{"N", "P2O5", "K2O", "P", "K", "Weed"}).Draw(t, "of"), rapid.SampledFrom([]label.Per{label.PerApplication, label.PerYear, label.PerDays}).Draw(t, "per"),
		rapid.Float64Range(0.05, 3).Draw(t, "most"))
	if l.Of == "Weed" {
		l.Most = oz(rapid.Float64Range(0.5, 5).Draw(t, "most fl oz"))
	}
	if l.Per == label.PerDays {
		l.Days = rapid.IntRange(1, 90).Draw(t, "days")
	}
	if l.Per != label.PerApplication && rapid.Bool().Draw(t, "times") {
		l.Times = rapid.IntRange(1, 5).Draw(t, "most times")
	}
	if l.Of == "N" {
		l.Basis = rapid.SampledFrom([]label.Basis{"", label.Total, label.Quick}).Draw(t, "basis")
		if rapid.Bool().Draw(t, "slow") {
			l.LeastSlow = label.Share(rapid.Float64Range(0.01, 0.5).Draw(t, "least slow"))
		}
	}
	if rapid.Bool().Draw(t, "blackout") {
		d := rapid.IntRange(739_616, 739_980).Draw(t, "from")
		l.From = date.Date(d).MonthDay().String()
		l.To = (date.Date(d) + date.Date(rapid.IntRange(0, 200).Draw(t, "long"))).MonthDay().String()
	}
	return l
}

func drawSeason(t *rapid.T) (season.Season, season.Visit) {
	s := season.Season{Products: []label.Product{weed}}
	for range rapid.IntRange(0, 6).Draw(t, "applications") {
		s.Past = append(s.Past, drawApplied(t))
	}
	for range rapid.IntRange(0, 3).Draw(t, "limits") {
		s.Limits = append(s.Limits, drawLimit(t))
	}
	v := visit(drawDay(t, "visit"))
	for range rapid.IntRange(1, 3).Draw(t, "parts") {
		v.Parts = append(v.Parts, drawPart(t))
	}
	return s, v
}

// day is the result's earliest date, far off where there is none.
func day(t *rapid.T, r season.Result) date.Date {
	if r.Earliest == "" {
		return math.MaxInt
	}
	d, err := date.Parse(r.Earliest)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// One more application never brings the earliest date forward, never leaves more room, and never raises the
// largest rate.
func TestMoreNeverAllowsMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, v := drawSeason(t)
		before, ps := s.Check(v)
		s.Past = append(s.Past, drawApplied(t))
		after, _ := s.Check(v)
		if before.Date == "" || after.Date == "" {
			t.Fatalf("no result: %v", ps)
		}
		if day(t, after) < day(t, before) {
			t.Fatalf("earliest %s, with one more application %s", before.Earliest, after.Earliest)
		}
		for i, l := range after.Lines {
			if l.Left.Exceeds(before.Lines[i].Left) && !before.Lines[i].Left.IsZero() || before.Lines[i].Broken && !l.Broken {
				t.Fatalf("with one more application %+v became %+v", before.Lines[i], l)
			}
		}
		for i, l := range after.Largest {
			if b := before.Largest[i]; b.Bound && !b.Rate.IsZero() && l.Rate.Exceeds(b.Rate) {
				t.Fatalf("with one more application the largest rate %+v became %+v", b, l)
			}
		}
	})
}

// The order of entries and limits does not matter, and neither does a split of one application into two on the same day.
func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, v := drawSeason(t)
		want, ps := s.Check(v)
		shuffled := s
		shuffled.Past = rapid.Permutation(s.Past).Draw(t, "past")
		got, _ := shuffled.Check(v)
		if want.Earliest != got.Earliest || !reflect.DeepEqual(want.Lines, got.Lines) || !reflect.DeepEqual(want.Largest, got.Largest) || !reflect.DeepEqual(want.Year, got.Year) {
			t.Fatalf("in another order: %+v\n%+v", want, got)
		}
		if len(s.Past) == 0 {
			return
		}
		halves := s
		a := s.Past[0]
		a.Rate = a.Rate.Times(0.5)
		halves.Past = append([]season.Applied{a, a}, s.Past[1:]...)
		got, _ = halves.Check(v)
		if want.Earliest != got.Earliest || want.Allowed != got.Allowed {
			t.Fatalf("halved: %s %v, want %s %v (%v)", got.Earliest, got.Allowed, want.Earliest, want.Allowed, ps)
		}
	})
}

// What is said to be allowed is allowed: the visit on the earliest date, and each product at its largest rate; a
// thousandth more is not, where a cap is what bounds it. Workings lead to their results.
func TestSaysWhatHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, v := drawSeason(t)
		r, ps := s.Check(v)
		if r.Date == "" {
			t.Fatal(ps)
		}
		if r.Allowed == ps.HasErrors() {
			t.Fatalf("allowed is %v beside %v", r.Allowed, ps)
		}
		for _, sys := range []unit.System{unit.US, unit.Metric} {
			if err := r.Working(sys).Verify(); err != nil {
				t.Fatalf("%v\n%s", err, r.Working(sys).Text())
			}
			for _, f := range r.Facts(sys) {
				if strings.Contains(f.Text, "NaN") || strings.Contains(f.Text, "-") && strings.Contains(f.Text, "--") {
					t.Fatalf("%+v", f)
				}
			}
		}
		if r.Earliest != "" {
			later := v
			later.Date = r.Earliest
			if again, ps := s.Check(later); !again.Allowed || again.Earliest != r.Earliest {
				t.Fatalf("said to be allowed on %s: %v", r.Earliest, ps)
			}
		}
		for i, l := range r.Largest {
			if l.Rate.IsZero() {
				continue
			}
			at := func(rate label.Rate) bool {
				other := v
				other.Parts = append([]season.Part(nil), v.Parts...)
				other.Parts[i].Rate = rate
				again, _ := s.Check(other)
				return again.Allowed
			}
			if !at(l.Rate) || !at(l.Rate.RoundDown(unit.US)) && r.Allowed || at(l.Rate.Times(1.001)) {
				t.Fatalf("%+v: allowed at it %v, rounded down %v, a thousandth over %v", l, at(l.Rate), at(l.Rate.RoundDown(unit.US)), at(l.Rate.Times(1.001)))
			}
		}
	})
}

// Nutrients are linear in the rate.
func TestLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPart(t)
		n := rapid.Float64Range(0.1, 10).Draw(t, "times")
		once, _ := season.Season{}.Check(visit("2026-04-14", p))
		p.Rate = p.Rate.Times(n)
		more, _ := season.Season{}.Check(visit("2026-04-14", p))
		for _, x := range once.Adds.Nutrients {
			if got, want := float64(more.Adds.Of(x.Of)), n*float64(x.Weight); math.Abs(got-want) > 1e-12*want {
				t.Fatalf("%g times: %v of %s, want %v", n, got, x.Of, want)
			}
		}
		if q := more.Adds; math.Abs(float64(q.Of("quick N")+q.Of("slow N")-q.Of("N"))) > 1e-12*float64(q.Of("N")) {
			t.Fatalf("quick and slow are not all N: %+v", q)
		}
	})
}

// What is used up in N days is the most of any N days in a row with the visit's day among them,
// found here by trying every one.
func TestEveryWindow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "days")
		l := limit("Spread", label.PerDays, 5)
		l.Days = n
		s := season.Season{Limits: []label.Limit{l}}
		at, _ := date.Parse("2026-06-15")
		rates := map[date.Date]float64{}
		for range rapid.IntRange(0, 8).Draw(t, "applications") {
			d := at + date.Date(rapid.IntRange(-70, 70).Draw(t, "day"))
			x := rapid.Float64Range(0.1, 3).Draw(t, "lb")
			rates[d] += x
			s.Past = append(s.Past, past(d.String(), spread, lb(x)))
		}
		r, ps := s.Check(visit(at.String(), part(spread, lb(1))))
		want := 0.0
		for first := at - date.Date(n) + 1; first <= at; first++ {
			in := 0.0
			for d, x := range rates {
				if d >= first && d < first+date.Date(n) {
					in += x
				}
			}
			want = max(want, in)
		}
		if got := r.Lines[0].Used.Dry.In(pound); math.Abs(got-want) > 1e-9 {
			t.Fatalf("in any %d days: got %v lb, want %v (%v)", n, got, want, ps)
		}
	})
}
