package geo_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/geodesic"
	"tankful/geo/geotest"
	"tankful/geo/intake"
)

// The reference is GEOS 3.11.1 on a 1e-8 m grid with GeographicLib areas in quad precision;
// its README allows 5e-6 of the net for snapping to 0.1 mm. Areas of turf with a bow-tie count both lobes.
func TestOverlayReference(t *testing.T) {
	rows := geotest.Table(t, "data", "geo", "overlay_reference.csv")
	props := byID(readAll(t, intake.Options{GroupKey: "site"}, "data", "geo", "overlay.geojson"))
	for _, row := range rows {
		p := props[row["site"]]
		if p == nil {
			t.Errorf("site %s is missing", row["site"])
			continue
		}
		s := geo.Measure(p, geo.MeasureOptions{})
		checkSite(t, s, true)
		want := row.Number(t, "net_m2")
		for _, c := range []struct {
			name string
			got  unit.Area
		}{{"net_m2", s.NetArea}, {"turf_union_m2", s.Gross}, {"excluded_m2", s.Excluded[geo.KeepOff]}} {
			if x := row.Number(t, c.name); math.Abs(float64(c.got)-x) > 5e-6*want+bulges(p) {
				t.Errorf("%s: %s is %.6f, want %.6f", p.ID, c.name, c.got, x)
			}
		}
		if row["net_boundary_m"] == "" {
			continue // slivers thinner than 1 mm: the README leaves these figures out
		}
		if x := row.Number(t, "net_boundary_m"); math.Abs(float64(s.Perimeter)-x) > 3e-6*x { // each corner moves by up to 0.07 mm
			t.Errorf("%s: perimeter %.4f m, want %.4f", p.ID, s.Perimeter, x)
		}
		if x := row.Number(t, "net_parts"); float64(s.Pieces) != x {
			t.Errorf("%s: %d pieces, want %v", p.ID, s.Pieces, x)
		}
	}
}

// bulges allows for the two readings of a long edge: the reference tables of this file take
// an edge as the geodesic, Measure as straight in degrees (RFC 7946). Between the two lies
// L^3 tan(latitude) / (12 R) along a parallel, and less along any other edge.
func bulges(p *geo.Property) (m2 float64) {
	for _, o := range p.Outlines {
		for _, poly := range o.Polygon {
			for _, r := range poly {
				for i := 1; i < len(r); i++ {
					if l := float64(geodesic.Distance(r[i-1], r[i])); l > geodesic.LongestEdge {
						m2 += l * l * l * math.Abs(math.Tan(r[i].Lat()*math.Pi/180)) / (12 * 6378137)
					}
				}
			}
		}
	}
	return m2
}

// A campus drawn by hand as grass (MIT, (c) 2022 campus geoportal data): rings that touch themselves by microns. The
// buildings carry no area key, so they are added to each turf here.
func TestCampus(t *testing.T) {
	rows := geotest.Table(t, "data", "properties", "campus_grass_expected.csv")
	props, list := intake.Read("campus.geojson", geotest.File(t, "data", "properties", "campus_grass.geojson"), intake.Options{GroupKey: "area"})
	lacking := 0
	for _, p := range list {
		if p.Code == "no-group" {
			lacking++
		} else {
			t.Errorf("%v", p)
		}
	}
	if lacking != 123 {
		t.Errorf("%d features without an area, want the 123 buildings", lacking)
	}
	whole := readAll(t, intake.Options{}, "data", "properties", "campus_grass.geojson")
	if len(whole) != 1 || whole[0].ID != "CAM" {
		t.Fatalf("grouped by property: got %d properties", len(whole))
	}
	areas := byID(props)
	for _, row := range rows {
		p := *areas[row["area_id"]]
		for _, o := range whole[0].Outlines {
			if o.Surface == geo.Building && p.Outlines[0].Polygon.Bound().Intersects(o.Polygon.Bound()) {
				p.Outlines = append(p.Outlines, o)
			}
		}
		s := geo.Measure(&p, geo.MeasureOptions{})
		checkSite(t, s, true)
		if want := row.Number(t, "make_valid_m2"); !closeTo(s.Gross, want, 1e-5, 0.01+bulges(&p)) {
			t.Errorf("%s: gross %.3f m2, want %.3f", p.ID, s.Gross, want)
		}
		if want := row.Number(t, "building_overlap_m2"); !closeTo(s.Excluded[geo.Building], want, 1e-5, 0.01+bulges(&p)) {
			t.Errorf("%s: buildings %.3f m2, want %.3f", p.ID, s.Excluded[geo.Building], want)
		}
	}
}

// 49,875 polygons of Queens Village, (c) OpenStreetMap contributors (2016), ODbL 1.0, with geodesic areas
// rounded to 0.001 m2. The GeographicLib build of the table works in double precision: 2e-3 m2.
func TestBulk(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 10 MB")
	}
	unzip := func(name string) []byte {
		z, err := gzip.NewReader(bytes.NewReader(geotest.File(t, "data", "bulk", name)))
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	start := time.Now()
	data := unzip("queens_polygons.geojson.gz")
	props, list := intake.Read("queens.geojson", data, intake.Options{GroupKey: "id", SurfaceMap: map[string]geo.Surface{"other": geo.Turf}})
	t.Logf("%d MB and %d properties read in %v", len(data)>>20, len(props), time.Since(start))
	if list.HasErrors() {
		t.Fatal(list[0])
	}
	want := map[string]float64{}
	for _, line := range strings.Split(string(unzip("queens_polygons_expected.csv.gz")), "\n") {
		cells := strings.Split(line, ",")
		if x, err := strconv.ParseFloat(cells[min(1, len(cells)-1)], 64); err == nil {
			want[cells[0]] = x
		}
	}
	if len(want) != 49_875 || len(props) != len(want) {
		t.Fatalf("%d properties, %d areas", len(props), len(want))
	}
	bad := 0
	for _, p := range props {
		got, _ := geodesic.MultiPolygon(p.Outlines[0].Polygon)
		if !closeTo(got, want[p.ID], 1e-9, 0.003) {
			if bad++; bad < 5 {
				t.Errorf("%s: %.4f m2, want %.3f", p.ID, got, want[p.ID])
			}
		}
	}
	if bad > 0 {
		t.Errorf("%d areas are wrong", bad)
	}
}

// Turf inside turf counts once. The tables hold geodesic edges, not straight ones in
// degrees, hence 1e-4 for the sites with edges of some hundred metres.
func TestNestedTurf(t *testing.T) {
	for _, name := range []string{"nested_turf_monaco", "nested_turf_vancouver"} {
		rows := geotest.Table(t, "data", "properties", name+"_expected.csv")
		props := byID(readAll(t, intake.Options{}, "data", "properties", name+".geojson"))
		for _, row := range rows {
			s := geo.Measure(props[row["property"]], geo.MeasureOptions{})
			checkSite(t, s, true)
			union, sum := row.Number(t, "union_m2"), row.Number(t, "sum_of_areas_m2")
			if !closeTo(s.Gross, union, 1e-5, 0.01) {
				t.Errorf("%s: %s: gross %.3f m2, want %.3f (the sum is %.3f)", name, s.Property.ID, s.Gross, union, sum)
			}
		}
	}
}
