// Package plan is where geometry meets arithmetic: a Day goes in, a Plan comes out.
//
// It knows the nouns of a day's work, checks that they fit together, lays the passes,
// splits the mix into tankfuls and gives every amount. It leaves out files and clocks: a
// Day arrives with its outlines measured, and nothing here reads or writes.
package plan

import (
	"github.com/paulmach/orb"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/road"
	"tankful/plan/travel"
)

// Day is everything that a day's plan is made from. Names refer: a stop names its mix, a
// mix its products and its applicator. Every Where is a place in the user's file.
type Day struct {
	// Date is ISO 8601; Outfit is who does the work; Units is how the sheets print.
	Date, Outfit string
	Units        unit.System
	// Contact is how customers reach the outfit, a line each, for notices.
	Contact []string
	// Start and End bound the working day, seconds after midnight; End 0 is open.
	Start, End unit.Time

	Products    []label.Product
	Mixes       []Mix
	Applicators []Applicator
	Operators   []Operator
	Trucks      []Truck
	Yard        Place
	FillPoints  []FillPoint
	Stops       []Stop
	Travel      Travel
	Lunch       Pause
	// Orders are fixed by hand, at most one for a truck.
	Orders []Order
	// Weights say what the plan is to save beside minutes.
	Weights Weights
	// Rinses are the rules for changing the mix of a tank within the day; without one for a change it is not made.
	Rinses []Rinse
	// AcceptLeftover takes a plan that leaves mix over above the heels, where there is none that does not.
	AcceptLeftover bool
	// NoFilling plans with what the tanks hold only.
	NoFilling bool
	// Limits are those of the place, the user's entries. Past is what has gone on before, of any property, and Recorded says
	// that a record was given: without one a year's sums are not known.
	Limits   []label.Limit
	Past     []season.Applied
	Recorded bool
	// Invented marks demo data: every sheet says so.
	Invented bool
	Where    string
}

// Mix is products at their rates per area, carried by one carrier rate: the calibrated
// rate of Operator with Applicator. One tank holds one mix. With a spreader it is one product of granules out of bags:
// no tank, no carrier, so that Order, Sequence, Whole and Drift are not set.
type Mix struct {
	Name                 string
	Operator, Applicator string
	Products             []MixProduct
	// Order is the user's order of adding by class, Sequence by product; both may be empty, see mix.Recipe.
	Order    []label.Class
	Sequence []string
	// Whole names the product that all loads but the last take in whole containers, "" for none; it must say what it comes in.
	Whole string
	// Drift is how much more goes out than calibrated, 1.03 for 3 % more, by gauge readings of the day; 0 is 1. The mix in the tank is as strong as
	// ever, so that as much more of each product goes out.
	Drift float64
	Where string
}

// Pause is the crew's lunch: it begins between From and Until, when the work in hand is done. Length 0 is none.
type Pause struct{ From, Until, Length unit.Time }

// Rinse is a rule for changing the mix of a tank: from one mix to another, "" for any. Never forbids it.
type Rinse struct {
	From, To string
	Time     unit.Time
	Never    bool
	Where    string
}

// MixProduct is one product of a mix and how much of it is wanted: per area, as a nutrient per area, or in the finished
// mix. One of the three is set.
type MixProduct struct {
	Product      string
	Rate         label.Rate
	Nutrient     string // "N", "P2O5"; with NutrientRate
	NutrientRate unit.MassPerArea
	InMix        label.Strength
	Where        string
}

// Wanted is what is wanted of p, which must be the product that mp names.
func (mp MixProduct) Wanted(p label.Product) mix.Wanted {
	return mix.Wanted{Product: p, Rate: mp.Rate, Nutrient: mp.Nutrient, NutrientRate: mp.NutrientRate, InMix: mp.InMix}
}

// ApplicatorKind says how an applicator wets the ground.
type ApplicatorKind string

