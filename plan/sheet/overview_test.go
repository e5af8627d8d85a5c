package sheet

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"tankful/geo/geodesic"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

// The day of sheettest: yard, hydrant in the yard, two stops, the standpipe, the second stop again, the third, the yard.
func TestOverview(t *testing.T) {
	o, err := TruckOverview(sheettest.Plan(), "T1")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"START, END", "FILL 1", "1", "2", "FILL 2", "3"}
	if len(o.Places) != len(want) {
		t.Fatalf("got %d places, want %d", len(o.Places), len(want))
	}
	for i, s := range o.Places {
		if s.Text != want[i] {
			t.Errorf("place %d is %q, want %q", i, s.Text, want[i])
		}
	}
	loads := []int{1, 1, 1, 2, 2, 2} // no drive in the yard itself
	if len(o.Drives) != len(loads) {
		t.Fatalf("got %d drives, want %d", len(o.Drives), len(loads))
	}
	for i, d := range o.Drives {
		if d.Loads != loads[i] || d.Roads || len(d.Line) != 2 {
			t.Errorf("drive %d: %+v", i, d)
		}
	}
	// From stop 1 to stop 2 on the ellipsoid.
	a, b := o.Places[2].At, o.Places[3].At
	want12 := geodesic.Distance(orb.Point{-83.12345, 40.54321}, orb.Point{-83.11345, 40.55321})
	if got := math.Hypot(a[0]-b[0], a[1]-b[1]); math.Abs(got-float64(want12)) > 1e-5*got {
		t.Errorf("stops 1 and 2 lie %.2f m apart on the map, want %.2f", got, float64(want12))
	}
}

func TestOverviewFollowsRoads(t *testing.T) {
	p := sheettest.Plan()
	e := &p.Trucks[0].Events[1]
	e.Way = []plan.Point{{Lon: -83.13345, Lat: 40.53321}, {Lon: -83.13345, Lat: 40.54321}, {Lon: -83.12345, Lat: 40.54321}}
	o, err := TruckOverview(p, "T1")
	if err != nil {
		t.Fatal(err)
	}
	if d := o.Drives[0]; !d.Roads || len(d.Line) != 3 {
		t.Errorf("got %+v, want a drive along three points", d)
	}
	if _, err := TruckOverview(p, "T9"); err == nil {
		t.Error("an overview of a truck that is not in the plan")
	}
}
