package dayfile

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/geo/intake"
	"tankful/plan"
)

// small is a whole day file that has nothing wrong with it; the tests break it.
const small = `tankful: 1
invented: true
date: 2026-05-04
outfit: Small Outfit
units: us
start: "07:00"
end: "16:00"
yard: {name: Yard, at: {lon: -41.2, lat: 38.5}}
travel: {circuity: 1.35, speed: 25 mph, access: 1 min}
fill_points:
  - {name: Hydrant, at: yard, flow: 40 gal/min, hook_up: 4 min}
products:
  - name: Feed
    form: liquid
    class: soluble
    density: 10 lb/gal
    label: {least: 4 fl oz/1000 sq ft, most: 8 fl oz/1000 sq ft, carrier_least: 1 gal/1000 sq ft, carrier_most: 4 gal/1000 sq ft, citation: made up}
  - name: Iron
    form: dry
    class: wettable
    label:
      most: 4 oz wt/1000 sq ft
      cautions: [Stains.]
      citation: made up
applicators:
  - name: Gun
    kind: gun
    swath: 7 ft
    side_step: 6 ft
    turn_time: 4 s
operators:
  - name: Kim
    licence: X-1
    catch_tests:
      - applicator: Gun
        date: 2026-05-01
        course: 100 ft
        spacing: 7 ft
        runs: [30 s, 31 s, 32 s]
        caught: 1.4 gal
        caught_in: 31 s
        pressure: 40 psi
mixes:
  - name: Feed mix
    operator: Kim
    applicator: Gun
    products:
      - {product: Feed, rate: 6 fl oz/1000 sq ft}
      - product: Iron
        rate: 3 oz wt/1000 sq ft
trucks:
  - name: Truck
    tanks:
      - {name: tank, capacity: 200 gal, heel: 5 gal, mix: Feed mix}
outlines: {surface_key: surface, group_key: property, accuracy: 1 ft}
set_up: 6 min
stops:
  - outline: lots.geojson
    property: a
    name: First lawn
    mix: Feed mix
    notes: Ring first.
    window: {from: "08:00", until: "10:00"}
  - outline: lots.geojson
    property: b
    mix: Feed mix
    set_up: 3 min
`

// lots holds two lawns near the yard, c with a building all over it, and d in the desert at
// the place of a with its figures swapped.
var lots = fmt.Sprintf(`{"type":"FeatureCollection","features":[%s,%s,%s,%s,%s]}`,
	lot("a", "turf", -41.21, 38.51), lot("b", "turf", -41.22, 38.52),
	lot("c", "turf", -41.23, 38.53), lot("c", "building", -41.23, 38.53), lot("d", "turf", 38.51, -41.21))

func lot(id, surface string, lon, lat float64) string {
	ring := ""
	for _, c := range [][2]float64{{0, 0}, {3e-4, 0}, {3e-4, 2e-4}, {0, 2e-4}, {0, 0}} {
		ring += fmt.Sprintf(",[%.7f,%.7f]", lon+c[0], lat+c[1])
	}
	return fmt.Sprintf(`{"type":"Feature","properties":{"property":%q,"surface":%q},"geometry":{"type":"Polygon","coordinates":[[%s]]}}`,
		id, surface, ring[1:])
}

func files(path string) ([]byte, error) {
	switch path {
	case "lots.geojson":
		return []byte(lots), nil
	case "more.geojson":
		return []byte(fmt.Sprintf(`{"type":"FeatureCollection","features":[%s]}`, lot("a", "turf", -41.25, 38.51))), nil
	}
	return nil, errors.New("no such file")
}

var noOptions intake.Options

func parse(text string) (*plan.Day, problem.List) {
	return Parse("day.yaml", []byte(text), files, noOptions)
}

func edited(t testing.TB, old, now string) string {
	t.Helper()
	if !strings.Contains(small, old) {
		t.Fatalf("the small day has no %q", old)
	}
	return strings.Replace(small, old, now, 1)
}

// lineWith is the number of the first line that holds the text.
func lineWith(t testing.TB, file, text string) int {
	t.Helper()
	before, _, ok := strings.Cut(file, text)
	if !ok {
		t.Fatalf("no line holds %q", text)
	}
	return 1 + strings.Count(before, "\n")
}
