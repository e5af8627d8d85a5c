package dayfile

import (
	"slices"
	"strings"
	"testing"

	"tankful/geo"
	"tankful/geo/intake"
)

// The order of the parts in the file does not matter, nor do line ends or a byte-order mark.
func TestSameDayWrittenOtherwise(t *testing.T) {
	var parts []string
	for line := range strings.Lines(small) {
		if line[0] != ' ' {
			parts = append(parts, "")
		}
		parts[len(parts)-1] += line
	}
	slices.Reverse(parts)
	want, _ := parse(small)
	for name, text := range map[string]string{
		"reversed": strings.Join(parts, ""), "CRLF": strings.ReplaceAll(small, "\n", "\r\n"),
		"BOM": "\uFEFF" + small, "marked": "---\n" + small + "...\n",
	} {
		day, problems := parse(text)
		if len(problems) > 0 {
			t.Errorf("%s: got %v, want no problems", name, problems)
			continue
		}
		if len(day.Stops) != len(want.Stops) || day.Stops[0].Site.NetArea != want.Stops[0].Site.NetArea ||
			day.Mixes[0].Products[1].Rate != want.Mixes[0].Products[1].Rate || day.End != want.End || day.Outfit != want.Outfit {
			t.Errorf("%s: the day reads differently", name)
		}
	}
}

// What the caller sets stands above the file, entry by entry; the caller's own map stays as it is.
func TestCallerOverrides(t *testing.T) {
	text := edited(t, "accuracy: 1 ft", "surface_map: {turf: bed, other: bed}")
	if _, problems := parse(text); len(onlyCode(problems, "no-turf")) != 2 {
		t.Errorf("the file's own map: got %v, want both stops without turf", problems)
	}
	given := map[string]geo.Surface{"turf": geo.Turf}
	_, problems := Parse("day.yaml", []byte(text), files, intake.Options{SurfaceMap: given})
	if len(problems) > 0 {
		t.Errorf("the caller's map: got %v, want no problems", problems)
	}
	if len(given) != 1 {
		t.Errorf("the caller's map now has %d entries, want 1", len(given))
	}
	_, problems = Parse("day.yaml", []byte(small), files, intake.Options{GroupKey: "account"})
	if !problems.HasErrors() || !strings.Contains(problems.Err().Error(), `"account"`) {
		t.Errorf("the caller's group key: got %v, want it missed", problems)
	}
}
