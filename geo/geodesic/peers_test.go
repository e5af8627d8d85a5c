package geodesic_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"
	karney "github.com/tidwall/geodesic"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// madeUp are made-up lawns, the same in every run: stars of so many corners, so many metres
// to the corner, anywhere between 60 degrees south and north.
func madeUp(polygons, leastCorners, mostCorners int, leastRadius, mostRadius float64) []orb.Ring {
	rnd := rand.New(rand.NewPCG(3, uint64(polygons)))
	between := func(a, b float64) float64 { return a + (b-a)*rnd.Float64() }
	rings := make([]orb.Ring, polygons)
	for i := range rings {
		n := leastCorners + rnd.IntN(mostCorners-leastCorners+1)
		lon, lat, radius := between(-180, 180), between(-60, 60), between(leastRadius, mostRadius)
		for j := range n {
			s, c := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			r := radius * between(0.5, 1) / 111_000
			x := lon + r*c/math.Cos(lat*math.Pi/180)
			rings[i] = append(rings[i], orb.Point{math.Remainder(x, 360), lat + r*s})
		}
	}
	return rings
}

// peer times rounds over all rings: nanoseconds per corner of each, and the sum of areas.
type peer struct {
	name  string
	round func(b *testing.B, rings []orb.Ring, rounds int) (ns []float64, sum float64)
}

// inGo is a peer that is called here.
func inGo(area func(orb.Ring) float64) func(*testing.B, []orb.Ring, int) ([]float64, float64) {
	return func(_ *testing.B, rings []orb.Ring, rounds int) (ns []float64, sum float64) {
		corners := 0
		for _, r := range rings {
			corners += len(r)
		}
		for range rounds {
			sum = 0
			start := time.Now()
			for _, r := range rings {
				sum += area(r)
			}
			ns = append(ns, float64(time.Since(start).Nanoseconds())/float64(corners))
		}
		return ns, sum
	}
}

// inC is a peer that is compiled from testdata and times itself; without the compiler or the
// library it is skipped.
func inC(compiler, source string, libraries ...string) func(*testing.B, []orb.Ring, int) ([]float64, float64) {
	return func(b *testing.B, rings []orb.Ring, rounds int) (ns []float64, sum float64) {
		var in strings.Builder
		fmt.Fprintln(&in, len(rings))
		for _, r := range rings {
			fmt.Fprintln(&in, len(r))
			for _, p := range r {
				fmt.Fprintln(&in, strconv.FormatFloat(p.Lon(), 'g', -1, 64), strconv.FormatFloat(p.Lat(), 'g', -1, 64))
			}
		}
		cmd := exec.Command(compiled(b, compiler, source, libraries), strconv.Itoa(rounds))
		cmd.Stdin = strings.NewReader(in.String())
		out, err := cmd.Output()
		if err != nil {
			b.Fatalf("%s: %v", source, err)
		}
		for _, word := range strings.Fields(string(out)) {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				b.Fatalf("%s printed %q", source, out)
			}
			ns = append(ns, x)
		}
		if len(ns) != rounds+1 {
			b.Fatalf("%s printed %q", source, out)
		}
		return ns[:rounds], ns[rounds]
	}
}

func compiled(b *testing.B, compiler, source string, libraries []string) string {
	b.Helper()
	if _, err := exec.LookPath(compiler); err != nil {
		b.Skipf("no compiler %s: %v", compiler, err)
	}
	program := filepath.Join(b.TempDir(), "peer")
	var said []byte
	for _, library := range libraries {
		cmd := exec.Command(compiler, "-O2", "-o", program, filepath.Join("testdata", source), "-l"+library, "-lm")
		var err error
		if said, err = cmd.CombinedOutput(); err == nil {
			return program
		}
	}
	first, _, _ := bytes.Cut(said, []byte("\n"))
	b.Skipf("%s is not built, is its library installed? %s", source, first)
	return ""
}

var ours = peer{"ours", inGo(func(r orb.Ring) float64 { a, _ := geodesic.Area(r); return float64(a) })}

var peers = []peer{
	ours,
	{"tidwall", inGo(func(r orb.Ring) (area float64) {
		var perimeter float64
		p := karney.WGS84.PolygonInit(false)
		for _, c := range r {
			p.AddPoint(c.Lat(), c.Lon())
		}
		p.Compute(false, true, &area, &perimeter)
		return area
	})},
	{"proj", inC("cc", "peer_proj.c", "proj")},
	{"geographiclib", inC("c++", "peer_geographiclib.cpp", "GeographicLib", "Geographic")},
}

