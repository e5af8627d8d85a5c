// Package calendar writes appointments as an iCalendar file (RFC 5545), which phones and office calendars read.
//
// It knows one calendar of events in local time without a time zone ("floating", section 3.3.5, form 1: what the clock on
// the wall of the place shows). It leaves out repeats, alarms, invitations and reading such files.
package calendar

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"tankful/calc/date"
	"tankful/calc/unit"
)

// Event is one appointment.
type Event struct {
	// UID tells the event from all others, and stays the same when it is written again.
	UID string
	// Date is ISO 8601; From and Until are seconds after its midnight, which may be past the next.
	Date        string
	From, Until unit.Time
	Summary     string
	Description string
	Place       string
	// Lon and Lat are degrees; At says that they are known.
	At       bool
	Lon, Lat float64
}

// Write is the file: lines end in CR LF and are folded at 75 octets (section 3.1). name is the calendar's; stamp is when the events were
// made, in UTC, as "20260414T061500Z" (section 3.8.7.2). The error names an event with a date or a time that is none.
func Write(name, stamp string, events []Event) (string, error) {
	var b strings.Builder
	line(&b, "BEGIN:VCALENDAR")
	line(&b, "VERSION:2.0")
	line(&b, "PRODID:-//Tankful//Day//EN")
	line(&b, "NAME:"+text(name))
	for i := range events {
		if err := event(&b, stamp, &events[i]); err != nil {
			return "", fmt.Errorf("event %d: %w", i+1, err)
		}
	}
	line(&b, "END:VCALENDAR")
	return b.String(), nil
}

func event(b *strings.Builder, stamp string, e *Event) error {
	from, err := moment(e.Date, e.From)
	if err != nil {
		return err
	}
	until, err := moment(e.Date, max(e.From, e.Until))
	if err != nil {
		return err
	}
	line(b, "BEGIN:VEVENT")
	line(b, "UID:"+text(e.UID))
	line(b, "DTSTAMP:"+stamp)
	line(b, "DTSTART:"+from)
	line(b, "DTEND:"+until)
	line(b, "SUMMARY:"+text(e.Summary))
	if e.Description != "" {
		line(b, "DESCRIPTION:"+text(e.Description))
	}
	if e.Place != "" {
		line(b, "LOCATION:"+text(e.Place))
	}
	if e.At {
		line(b, "GEO:"+degrees(e.Lat)+";"+degrees(e.Lon))
	}
	line(b, "END:VEVENT")
	return nil
}

func degrees(x float64) string { return strconv.FormatFloat(x, 'f', 6, 64) }

// moment is a date and seconds after its midnight as "20260414T070500".
func moment(day string, t unit.Time) (string, error) {
	if !(t >= 0 && t < 48*unit.Hour) {
		return "", errors.New("a time that is none")
	}
	d, err := date.Parse(day)
	if err != nil {
		return "", err
	}
	m := int(unit.Round(t.In(unit.Minute), 1))
	for m >= 24*60 {
		d, m = d+1, m-24*60
	}
	return strings.ReplaceAll(d.String(), "-", "") + fmt.Sprintf("T%02d%02d00", m/60, m%60), nil
}

// text escapes a TEXT value (section 3.3.11): backslash, semicolon, comma and new line; other control characters are dropped.
func text(s string) string {
	s = strings.ToValidUTF8(s, "?")
	s = strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\r\n", "\\n", "\n", "\\n", "\r", "\\n").Replace(s)
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, s)
}

// line writes a content line, folded: no more than 75 octets, never within a character, a blank before what goes on.
func line(b *strings.Builder, s string) {
	const most = 75
	room := most
	for len(s) > room {
		cut := room
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		b.WriteString(s[:cut] + "\r\n ")
		s, room = s[cut:], most-1
	}
	b.WriteString(s + "\r\n")
}