const (
	Gun      ApplicatorKind = "gun"      // hand gun on a hose: trims its ends at the turf's edge
	Backpack ApplicatorKind = "backpack" // trims too
	Boom     ApplicatorKind = "boom"     // fixed width
	RideOn   ApplicatorKind = "ride-on"  // fixed width
	Spreader ApplicatorKind = "spreader" // fixed width; it carries granules out of bags, see Mix
)

// Kinds are the kinds of applicator, and Sprayers those of them that carry a mix out of a tank.
var (
	Kinds    = []ApplicatorKind{Gun, Backpack, Boom, RideOn, Spreader}
	Sprayers = Kinds[:4:4]
)

// Trims reports whether the operator shuts off at the turf's edge, so that what goes out is
// turf x rate; a fixed-width applicator puts out swath x sprayed length x rate.
func (k ApplicatorKind) Trims() bool { return k == Gun || k == Backpack }

// Applicator is a piece of equipment. Swath is the pass spacing, the same figure that its
// calibration course is walked for; the thrown width is another matter.
type Applicator struct {
	Name     string
	Kind     ApplicatorKind
	Swath    unit.Length
	SideStep unit.Length
	// Throws is how a spreader throws; "" for all others.
	Throws calibrate.SpreaderKind
	// TurnTime is what getting from one pass to the next costs besides the walk.
	TurnTime unit.Time
	// Laps is how many walks along the turf's edge come before the strips, 0 to 2; nil is the usual for the kind, see EdgeLaps.
	Laps *int
	// GunOff is the longest drive or walk that a pass crosses with the gun shut to go on beyond it, 0 for none.
	GunOff unit.Length
	// Even draws the passes of a section together, so that they divide its width exactly.
	Even bool
	// FarFirst sprays back from the far end, so that the hose is drawn in over dry turf.
	FarFirst bool
	// Hose is its length from the truck, 0 when there is none or it is not known.
	Hose unit.Length
	// Objective is what the passes are laid for, "" for the time.
	Objective Objective
	Where     string
}

// EdgeLaps is how many walks along the turf's edge come first. Where Laps does not say it is one for a fixed width, which else
// sprays past the turf wherever a pass ends, and none for what is shut at the edge (common practice, no source).
func (a *Applicator) EdgeLaps() int {
	switch {
	case a.Laps != nil:
		return *a.Laps
	case a.Kind.Trims():
		return 0
	}
	return 1
}

// Objective is what passes are laid for, where a choice between fewer and shorter ones is left.
type Objective string

const (
	LeastTime    Objective = "time"   // walking and turns together
	FewestPasses Objective = "passes" // each pass less is worth more walking than a lawn has
	LeastSpray   Objective = "length" // the least length sprayed, so the least beside the turf, in however many passes
)

// Objectives are what passes can be laid for.
var Objectives = []Objective{LeastTime, FewestPasses, LeastSpray}

// Operator is a person with their own catch tests, one per applicator, and with a spreader one per product.
type Operator struct {
	Name, Licence string
	// Licences are the licences and skills that some work needs, see Stop.Needs.
	Licences []Licence
	Tests    []Test
	Where    string
}

// Test is a catch test on an applicator.
type Test struct {
	Applicator string
	Catch      calibrate.Catch
	// Spreader is that of a spreader, in place of Catch: it holds for the product of its Setup, for every product flows in its own way. What it throws
	// with and the rate wanted are taken from the applicator and the mix.
	Spreader *calibrate.SpreaderTest
	Where    string
}

// date is when the test was made, "" when not noted.
func (t *Test) date() string {
	if t.Spreader != nil {
		return t.Spreader.Setup.Date
	}
	return orElse(t.Catch.Date, t.Catch.Setup.Date)
}

// Name tells the tests of an operator apart: the applicator, and of a spreader the product as well.
func (t *Test) Name() string {
	if t.Spreader != nil {
		return t.Applicator + " and " + t.Spreader.Setup.Product
	}
	return t.Applicator
}

