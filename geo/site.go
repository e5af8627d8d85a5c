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
	"tankful/geo/geodesic"
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

// Outline is one outline as somebody drew it, in lon/lat degrees (WGS 84), rings closed or not;
// or lines with a width, such as a path drawn along its middle.
type Outline struct {
	// ID is the feature's id in its file, or "".
	ID string
	// Name is what the file calls it, or "".
	Name    string
	Surface Surface
	Polygon orb.MultiPolygon
	// Lines are the middles of strips Width wide, with flat ends; none for most outlines.
	Lines orb.MultiLineString
	Width unit.Length
	// Zone is the part of the property that turf belongs to, such as "front"; "" for none.
	Zone string
	// Slope is the rise over run of turf, 0 for none.
	Slope float64
	// Where is the place for problems: "lots.geojson: feature 3 (back bed)".
	Where string
	// Decimals is the largest number of decimals of a coordinate in degrees, 0 when unknown; Step is the rounding of
	// coordinates that were written in metres or feet, 0 for degrees.
	Decimals int
	Step     unit.Length
}

// Property is one account's ground.
type Property struct {
	// ID is unique within a file; Name is what people call it, the ID when the file has none.
	ID, Name string
	Outlines []Outline
	// Trucks is where the truck may stand, in lon/lat degrees, in the order of the file: it stands at the first unless the passes
	// need another. Empty when the file does not say.
	Trucks []orb.Point
	// Walked says that outlines are tracks of somebody who walked round them.
	Walked bool
	// Height is the mean height of the corners above the ellipsoid or the sea, as the file says; 0 when it does not.
	Height unit.Length
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
	// PlusMinusBias is by how much NetArea is off when every outline is drawn Bias too wide or too narrow
	// all along, which corner errors do not hold; BiasFrom says where that figure comes from.
	PlusMinusBias unit.Area
	Bias          unit.Length
	BiasFrom      string
	// Pieces is the number of separate parts of Net; Parts has their figures, the largest first.
	Pieces int
	Parts  []Part
	// Zones divide NetArea by the turf outlines' zones, in the order of the file: they add up to it.
	Zones []Zone
	// Ground is NetArea on the slopes that the outlines or the caller gave: the same without any.
	Ground unit.Area
	// Edges is how edges were read; Strips are the keep-off strips that the caller asked for, in Excluded[KeepOff].
	Edges  geodesic.Edges
	Strips map[Surface]unit.Length
	// Problems is everything found in this property, sorted; Net is to be trusted only
	// when it has no error.
	Problems problem.List
}
