package geo_test

import (
	"math"
	"testing"
	"time"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/geotest"
	"tankful/geo/intake"
)

// readAll reads a shared file that must have no errors.
func readAll(tb testing.TB, opt intake.Options, elem ...string) []*geo.Property {
	tb.Helper()
	props, list := intake.Read(elem[len(elem)-1], geotest.File(tb, elem...), opt)
	for _, p := range list {
		if p.Severity == problem.Error {
			tb.Errorf("%v", p)
		}
	}
	return props
}

func byID(props []*geo.Property) map[string]*geo.Property {
	out := make(map[string]*geo.Property, len(props))
	for _, p := range props {
		out[p.ID] = p
	}
	return out
}

// close reports whether an area is want square metres to within rel of it and abs.
func closeTo(got unit.Area, want, rel, abs float64) bool {
	return math.Abs(got.In(unit.SquareMetre)-want) <= rel*math.Abs(want)+abs
}

// Real properties: OpenStreetMap extracts of Vancouver (2015) and Monaco (2023), (c) OpenStreetMap contributors, ODbL
// 1.0, with net areas computed by GEOS and GeographicLib. The tables are rounded to 0.001 m2; the
// rest of the tolerance is snapping to 0.1 mm.
func TestRealProperties(t *testing.T) {
	for _, name := range []string{"residential_north_shore_west", "commercial_vancouver_west", "commercial_monaco", "large_vancouver_west"} {
		t.Run(name, func(t *testing.T) {
			rows := geotest.Table(t, "data", "properties", name+"_expected.csv")
			props := byID(readAll(t, intake.Options{}, "data", "properties", name+".geojson"))
			if len(props) != len(rows) {
				t.Errorf("got %d properties, want %d", len(props), len(rows))
			}
			var worst float64
			start := time.Now()
			for _, row := range rows {
				p := props[row["property"]]
				if p == nil {
					t.Errorf("property %s is missing", row["property"])
					continue
				}
				site := geo.Measure(p, geo.MeasureOptions{})
				want := row.Number(t, "net_all_dense_m2")
				if !closeTo(site.NetArea, want, 1e-5, 0.01) {
					t.Errorf("%s: net %.4f m2, want %.3f", p.ID, site.NetArea, want)
				}
				if gross := row.Number(t, "gross_dense_m2"); !closeTo(site.Gross, gross, 1e-5, 0.01) {
					t.Errorf("%s: gross %.4f m2, want %.3f", p.ID, site.Gross, gross)
				}
				worst = max(worst, math.Abs(float64(site.NetArea)-want)/(want+1))
				checkSite(t, site, want > 0)
			}
			t.Logf("%d properties, worst %.1e of net + 1 m2, %v each", len(rows), worst, time.Since(start)/time.Duration(len(rows)))
		})
	}
}

// checkSite checks what holds for every site.
func checkSite(t *testing.T, s *geo.Site, turfLeft bool) {
	t.Helper()
	if s.Problems.HasErrors() {
		t.Errorf("%s: errors %v, want none", s.Property.ID, s.Problems)
	}
	sum := s.NetArea
	for _, a := range s.Excluded {
		if a < 0 {
			t.Errorf("%s: negative exclusion %v", s.Property.ID, a)
		}
		sum += a
	}
	if !closeTo(sum, float64(s.Gross), 1e-9, 0) {
		t.Errorf("%s: net and exclusions are %.6f m2, gross %.6f", s.Property.ID, sum, s.Gross)
	}
	if turfLeft && (s.Perimeter <= 0 || s.PlusMinus <= 0 || s.Accuracy <= 0 || s.AccuracyFrom == "" || s.Pieces < 1) {
		t.Errorf("%s: fields left empty: %+v", s.Property.ID, s)
	}
	for surface := range s.Exclusions {
		if _, ok := s.Excluded[surface]; !ok {
			t.Errorf("%s: %s has a shape and no area", s.Property.ID, surface)
		}
	}
}