// Truck carries tanks. Rated is the gross weight rating on its door, Empty its weight with the tanks
// empty and the crew and gear of the day aboard; both are 0 when not entered, and its weight is then not told.
type Truck struct {
	Name         string
	Tanks        []Tank
	Rated, Empty unit.Mass
	// From and Until are its hours, 0 for those of the day; with NoOvertime nothing ends after them.
	From, Until unit.Time
	NoOvertime  bool
	// Crew are the operators aboard: only mixes of theirs are sprayed. Empty is anybody.
	Crew []string
	// Start is where it starts, nil for the yard. It ends in the yard.
	Start *Place
	// Licences are those that it holds as a truck, see Stop.Needs.
	Licences []Licence
	Where    string
	// known is its name in tables of drives where Name is another.
	known string
}

// Tank is one tank. Heel is what the pump cannot draw. Mix may be "": the plan then chooses.
type Tank struct {
	Name           string
	Capacity, Heel unit.Volume
	Mix            string
	// Agitates is the least volume, heel included, at which its agitator works, 0 for any. Marks is the step of the marks that it is filled to, 0 for any level.
	Agitates, Marks unit.Volume
	// Holds is what it has in it at the start, nil when it is empty and clean.
	Holds *Held
	Where string
}

// Held is what a tank has in it: a mix up to a gauge reading.
type Held struct {
	Mix     string
	Reading unit.Volume
}

// Place is a named point on the map, lon/lat degrees.
type Place struct {
	Name  string
	At    orb.Point
	Where string
}

// FillPoint is where water is taken on: HookUp once a visit, then volume / Flow.
type FillPoint struct {
	Place
	Flow   unit.Flow
	HookUp unit.Time
	// Filling may begin from Open until Close, after midnight; 0 is open.
	Open, Close unit.Time
	// Trucks are those that may fill here; empty for all.
	Trucks []string
}

// Stop is one property to treat with one mix.
type Stop struct {
	// Site is the measured property; its ID and name stand for the stop.
	Site  *geo.Site
	Mix   string
	Truck string // "" for any
	Notes string
	// From and Until are the time window, seconds after midnight; 0 is open. Work must begin in it.
	From, Until unit.Time
	// SetUp is what the stop costs besides walking: park, pull hose, sign, reel in.
	SetUp unit.Time
	// First is done before and Last after all other work of its truck. Whole is not split over two loads, unless it takes more than the tanks hold.
	First, Last, Whole bool
	// DonePasses is how many of its passes are done already, from the first on.
	DonePasses int
	// Needs are licences and skills by name, each of which the operator of the mix or the truck must hold on the day.
	Needs []string
	// Grass is the species, "" when not entered: some limits hold for one only.
	Grass string
	Where string
}

// Order is the order that somebody has fixed for a truck: it does these properties, in this order, and no other.
type Order struct {
	Truck string
	Stops []string // properties by ID
	Where string
}

// Travel is where driving times are from: Table, else Service, else Roads with Access for each drive, else an offline estimate: straight distance on the ellipsoid x Circuity
// at Speed or Speeds, plus Access for each drive. A circuity near 1.35 is usual in towns (mean 1.343
// over 300 European cities, Environment and Planning B, 2023, doi 10.1177/23998083231168870).
type Travel struct {
	Circuity float64
	Speed    unit.Speed
	Access   unit.Time
	// Speeds are by the length of the drive, in place of Speed; nil for the one speed.
	Speeds travel.Curve
	// Known are drives that somebody timed: the estimate is fitted to them. Table is of drives that are taken as they are, nil for none: what it
	// lacks is sought elsewhere. Service is what a service answered for Places, by their names.
	Known          []KnownDrive
	Table, Service *travel.Table
	// Roads is a map of roads, nil for none.
	Roads *road.Graph
}

// KnownDrive is a drive that somebody timed. Places are "yard", fill points by name, trucks' own starts by truck, and properties by id.
type KnownDrive struct {
	From, To string
	Time     unit.Time
	Where    string
}
