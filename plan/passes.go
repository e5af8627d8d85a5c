package plan

import (
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// Elsewhere stands in PassPlan.Onto for ground that no outline covers.
const Elsewhere geo.Surface = "elsewhere"

// PassPlan is the passes over one property and what they amount to.
type PassPlan struct {
	ID    string      `json:"id"`
	Net   unit.Area   `json:"net_m2"`
	Swath unit.Length `json:"swath_m"`
	// Count is all passes, the edge laps among them.
	Count         int         `json:"passes"`
	EdgeLaps      int         `json:"edge_laps"`
	SprayedLength unit.Length `json:"sprayed_length_m"`
	Turns         int         `json:"turns"`
	DeadWalk      unit.Length `json:"dead_walk_m"`
	// Bearing is that of the largest section, degrees clockwise from north, in [0, 180).
	Bearing   float64   `json:"bearing_deg"`
	Coverage  float64   `json:"coverage"` // of the net turf, 0 to 1
	Double    unit.Area `json:"double_m2"`
	Overspray unit.Area `json:"overspray_m2"`
	// Onto is Overspray by surface, with Elsewhere for what lies under no outline.
	Onto        map[geo.Surface]unit.Area `json:"onto_m2"`
	BoundPasses int                       `json:"bound_passes"`
	BoundOneWay int                       `json:"bound_one_way"`
	BoundLength unit.Length               `json:"bound_length_m"`
	Sections    []PassSection             `json:"sections"`
	// Zones is empty where the turf has no zones.
	Zones []PassZone `json:"zones,omitempty"`
	// Stretch is a slightly wider spacing that would save passes, if there is one.
	Stretch *PassStretch `json:"stretch,omitempty"`
	// Reach is nil where no truck is known.
	Reach *HoseReach `json:"reach,omitempty"`
	// Walk is how long the passes take at the operator's pace, with turns and dead walks, without the set-up; 0 where no pace
	// is known.
	Walk unit.Time  `json:"walk_s,omitempty"`
	List []PassLine `json:"list"`
}

// PassSection is turf that is walked in one way.
type PassSection struct {
	Kind    string      `json:"kind"`
	Bearing float64     `json:"bearing_deg"` // in [0, 180)
	Spacing unit.Length `json:"spacing_m"`
	Passes  int         `json:"passes"`
	Area    unit.Area   `json:"area_m2"`
}

// PassStretch is a wider pass spacing and how many passes it would save; it asks for a new catch test.
type PassStretch struct {
	Spacing unit.Length `json:"spacing_m"`
	Saves   int         `json:"saves"`
}

// PassLine is one pass.
type PassLine struct {
	N    int    `json:"n"`
	Kind string `json:"kind"`
	// Section is an index into PassPlan.Sections.
	Section int `json:"section"`
	// Length is what is walked with the gun on, Sprayed what that puts out as an area at the carrier rate.
	Length  unit.Length `json:"length_m"`
	Area    unit.Area   `json:"area_m2"`
	Sprayed unit.Area   `json:"sprayed_m2"`
	// Bearing is where its last stretch goes, degrees clockwise from north, in [0, 360).
	Bearing float64 `json:"bearing_deg"`
	// Off is where the gun is off, from and to along the line.
	Off [][2]unit.Length `json:"off_m,omitempty"`
	// WalkTo is the dead walk from the end of the pass before, along Way.
	WalkTo unit.Length  `json:"walk_to_m"`
	Way    []geom.Coord `json:"way,omitempty"`
	// Hose is how much hose it needs, from the truck's place of that index in Map.Trucks; 0 where no truck is known.
	Hose  unit.Length `json:"hose_m"`
	Truck int         `json:"truck"`
	// SoFar is the mix put out up to the end of this pass; the last one's is the stop's volume.
	SoFar unit.Volume `json:"so_far_l"`
	// Line is the walk in metres of the stop's map.
	Line []geom.Coord `json:"line"`
}

// HoseReach is how far the hose must go, taut round what stands in its way.
type HoseReach struct {
	// Hose is what there is, 0 when that is not known; Most is the longest that any pass needs.
	Hose unit.Length `json:"hose_m"`
	Most unit.Length `json:"most_m"`
	// Out are the passes that Hose does not reach.
	Out []int `json:"out"`
	// OnWet is how many passes are walked with the hose on turf that is already sprayed.
	OnWet int `json:"on_wet"`
	// Second is a further place for the truck from which it reaches what is out of reach, if there is one.
	Second *Point `json:"second,omitempty"`
	// Bends are where it drags round a corner.
	Bends []Point `json:"bends"`
}

// Point is a place in degrees, WGS 84.
type Point struct {
	Lon float64 `json:"lon"`
	Lat float64 `json:"lat"`
}

// DryPlace is where a tankful ends within the passes over one property.
type DryPlace struct {
	Load int         `json:"load"` // from 1, what is on board at the first pass
	Pass int         `json:"pass"`
	Into unit.Length `json:"into_m"` // along the pass's line
	Lon  float64     `json:"lon"`
	Lat  float64     `json:"lat"`
	// At is that place in metres of the property's map.
	At geom.Coord `json:"-"`
}
