package overlay_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/geo/local"
	"tankful/geo/overlay"
)

// referenceSite is turf and what is left out of it, in degrees.
type referenceSite struct{ turf, out orb.MultiPolygon }

func referenceSites(t *testing.T) map[string]*referenceSite {
	t.Helper()
	var file struct {
		Features []struct {
			Properties struct{ Site, Role string }
			Geometry   struct{ Coordinates orb.Polygon }
		}
	}
	if err := json.Unmarshal(geotest.File(t, "data", "geo", "overlay.geojson"), &file); err != nil {
		t.Fatal(err)
	}
	sites := map[string]*referenceSite{}
	for _, f := range file.Features {
		s := sites[f.Properties.Site]
		if s == nil {
			s = &referenceSite{}
			sites[f.Properties.Site] = s
		}
		if f.Properties.Role == "turf" {
			s.turf = append(s.turf, f.Geometry.Coordinates)
		} else {
			s.out = append(s.out, f.Geometry.Coordinates)
		}
	}
	return sites
}

// net is the net turf of a site in the frame of its middle.
func (s *referenceSite) net(t *testing.T) *geom.MultiPolygon {
	t.Helper()
	f := local.NewFrame(s.turf.Bound().Center())
	net, err := overlay.Difference(f.MultiPolygon(s.turf), f.MultiPolygon(s.out))
	if err != nil {
		t.Fatal(err)
	}
	return net
}

// The reference is GEOS 3.11.1 with 64 segments a quadrant; its README asks for 2e-4.
func TestInsetReference(t *testing.T) {
	sites := referenceSites(t)
	worst := 0.0
	for _, row := range geotest.Table(t, "data", "geo", "overlay_reference.csv") {
		net := sites[row["site"]].net(t)
		for column, by := range map[string]unit.Length{"inset_0.5m_m2": -0.5, "inset_2m_m2": -2} {
			got, err := overlay.Grow(net, by)
			if err != nil {
				t.Errorf("%s: %v", row["site"], err)
				continue
			}
			off := math.Abs(float64(overlay.Area(got))/row.Number(t, column) - 1)
			if worst = max(worst, off); off > 2e-4 {
				t.Errorf("%s: %s is %.4f, want %s", row["site"], column, overlay.Area(got), row[column])
			}
		}
	}
	t.Logf("the worst inset is off by %.1e of itself", worst)
}
