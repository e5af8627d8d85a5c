// Package offertest gives tests the demo's price book and its measured lots.
package offertest

import (
	"slices"
	"testing"

	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan/dayfile"
	"tankful/plan/offer"
	"tankful/testdata/demo"
)

// Book is the demo's price book, read anew: a test may change it.
func Book(t testing.TB) *offer.Book {
	t.Helper()
	text, err := demo.Files.ReadFile("prices.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b, found := dayfile.ParsePrices("prices.yaml", text, demo.Files.ReadFile, intake.Options{})
	if found.HasErrors() {
		t.Fatal(found.Err())
	}
	return b
}

// Lots are the measured properties of the demo's streets with these IDs, all of them without any.
func Lots(t testing.TB, ids ...string) (out []offer.Property) {
	t.Helper()
	data, err := demo.Files.ReadFile("streets.geojson")
	if err != nil {
		t.Fatal(err)
	}
	list, _ := intake.Read("streets.geojson", data, intake.Options{})
	for _, p := range list {
		if len(ids) == 0 || slices.Contains(ids, p.ID) {
			s := geo.Measure(p, geo.MeasureOptions{})
			out = append(out, offer.Property{ID: p.ID, Name: p.Name, Net: s.NetArea, Site: s, Where: p.Where})
		}
	}
	return out
}
