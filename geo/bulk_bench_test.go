package geo_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"testing"
	"time"

	"tankful/geo"
	"tankful/geo/geotest"
	"tankful/geo/intake"
	"tankful/geo/intake/raw"
)

// Where the time goes from the bytes of 49,875 outlines to their areas, on one core.
func BenchmarkBulk(b *testing.B) {
	z, err := gzip.NewReader(bytes.NewReader(geotest.File(b, "data", "bulk", "queens_polygons.geojson.gz")))
	if err != nil {
		b.Fatal(err)
	}
	data, err := io.ReadAll(z)
	if err != nil {
		b.Fatal(err)
	}
	words := map[string]geo.Surface{}
	for _, w := range []string{"other", "building", "water", "path", "trees", "parking", "court", "playground", "road", "bed", "sand", "pool", "plaza"} {
		words[w] = geo.Turf
	}
	var scan, load, measure time.Duration
	n := 0
	for b.Loop() {
		start := time.Now()
		f, list := intake.Open(raw.Input{Name: "queens.geojson", Data: bytes.NewReader(data), Size: int64(len(data))}, intake.Options{GroupKey: "id", SurfaceMap: words})
		if f == nil || list.HasErrors() {
			b.Fatal(list)
		}
		scan += time.Since(start)
		for i := range f.Len() {
			start := time.Now()
			p, _ := f.Property(i)
			load += time.Since(start)
			start = time.Now()
			if s := geo.Measure(p, geo.MeasureOptions{}); !s.Problems.HasErrors() {
				n++
			}
			measure += time.Since(start)
		}
	}
	each := func(d time.Duration) float64 { return float64(d.Nanoseconds()) / float64(n) / 1e3 }
	b.ReportMetric(each(scan), "us-scan/outline")
	b.ReportMetric(each(load), "us-load/outline")
	b.ReportMetric(each(measure), "us-measure/outline")
	b.ReportMetric(float64(n)/float64(b.N), "outlines")
}
