package intake_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/geo/geodesic"
	"tankful/geo/geotest"
	"tankful/geo/intake"
)

// 258 awkward files from seven projects (their origins and licences are in MANIFEST.csv):
// nothing panics, what is bad is told with its place, what is good is taken, with the area that GEOS and GeographicLib
// give for it. Where our verdict is another one, the table says why.
func TestMessyFiles(t *testing.T) {
	seen := map[string]bool{}
	count := map[string]int{}
	for _, row := range geotest.Table(t, "data", "messy", "MANIFEST.csv") {
		file := row["file"]
		verdict, area, list := judgeMessy(t, file)
		checkProblems(t, file, list)
		for _, p := range list {
			if !strings.HasPrefix(p.Where, file) {
				t.Errorf("%s: a problem without its place: %v", file, p)
			}
		}
		expect := row["expect"]
		fits := verdict == expect || expect == "bad" && verdict == "warn" || expect == "input" && verdict != ""
		count[expect+", "+verdict]++
		reason := deviates(file, expect, verdict, list)
		seen[reason] = true
		switch {
		case fits && reason != "":
			t.Errorf("%s is %s as expected: its entry in the table of deviations is stale", file, verdict)
		case !fits && reason == "":
			t.Errorf("%s: %s, expected %s (%s): %v", file, verdict, expect, row["why"], list)
		}
		want, err := strconv.ParseFloat(row["geodesic_area_m2_of_valid"], 64)
		if err == nil && row["geos_valid"] == "1" && row["polygons"] == "1" && verdict != "bad" && math.Abs(area-want) > 1e-6*want+0.01 {
			t.Errorf("%s: %v m2, GEOS and GeographicLib say %v", file, area, want)
		}
	}
	for _, d := range deviations {
		if !seen[d.reason] {
			t.Errorf("no file deviates any more because %s", d.reason)
		}
	}
	t.Logf("expected, found: %v", count)
}

// judgeMessy reads and measures a file: bad when something is refused, warn when something is told that does not
// come from the file saying no surfaces, else good.
func judgeMessy(t *testing.T, file string) (verdict string, area float64, list problem.List) {
	props, list := intake.Read(file, geotest.File(t, "data", "messy", file), intake.Options{})
	for _, p := range props {
		s := geo.Measure(p, geo.MeasureOptions{Edges: geodesic.Geodesic})
		list, area = append(list, s.Problems...), area+float64(s.NetArea)
	}
	about := slices.DeleteFunc(slices.Clone(list), func(p problem.Problem) bool {
		return slices.Contains([]string{"all-taken-as-turf", "words-not-surfaces", "surfaces-from-names", "coarse-coordinates", "height"}, p.Code)
	})
	switch {
	case list.HasErrors():
		return "bad", area, list
	case len(about) > 0:
		return "warn", area, list
	}
	return "good", area, list
}

// deviations are the files on which our verdict is another one than the manifest's, by folder or name and
// the code of what we say, and why ours stands.
var deviations = []struct{ files, expect, code, reason string }{
	{"", "good", "no-outlines", "the file is sound GeoJSON of points, lines or nothing: there is nothing to measure in it"},
	{"", "warn", "no-outlines", "the file is sound GeoJSON of points, lines or nothing: there is nothing to measure in it"},
	{"", "good", "property-too-wide", "it is an outline of a country or continent: a property is at most 20 km wide"},
	{"", "warn", "property-too-wide", "it is an outline of a country or continent: a property is at most 20 km wide"},
	{"geojsonhint/good__issue82", "good", "projected-coordinates", "its latitudes go to -107 degrees: sound JSON, but not on the Earth"},
	{"turf-unkink-polygon/", "warn", "corner-at-zero", "a corner lies at 0, 0 and the others degrees away: in a drawing of a lawn a coordinate is missing there"},
	{"jts-valid/good__007", "good", "holes-overlap", "on the ellipsoid the hole's corner lies 0.2 mm off the edge that it touches in the plane of degrees; it is a note"},
}

func deviates(file, expect, verdict string, list problem.List) string {
	for _, d := range deviations {
		if !strings.Contains(file, d.files) || d.expect != expect {
			continue
		}
		if d.code == "" && verdict == "good" || slices.ContainsFunc(list, func(p problem.Problem) bool { return p.Code == d.code }) {
			return d.reason
		}
	}
	return ""
}

func checkProblems(t *testing.T, file string, list problem.List) {
	t.Helper()
	for _, p := range list {
		if p.Code == "" || p.Severity == "" || p.Where == "" || p.What == "" || p.Fix == "" {
			t.Errorf("%s: incomplete problem %+v", file, p)
		}
	}
}
