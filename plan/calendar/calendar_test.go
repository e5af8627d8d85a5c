package calendar

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
)

func TestWrite(t *testing.T) {
	got, err := Write("Truck 1", "20260414T061500Z", []Event{{UID: "a@tankful", Date: "2026-04-14", From: 7*unit.Hour + 5*unit.Minute, Until: 8 * unit.Hour,
		Summary: "1. Chapel, front; side", Description: "Gate\nDog", Place: "Chapel", At: true, Lon: -41.2, Lat: 38.5}})
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Join([]string{"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Tankful//Day//EN", "NAME:Truck 1", "BEGIN:VEVENT", "UID:a@tankful", "DTSTAMP:20260414T061500Z",
		"DTSTART:20260414T070500", "DTEND:20260414T080000", `SUMMARY:1. Chapel\, front\; side`, `DESCRIPTION:Gate\nDog`, "LOCATION:Chapel", "GEO:38.500000;-41.200000",
		"END:VEVENT", "END:VCALENDAR", ""}, "\r\n")
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for _, e := range []Event{{Date: "2026-02-30"}, {Date: "2026-04-14", From: -1}, {Date: "2026-04-14", From: 60 * unit.Hour}} {
		if _, err := Write("x", "20260414T061500Z", []Event{e}); err == nil {
			t.Errorf("%+v is written", e)
		}
	}
}

// The description of RFC 5545, section 3.1: a long line is folded at any point between characters, by CR LF and a blank; and of section 3.3.11, the escapes.
func TestFolding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[a-zäß芝;,\\ ]{0,300}`).Draw(t, "text")
		var b strings.Builder
		line(&b, "SUMMARY:"+text(s))
		for _, l := range strings.Split(strings.TrimSuffix(b.String(), "\r\n"), "\r\n") {
			if len(l) > 75 || !strings.HasPrefix(l, " ") && !strings.HasPrefix(l, "SUMMARY:") || strings.ToValidUTF8(l, "") != l {
				t.Fatalf("line %q", l)
			}
		}
		back := strings.TrimPrefix(strings.ReplaceAll(strings.TrimSuffix(b.String(), "\r\n"), "\r\n ", ""), "SUMMARY:")
		if back = strings.NewReplacer(`\\`, `\`, `\;`, `;`, `\,`, `,`).Replace(back); back != s {
			t.Fatalf("got %q, want %q", back, s)
		}
	})
}

func TestPastMidnight(t *testing.T) {
	got, err := moment("2026-12-31", 25*unit.Hour)
	if err != nil || got != "20270101T010000" {
		t.Errorf("got %q, %v", got, err)
	}
}
