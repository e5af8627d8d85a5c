package date_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/date"
)

func Example() {
	last, _ := date.Parse("2026-04-14")
	fmt.Println(last+28, last.Years(2), last.MonthDay())
	// Output: 2026-05-12 2028-04-14 04-14
}

// The days of a year, leap years with it, are counted one by one.
func TestCount(t *testing.T) {
	for _, c := range []struct {
		from, to string
		days     int
	}{
		{"2026-01-01", "2027-01-01", 365}, {"2028-01-01", "2029-01-01", 366}, {"2028-02-28", "2028-03-01", 2},
		{"2026-02-28", "2026-03-01", 1}, {"2000-02-28", "2000-03-01", 2}, {"1900-02-28", "1900-03-01", 1}, {"1970-01-01", "1970-01-02", 1},
		{"1969-12-31", "1970-01-01", 1}, {"2026-05-01", "2026-04-01", -30},
	} {
		from, err1 := date.Parse(c.from)
		to, err2 := date.Parse(c.to)
		if err1 != nil || err2 != nil || int(to-from) != c.days || from.String() != c.from {
			t.Errorf("%s to %s: got %d days (%v, %v), want %d", c.from, c.to, to-from, err1, err2, c.days)
		}
	}
	first, _ := date.Parse("1970-01-01")
	if first != 719_163 {
		t.Errorf("1970-01-01 is day %d, want 719163: 1,969 years of 365 days and 477 leap days before it", first)
	}
	leap, _ := date.Parse("2028-02-29")
	if first, last := leap.YearSpan(); first.String() != "2028-01-01" || last.String() != "2028-12-31" {
		t.Errorf("the year of %v: got %v to %v", leap, first, last)
	}
	if got := leap.Years(1).String(); got != "2029-03-01" {
		t.Errorf("a year after 2028-02-29: got %s", got)
	}
	if got := date.Date(0).String(); got != "no date" {
		t.Errorf("not set: got %s", got)
	}
}

func TestRefused(t *testing.T) {
	for _, text := range []string{"", "2026-02-29", "2026-4-1", "14.04.2026", "04/14/2026", "2026-13-01", "2026-00-10", "0026-04-14", "2200-01-01", "2026-04-14T00:00:00Z"} {
		if d, err := date.Parse(text); err == nil {
			t.Errorf("%q is read as %v", text, d)
		}
	}
	for _, text := range []string{"", "02-30", "13-01", "11-31", "1-5", "Nov 15", "11-15-26", "-11-15"} {
		if m, err := date.ParseMonthDay(text); err == nil {
			t.Errorf("%q is read as %v", text, m)
		}
	}
}

func TestWithin(t *testing.T) {
	for _, c := range []struct {
		day, from, to string
		want          bool
	}{
		{"11-15", "11-15", "03-01", true}, {"03-01", "11-15", "03-01", true}, {"03-02", "11-15", "03-01", false}, {"11-14", "11-15", "03-01", false},
		{"12-31", "11-15", "03-01", true}, {"01-01", "11-15", "03-01", true}, {"02-29", "11-15", "03-01", true},
		{"06-01", "06-01", "09-30", true}, {"09-30", "06-01", "09-30", true}, {"10-01", "06-01", "09-30", false}, {"05-31", "06-01", "09-30", false},
		{"07-04", "07-04", "07-04", true}, {"07-05", "07-04", "07-04", false},
	} {
		day, err1 := date.ParseMonthDay(c.day)
		from, err2 := date.ParseMonthDay(c.from)
		to, err3 := date.ParseMonthDay(c.to)
		if err1 != nil || err2 != nil || err3 != nil || day.String() != c.day {
			t.Fatalf("%+v: %v %v %v", c, err1, err2, err3)
		}
		if got := day.Within(from, to); got != c.want {
			t.Errorf("%s within %s to %s: got %v", c.day, c.from, c.to, got)
		}
	}
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := date.Date(rapid.IntRange(693_596, 803_000).Draw(t, "day")) // 1900-01-01 on
		back, err := date.Parse(d.String())
		if err != nil || back != d {
			t.Fatalf("%v comes back as %v: %v", d, back, err)
		}
		m, err := date.ParseMonthDay(d.MonthDay().String())
		if err != nil || m != d.MonthDay() || d.String() != fmt.Sprintf("%d-%s", d.Year(), m) {
			t.Fatalf("%v: %d and %v: %v", d, d.Year(), m, err)
		}
	})
}
