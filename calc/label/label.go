// Package label holds products and what their labels allow.
//
// It knows analysis, density and containers, rates per area and in a volume of mix, caps, intervals and
// buffers, the range of carrier volume, the mixing class and the texts that go on a sheet; and
// the arithmetic of nutrients and active ingredient in a product. Limits are the user's own entries
// with their citation: no law and no label ships with the program. It leaves out what adds up over
// a season (calc/season) and over a tank (calc/mix).
package label

import "tankful/calc/unit"

// Form says in what a product is measured.
type Form string

const (
	Liquid  Form = "liquid"  // by volume
	Dry     Form = "dry"     // by weight, dissolved or suspended in the tank
	Granule Form = "granule" // by weight, spread dry; never in a tank
)

// Weighed reports whether the product is measured by weight.
func (f Form) Weighed() bool { return f == Dry || f == Granule }

// Rate is how much product goes on an area. One of the two is set, by the product's form:
// volume and weight never mix.
type Rate struct {
	Liquid unit.VolumePerArea `json:"l_per_m2,omitempty"`
	Dry    unit.MassPerArea   `json:"kg_per_m2,omitempty"`
}

// Strength is how much product is in a volume of finished mix: 0.25 % v/v, 2 lb/100 gal. One of the
// two is set, by the product's form.
type Strength struct {
	Liquid unit.VolumePerVolume `json:"l_per_l,omitempty"`
	Dry    unit.Density         `json:"kg_per_l,omitempty"`
}

// Amount is how much product; one of the two is set.
type Amount struct {
	Liquid unit.Volume `json:"l,omitempty"`
	Dry    unit.Mass   `json:"kg,omitempty"`
}

// Class is the group in which a product is added to the tank. The order of the classes is
// the usual one of the trade (W-A-L-E-S: wettable, agitate, liquid, emulsifiable, solution;
// Country Guide, Ontario practice); the label overrides it.
type Class string

const (
	Wettable     Class = "wettable"     // wettable powders, dispersible granules
	Flowable     Class = "flowable"     // liquid flowables, suspensions
	Emulsifiable Class = "emulsifiable" // emulsifiable concentrates
	Soluble      Class = "soluble"      // solutions, soluble powders, liquid fertilizer
	Surfactant   Class = "surfactant"   // wetters, drift retardants, defoamers
)

// Classes is the order of adding.
var Classes = []Class{Wettable, Flowable, Emulsifiable, Soluble, Surfactant}

// Share is a part of a whole: 0.18 for 18 % by weight.
type Share float64

// Analysis is the guaranteed analysis, shares of the product's weight, never of its volume. Phosphate
// and potash are the oxides, as on the bag: elemental P is 0.4365 of P2O5, K 0.8301 of K2O. The
// zero Analysis is not known, which is not the same as no nutrients.
type Analysis struct {
	N, P2O5, K2O Share
	// SlowN is the slowly available nitrogen (water-insoluble, coated and the like), a share of the
	// product's weight as N is; zero means that all N counts as quick.
	SlowN Share
	// Other is further nutrients by symbol: "Fe", "Mn".
	Other map[string]Share
	// None says that the product has no nutrients in earnest, as a weed control has.
	None bool
}

// Container is what a product comes in: "2.5 gal jug", "50 lb bag".
type Container struct {
	Name  string `json:"name"` // "jug", "bag"
	Holds Amount `json:"holds"`
}

// Buffer is how far to keep from a surface.
type Buffer struct {
	Near       string      // "water", "well"
	Distance   unit.Length // over zero
	Applicator string      // the kind that it holds for; "" for all
	Citation   string
	Dated      string
}

// Per says for what a Limit is the most.
type Per string

const (
	PerApplication Per = "application"
	PerYear        Per = "year" // calendar year
	PerDays        Per = "days" // any Limit.Days days in a row
)

// Basis says what of a nutrient a Limit counts.
type Basis string

const (
	Total Basis = "total"
	Quick Basis = "quick" // readily available: total less slow
	Slow  Basis = "slow"  // of a product's contents; no Limit caps it
)

// Limit is one cap, blackout or condition, of a label or of a place. All are the user's entries: law is by
// place and changes. Of what it says, all holds at once; what is zero it does not say.
type Limit struct {
	// Of is what is limited: "N", "P2O5", "K2O", "P", "K", another nutrient's symbol, or a product's name.
	Of    string
	Basis Basis // of N; "" is total
	Per   Per   // what Most and Times are for; "" with neither
	Days  int   // with PerDays
	// Most is the cap: of a nutrient or a dry product its weight, of a liquid product its volume.
	Most Rate
	// Times is the most applications in the period; 0 when not limited.
	Times int
	// LeastSlow is the least share of the N applied that must be slow.
	LeastSlow Share
	// From and To are a blackout, month and day ("11-15", "03-01"), both days within it; it may pass the new year.
	From, To string
	// Grass is the species that it holds for; "" for all.
	Grass string
	// Applicator is the kind of applicator that it holds for; "" for all.
	Applicator string
	// Citation is where it is written, Dated when that was read (ISO 8601). Never empty.
	Citation, Dated string
	// Where is the limit's place in the user's file.
	Where string
}

// Label is what a product's label says, as the user entered it. A zero rate means "no such limit entered".
type Label struct {
	// Least and Most bound the product's rate per application.
	Least, Most Rate
	// LeastInMix and MostInMix bound its strength in the finished mix.
	LeastInMix, MostInMix Strength
	// CarrierLeast and CarrierMost bound the carrier rate.
	CarrierLeast, CarrierMost unit.VolumePerArea
	// IntervalDays is the least number of days between two applications.
	IntervalDays int
	// Limits are further caps of this product or of what is in it: per year, per interval.
	Limits []Limit
	// Buffers are distances to keep.
	Buffers []Buffer
	// NotWith names products, or classes, that must not share a tank with this one.
	NotWith []string
	// PPE is protective equipment, a line each.
	PPE []string
	// Citation names the label and its date; never empty.
	Citation string
	// Dated is when the label was read, ISO 8601; "" when not entered.
	Dated string
	// KeepOff is the label's text on when people and pets may return.
	KeepOff string
	// Cautions are lines for the sheet: protective equipment, buffers, weather.
	Cautions []string
	// Registration is the registration number, if there is one.
	Registration string
}

// Product is something that goes into a tank, or into a spreader.
type Product struct {
	Name string
	Form Form
	// Class may be "" for a granule alone, which goes into no tank.
	Class Class
	// Code is the formulation's code on the label, such as EC or WDG; "" when not entered.
	Code    string
	Density unit.Density // of a liquid; 0 when not entered
	// InTank is the weight of a dry product that takes up a volume once it is in the tank: 0 when not entered,
	// and then it is taken to displace no water, with a note.
	InTank   unit.Density
	Analysis Analysis
	// Active is the active ingredient's share of the weight; ActivePerVolume its weight in a volume of a liquid.
	Active          Share
	ActivePerVolume unit.Density
	// Containers are what it comes in, Measure is the smallest step that it is measured out in (a
	// mark of the jug, of the scale); zero is the printed step.
	Containers []Container
	Measure    Amount
	Label      Label
}