// BenchmarkAreaPeers measures the same lawns, area and perimeter, with this package and with
// others: the fastest of the rounds, which other work on the machine disturbs least.
// times-ours is the peer's time over ours, which is measured once more right after the peer. The peers are a Go port of GeographicLib's C code, that
// code in PROJ, and GeographicLib's C++.
func BenchmarkAreaPeers(b *testing.B) {
	for _, set := range []struct {
		name  string
		rings []orb.Ring
	}{
		{"corners=4-12", madeUp(4000, 4, 12, 8, 60)},
		{"corners=100-1000", madeUp(60, 100, 1000, 30, 250)},
	} {
		corners := 0
		for _, r := range set.rings {
			corners += len(r)
		}
		_, want := ours.round(b, set.rings, 1)
		for _, p := range peers {
			b.Run(set.name+"/"+p.name, func(b *testing.B) {
				var ns, oursNs []float64
				for b.Loop() {
					more, sum := p.round(b, set.rings, 15)
					if math.Abs(sum/want-1) > 1e-6 {
						b.Fatalf("all areas are %.3f m2, ours %.3f", sum, want)
					}
					ns = append(ns, more...)
					more, _ = ours.round(b, set.rings, 15)
					oursNs = append(oursNs, more...)
				}
				m := slices.Min(ns)
				b.ReportMetric(0, "ns/op")
				b.ReportMetric(m, "ns/corner")
				b.ReportMetric(1e3/m, "Mcorners/s")
				b.ReportMetric(1e6/m*float64(len(set.rings))/float64(corners), "kpolygons/s")
				b.ReportMetric(m/slices.Min(oursNs), "times-ours")
			})
		}
	}
}

// The lawns of the benchmark against the port of GeographicLib, whose noise is 2e-3 m2.
func TestMadeUpLawns(t *testing.T) {
	for _, ring := range append(madeUp(4000, 4, 12, 8, 60), madeUp(60, 100, 1000, 30, 250)...) {
		var want, round float64
		p := karney.WGS84.PolygonInit(false)
		for _, c := range ring {
			p.AddPoint(c.Lat(), c.Lon())
		}
		p.Compute(false, true, &want, &round)
		got, length := geodesic.SignedArea(ring)
		if math.Abs(float64(got)-want) > 2e-3 || math.Abs(float64(length)-round) > 1e-7 {
			t.Fatalf("%d corners at %v: got %.6f m2, %.9f m; want %.6f, %.9f", len(ring), ring[0], got, length, want, round)
		}
	}
}

// A strip of 1 km by 220 km in edges of 1 km leaves the neighbourhood of its first corner
// where the short series hold. From any first corner it is the same, and what Karney's
// algorithm says to 1e-9.
func TestLongStrip(t *testing.T) {
	var ring orb.Ring
	const n = 222
	for i := range n {
		ring = append(ring, orb.Point{179.99 - 0.003*float64(i), 44 + 0.009*float64(i)})
	}
	for i := range n {
		back := ring[n-1-i]
		ring = append(ring, orb.Point{back.Lon() - 0.012, back.Lat()})
	}
	p := karney.WGS84.PolygonInit(false)
	for _, c := range ring {
		p.AddPoint(c.Lat(), c.Lon())
	}
	var want, round float64
	p.Compute(false, true, &want, &round)
	var least, most unit.Area
	for i := range ring {
		got, length := geodesic.SignedArea(append(append(orb.Ring{}, ring[i:]...), ring[:i]...))
		if math.Abs(float64(got)/want-1) > 1e-10 || math.Abs(float64(length)/round-1) > 1e-10 {
			t.Fatalf("from corner %d: got %.4f m2, %.6f m; want %.4f, %.6f", i, got, length, want, round)
		}
		if i == 0 {
			least, most = got, got
		}
		least, most = min(least, got), max(most, got)
	}
	if most-least > 1e-12*most+1e-5 {
		t.Errorf("from one first corner or another the area is %.6f to %.6f m2", least, most)
	}
}

func TestAreaAllocatesNothing(t *testing.T) {
	ring := madeUp(1, 8, 8, 20, 20)[0]
	if n := testing.AllocsPerRun(100, func() { geodesic.Area(ring) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
