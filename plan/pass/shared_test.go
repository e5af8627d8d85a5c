package pass_test

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/geotest"
	"tankful/geo/intake"
	"tankful/geo/overlay"
	"tankful/plan/pass"
)

// shared is a file of the shared reference data, which is not part of the repository.
func shared(t testing.TB, path string) string {
	t.Helper()
	dir := os.Getenv("TANKFUL_SHARED")
	if dir == "" {
		t.Skip("TANKFUL_SHARED is not set: the reference lawns are not at hand")
	}
	return filepath.Join(dir, "data", path)
}

// measured reads and measures an outline file.
func measured(t testing.TB, path string, opt intake.Options) []*geo.Site {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	props, _ := intake.Read(filepath.Base(path), b, opt)
	var out []*geo.Site
	for _, p := range props {
		out = append(out, geo.Measure(p, geo.MeasureOptions{}))
	}
	return out
}

// reference is one of the 26 invented reference lawns, which were made for this project: bounds and best passes found by a
// scratch program, coverage confirmed with GEOS.
type reference struct {
	name string
	row  geotest.Row
	lawn pass.Lawn
	site *geo.Site
}

func referenceLawns(t testing.TB) (out []reference) {
	t.Helper()
	for _, row := range geotest.Table(t, "data", "passes", "expected_w7ft.csv") {
		for _, s := range measured(t, shared(t, "passes/"+row["lawn"]+".geojson"), intake.Options{}) {
			out = append(out, reference{row["lawn"], row, lawnOf(t, s), s})
		}
	}
	return out
}

// realSite is one of the measured properties of the shared data.
type realSite struct {
	name string
	lawn pass.Lawn
}

// realSites are measured once for all tests.
var realSites struct {
	once sync.Once
	list []realSite
}

func sites(t testing.TB) []realSite {
	t.Helper()
	shared(t, "") // skips
	realSites.once.Do(func() { realSites.list = readSites(t) })
	return realSites.list
}

func readSites(t testing.TB) (out []realSite) {
	t.Helper()
	files, err := filepath.Glob(shared(t, "properties/*.geojson"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no sites found: %v", err)
	}
	for _, f := range files {
		opt := intake.Options{}
		if strings.Contains(f, "campus") {
			opt.GroupKey = "area"
		}
		for _, s := range measured(t, f, opt) {
			if !s.Problems.HasErrors() && s.NetArea >= 1 {
				out = append(out, realSite{s.Property.ID, lawnOf(t, s)})
			}
		}
	}
	return out
}

func lawnOf(t testing.TB, s *geo.Site) pass.Lawn {
	t.Helper()
	l := pass.Lawn{Net: s.Net, NoWalk: geom.NewMultiPolygon(geom.XY), LeftOut: s.Exclusions}
	for _, k := range []geo.Surface{geo.Building, geo.Water} {
		if mp := s.Exclusions[k]; mp != nil {
			u, err := overlay.Union(l.NoWalk, mp)
			if err != nil {
				t.Fatal(err)
			}
			l.NoWalk = u
		}
	}
	return l
}

var gun7 = pass.Setup{Swath: 7 * unit.Foot, Trims: true, SideStep: 6 * unit.Foot, TurnCost: 8 * unit.Metre}

// BenchmarkLay lays every reference lawn, with a gun and with a fixed width that walks an edge lap.
func BenchmarkLay(b *testing.B) {
	lap := gun7
	lap.Trims, lap.Laps = false, 1
	for _, r := range referenceLawns(b) {
		for name, s := range map[string]pass.Setup{"gun": gun7, "lap": lap} {
			b.Run(r.name+"/"+name, func(b *testing.B) {
				n := 0
				for b.Loop() {
					p, err := pass.Lay(r.lawn, s)
					if err != nil {
						b.Fatal(err)
					}
					n = len(p.Passes)
				}
				b.ReportMetric(float64(n), "passes")
			})
		}
	}
}

// BenchmarkDay lays the passes of 40 real house lots.
func BenchmarkDay(b *testing.B) {
	var lots []realSite
	for _, s := range sites(b) {
		if strings.HasPrefix(s.name, "RES") && len(lots) < 40 {
			lots = append(lots, s)
		}
	}
	n := 0
	for b.Loop() {
		n = 0
		for _, s := range lots {
			p, err := pass.Lay(s.lawn, gun7)
			if err != nil {
				b.Fatal(err)
			}
			n += len(p.Passes)
		}
	}
	b.ReportMetric(float64(n), "passes")
	b.ReportMetric(float64(len(lots)), "stops")
}
