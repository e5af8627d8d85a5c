// Package geo holds the ground: properties and their outlines in lon/lat degrees, and
// what measuring them gives.
//
// It knows surfaces, outlines, the net turf of a property and how sure that figure is.
// It leaves out files (geo/intake reads those), passes, mixes and everything that is done to the turf.
package geo

import (
	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/local"
)

// Surface is what an outline is.
type Surface string

// The surfaces. Turf is treated; every other surface is left out of it.
const (
	Turf      Surface = "turf"
	Bed       Surface = "bed"
	Hardscape Surface = "hardscape"
	Building  Surface = "building"
	Water     Surface = "water"
	KeepOff   Surface = "keep-off"
)

// LeftOut lists the surfaces that are taken from the turf, in the order in which
// overlapping ground is counted: ground under a house and a bed counts as building.
var LeftOut = []Surface{Building, Water, Hardscape, Bed, KeepOff}

// Outline is one outline as somebody drew it, in lon/lat degrees (WGS 84), rings closed or not.
type Outline struct {
	// ID is the feature's id in its file, or "".
	ID string
	// Name is what the file calls it, or "".
	Name    string
	Surface Surface
	Polygon orb.MultiPolygon
	// Where is the place for problems: "lots.geojson: feature 3 (back bed)".
	Where string
	// Decimals is the largest number of decimals of a coordinate in the file, 0 when unknown.
	Decimals int
}

// Property is one account's ground.
type Property struct {
	// ID is unique within a file; Name is what people call it, the ID when the file has none.
	ID, Name string
	Outlines []Outline
	// Truck is where the truck stands, in lon/lat degrees; nil when the file does not say.
	Truck *orb.Point
	// Where is the place for problems: "lots.geojson: property P-07".
	Where string
}

// Site is a property measured. Shapes are metres in Frame; areas are of the ellipsoid.
//
// Gross - sum(Excluded) = Net to within 1e-9 of Gross: overlapping turf counts once, and
// so does overlapping left-out ground, by the order of LeftOut.
type Site struct {
	Property *Property
	Frame    *local.Frame
	// Net is the turf to treat, rings wound by nesting (shells counter-clockwise). Empty, not
	// nil, when nothing is left.
	Net *geom.MultiPolygon
	// Exclusions holds the left-out ground by surface as it was drawn, each a union, not
	// clipped to the turf: for the map and for walking lines. Surfaces that do not occur are absent.
	Exclusions map[Surface]*geom.MultiPolygon
	// Gross is the union of turf; Excluded is what each surface takes from it, overlaps
	// counted once; NetArea is what is left.
	Gross, NetArea unit.Area
	Excluded       map[Surface]unit.Area
	// Perimeter is the length of every ring of Net on the ellipsoid.
	Perimeter unit.Length
	// PlusMinus is 1.96 standard deviations of NetArea from independent errors of the
	// outline's corners of Accuracy each; AccuracyFrom says where that figure comes from.
	PlusMinus    unit.Area
	Accuracy     unit.Length
	AccuracyFrom string
	// Pieces is the number of separate parts of Net.
	Pieces int
	// Problems is everything found in this property, sorted; Net is to be trusted only
	// when it has no error.
	Problems problem.List
}
