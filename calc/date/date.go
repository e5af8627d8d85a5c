// Package date holds calendar dates as people write them in records: days that can be counted, and
// month and day of any year.
//
// It knows the Gregorian calendar and ISO 8601 text. It leaves out clocks, times of day and
// time zones: what day it is, is a value that the caller brings.
package date

import (
	"fmt"
	"time"
)

// Date is a day, counted from 1 for 0001-01-01; zero means "not set". The difference of two is days,
// and a Date plus a number is that many days later.
type Date int

// unixDay is 1970-01-01 in this count: 719,162 days lie before it (1,969 years with 477 leap days).
const unixDay = 719_163

// First and last year that are read: outside them a digit is wrong.
const (
	firstYear = 1900
	lastYear  = 2199
)

// Parse reads an ISO 8601 calendar date, "2026-04-14", from 1900 to 2199.
func Parse(text string) (Date, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return 0, fmt.Errorf("%q is not a date: write year-month-day, such as 2026-04-14", text)
	}
	if t.Year() < firstYear || t.Year() > lastYear {
		return 0, fmt.Errorf("%q is outside the years %d to %d", text, firstYear, lastYear)
	}
	return of(t), nil
}

func of(t time.Time) Date { return Date(t.Unix()/secondsPerDay) + unixDay }

const secondsPerDay = 24 * 60 * 60

func (d Date) time() time.Time { return time.Unix(int64(d-unixDay)*secondsPerDay, 0).UTC() }

// String is the date in ISO 8601; one that is not set is "no date".
func (d Date) String() string {
	if d == 0 {
		return "no date"
	}
	return d.time().Format(time.DateOnly)
}

// Year is the calendar year.
func (d Date) Year() int { return d.time().Year() }

// MonthDay is the day without its year.
func (d Date) MonthDay() MonthDay {
	t := d.time()
	return MonthDay(int(t.Month())*100 + t.Day())
}

// YearSpan is the first and the last day of the calendar year.
func (d Date) YearSpan() (first, last Date) {
	year := d.Year()
	return of(time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)), of(time.Date(year, 12, 31, 0, 0, 0, 0, time.UTC))
}

// Years is the same day n years on; from 29 February it is 1 March where there is no such day.
func (d Date) Years(n int) Date { return of(d.time().AddDate(n, 0, 0)) }

// MonthDay is a month and a day of any year, 1115 for 15 November; zero means "not set".
type MonthDay int

// ParseMonthDay reads "11-15"; 29 February is a day.
func ParseMonthDay(text string) (MonthDay, error) {
	t, err := time.Parse(time.DateOnly, "2000-"+text) // a leap year
	if err != nil {
		return 0, fmt.Errorf("%q is not a month and a day: write them as 11-15", text)
	}
	return of(t).MonthDay(), nil
}

// String is "11-15".
func (m MonthDay) String() string { return fmt.Sprintf("%02d-%02d", int(m)/100, int(m)%100) }

// Within reports whether m lies from one day to the other, both of them within; a stretch from a
// later day to an earlier one passes the new year.
func (m MonthDay) Within(from, to MonthDay) bool {
	if from <= to {
		return from <= m && m <= to
	}
	return m >= from || m <= to
}
