package road_test

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/road"
	"tankful/geo/road/roadtest"
)

// corners are four corners of a block, 0.01 degrees apart, and one in the middle of its south side.
var corners = []orb.Point{{-41.2, 38.5}, {-41.19, 38.5}, {-41.19, 38.51}, {-41.2, 38.51}, {-41.195, 38.4999}}

func TestRead(t *testing.T) {
	all := []int64{1, 5, 2, 3, 4, 1}
	for _, tt := range []struct {
		name        string
		ways        []roadtest.Way
		there, back float64 // from corner 1 to corner 2, and back, in km/h over the straight side; 0 for no such way
	}{
		{"residential", []roadtest.Way{{Points: all, Tags: []string{"highway", "residential"}}}, 35, 35},
		{"limit", []roadtest.Way{{Points: all, Tags: []string{"highway", "residential", "maxspeed", "30"}}}, 30, 30},
		{"limit in mph", []roadtest.Way{{Points: all, Tags: []string{"highway", "residential", "maxspeed", "20 mph"}}}, 32.18688, 32.18688},
		{"a limit in words", []roadtest.Way{{Points: all, Tags: []string{"highway", "primary", "maxspeed", "none"}}}, 60, 60},
		{"one way", []roadtest.Way{{Points: all[:4], Tags: []string{"highway", "residential", "oneway", "yes"}}, {Points: []int64{3, 4, 1}, Tags: []string{"highway", "residential"}}}, 35, 0},
		{"one way back", []roadtest.Way{{Points: all[:3], Tags: []string{"highway", "residential", "oneway", "-1"}}, {Points: all[2:], Tags: []string{"highway", "residential"}}}, 0, 35},
		{"roundabout", []roadtest.Way{{Points: all, Tags: []string{"highway", "residential", "junction", "roundabout"}}}, 35, 0},
		{"private", []roadtest.Way{{Points: all[:3], Tags: []string{"highway", "residential", "access", "private"}}, {Points: all[2:], Tags: []string{"highway", "residential"}}}, 0, 0},
		{"private, but for cars", []roadtest.Way{{Points: all, Tags: []string{"highway", "residential", "access", "private", "motor_vehicle", "yes"}}}, 35, 35},
		{"path", []roadtest.Way{{Points: all[:3], Tags: []string{"highway", "footway"}}, {Points: all[2:], Tags: []string{"highway", "residential"}}}, 0, 0},
	} {
		g, found := road.Read(context.Background(), "x.osm.pbf", bytes.NewReader(roadtest.Extract(corners, tt.ways)))
		if g == nil || len(found) > 0 {
			t.Errorf("%s: %v", tt.name, found)
			continue
		}
		a, err := g.Snap(corners[0], 1)
		b, err2 := g.Snap(corners[1], 1)
		if err != nil || err2 != nil {
			if tt.there+tt.back > 0 {
				t.Errorf("%s: corners at %v and %v", tt.name, a, b)
			}
			continue
		}
		side := long(orb.LineString{corners[0], corners[4], corners[1]})
		m := g.Matrix([]road.Spot{a, b}, []road.Spot{a, b})
		for k, x := range []struct {
			got  road.Drive
			want float64
		}{{m[0][1], tt.there}, {m[1][0], tt.back}} {
			straight := x.got.OK && math.Abs(float64(x.got.Road)-side) < 1
			if straight != (x.want > 0) || straight && math.Abs((unit.Speed(float64(x.got.Road)/float64(x.got.Time))).In(unit.KilometrePerHour)-x.want) > 0.01 {
				t.Errorf("%s, %d: %+v, want %v km/h over %.1f m", tt.name, k, x.got, x.want, side)
			}
		}
		if g.Credit() != road.Credit {
			t.Errorf("%s: credit %q", tt.name, g.Credit())
		}
	}
}

// Every block of a file that is none, cut off or damaged ends in a problem, not in roads or a panic.
func TestReadDamaged(t *testing.T) {
	whole := roadtest.Extract(corners, []roadtest.Way{{Points: []int64{1, 5, 2, 3, 4, 1}, Tags: []string{"highway", "residential"}}})
	for n := range len(whole) {
		if g, found := road.Read(context.Background(), "x", bytes.NewReader(whole[:n])); g != nil && !found.HasErrors() && n < len(whole)-1 {
			// A file that ends after a blob is a file; without its ways it has no roads.
			t.Errorf("cut at %d of %d: a graph", n, len(whole))
		}
	}
	if g, found := road.Read(context.Background(), "x", bytes.NewReader(roadtest.Extract(corners, []roadtest.Way{{Points: []int64{1, 2}, Tags: []string{"highway", "steps"}}}))); g != nil || len(found) != 1 || found[0].Code != "roads-none" {
		t.Errorf("no roads: %v", found)
	}
	if g, found := road.Read(context.Background(), "x", bytes.NewReader(roadtest.Extract(corners[:3], []roadtest.Way{{Points: []int64{1, 2, 3, 4}, Tags: []string{"highway", "residential"}}}))); g == nil || len(found) != 1 || found[0].Code != "roads-cut" {
		t.Errorf("roads that lead out: %v", found)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(roadtest.Extract(corners, []roadtest.Way{{Points: []int64{1, 5, 2, 3, 4, 1}, Tags: []string{"highway", "residential"}}}))
	f.Add([]byte("<osm version='0.6'></osm>"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if g, found := road.Read(context.Background(), "x", bytes.NewReader(b)); g == nil && !found.HasErrors() {
			t.Error("nothing read and nothing said")
		}
	})
}
