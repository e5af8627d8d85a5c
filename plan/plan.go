package plan

import (
	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/geo"
)

// Plan is the whole answer: what the CLI prints, the API serves and the sheets show. JSON is
// SI, in the unit that each field name ends with. Every volume of mix is a whole number of
// Units.VolumeStep, so that printed volumes add up to the last digit.
type Plan struct {
	Date     string      `json:"date"`
	Outfit   string      `json:"outfit"`
	Contact  []string    `json:"contact,omitempty"` // lines for customers
	Invented bool        `json:"invented"`
	Units    unit.System `json:"units"`
	// Fingerprint tells two prints of the same plan to be the same: the head of a hash of it
	// without its problems.
	Fingerprint string `json:"fingerprint"`

	Trucks []TruckDay `json:"trucks"`
	Stops  []StopPlan `json:"stops"` // in visit order, truck by truck
	Loads  []Load     `json:"loads"` // in the order they are filled, truck by truck
	// LeftOut are the stops that found no place, each with the reason; they are in no sum.
	LeftOut []LeftOut `json:"left_out"`
	Mixes   []MixPlan `json:"mixes"`

	// Minutes is drive + fill + work over all trucks (waiting for a window not counted);
	// BoundMinutes is what no plan for these stops, tanks and calibrations can go below.
	Minutes      float64 `json:"minutes"`
	BoundMinutes float64 `json:"bound_minutes"`
	// WeighedMinutes is what the plan comes to with the day's Weights, and BoundWeighedMinutes what no plan can go below; 0 without weights.
	WeighedMinutes      float64 `json:"weighed_minutes,omitempty"`
	BoundWeighedMinutes float64 `json:"bound_weighed_minutes,omitempty"`
	// BoundLoads is the fewest tankfuls of any plan, and Bound says in words how good this one is.
	// Driving says where driving times are from, in words.
	// RoadCredit is what the map of roads asks to be said, "" without one.
	Driving    string `json:"driving"`
	RoadCredit string `json:"road_credit,omitempty"`
	BoundLoads int    `json:"bound_loads"`
	Bound      string `json:"bound"`
	// Volume is the sum over stops and, equally, over loads. Heel is what the first fill of
	// each tank adds for the pump, and what is left in the tanks at the end; Leftover is mix
	// above it: 0 but where it is accepted, tanks are filled to marks, or hold at the start what nothing takes.
	Volume   unit.Volume `json:"volume_l"`
	Heel     unit.Volume `json:"heel_l"`
	Leftover unit.Volume `json:"leftover_l"`

	// ByHand is set where the order of a truck is fixed by hand.
	ByHand *ByHand `json:"by_hand,omitempty"`
	// Rest is set on a plan for the rest of a day.
	Rest *RestPlan `json:"rest,omitempty"`

	Problems problem.List `json:"problems"`
}

// ByHand is what orders that are fixed by hand cost, held against the plan that is found for the same day without them.
type ByHand struct {
	Trucks []string `json:"trucks"`
	// Found and FoundLeftOut are the Minutes of the plan that was found, and the stops that it leaves out.
	Found        unit.Time `json:"found_s"`
	FoundLeftOut int       `json:"found_left_out"`
	// Price says the difference in words.
	Price string `json:"price"`
}

// RestPlan is what a plan for the rest of a day is made from, and what is otherwise than in the morning's plan.
type RestPlan struct {
	Morning string      `json:"morning"` // fingerprint of the morning's plan
	Done    []StopPlan  `json:"done"`
	Drifts  []Drift     `json:"drifts"`
	Changes []DayChange `json:"changes"`
}

// LeftOut is a stop that found no place in the day. Reason is a word for scripts: no-shift, no-tank, no-fill, window or full-day; Why and Fix are for people.
type LeftOut struct {
	Stop   StopPlan `json:"stop"`
	Reason string   `json:"reason"`
	Why    string   `json:"why"`
	Fix    string   `json:"fix"`
}

// MixPlan is a mix with the calibration that carries it.
type MixPlan struct {
	Name       string           `json:"name"`
	Operator   string           `json:"operator"`
	Licence    string           `json:"licence"`
	Applicator string           `json:"applicator"`
	Kind       ApplicatorKind   `json:"kind"`
	Swath      unit.Length      `json:"swath_m"`
	Test       calibrate.Result `json:"test"`
	TestDate   string           `json:"test_date"`
	Pressure   unit.Pressure    `json:"pressure_kpa"`
	Course     unit.Length      `json:"course_m"` // 0 when the plot's area was measured instead
	// CoursePasses is how many passes of Course made the plot; 0 is one.
	CoursePasses int `json:"course_passes,omitempty"`
	// Nozzle is as entered, TestLiquid what was caught, "" for water.
	Nozzle     string `json:"nozzle,omitempty"`
	TestLiquid string `json:"test_liquid,omitempty"`
	// Density is that of the mix, 0 where a liquid's is not entered. A dry product whose room in the tank is not known is taken to
	// take none, so that the mix is then no denser than this.
	Density unit.Density `json:"density_kg_per_l,omitempty"`
	// Caught is what the test caught in the course's mean time.
	Caught unit.Volume `json:"caught_l"`
	// EdgeLaps is how many walks along the edge come first, EdgeLapsUsual that nobody said so and it is the usual for the kind.
	EdgeLaps      int  `json:"edge_laps"`
	EdgeLapsUsual bool `json:"edge_laps_usual"`
	// Carrier is the calibrated rate rounded as it is printed; amounts are computed from it.
	Carrier  unit.VolumePerArea `json:"carrier_l_per_m2"`
	Products []ProductPlan      `json:"products"` // in the order of adding
	Volume   unit.Volume        `json:"volume_l"` // of all stops with this mix
	// Granules is set of a mix that is spread out of bags: it has no carrier and no volume, and Test holds the course, the pace and the mean time alone.
	Granules *GranulePlan `json:"granules,omitempty"`
	// Drift is how much more goes out than calibrated by gauge readings, 0 for as calibrated; volumes of stops hold it, the strength of the mix does not.
	Drift float64 `json:"drift,omitempty"`
	// Working shows the calibration, and how what is wanted of each product became a rate and a strength.
	Working working.Working `json:"working"`
}

// GranulePlan is what a mix has that is spread out of bags: the one product at its rate, with the test of the spreader that puts it on.
type GranulePlan struct {
	Throws calibrate.SpreaderKind `json:"throws"`
	// Test says what was weighed; amounts are of the wanted rate, which the test is held against.
	Test calibrate.SpreaderResult `json:"test"`
	// Facts are the test as it is printed.
	Facts []working.Fact `json:"facts"`
	// Total is what all stops of the day take.
	Total unit.Mass `json:"total_kg"`
}

// ProductPlan is a product of a mix, with the texts that the sheet carries.
type ProductPlan struct {
	Name         string      `json:"name"`
	Form         label.Form  `json:"form"`
	Class        label.Class `json:"class"`
	Rate         label.Rate  `json:"rate"`
	Most         label.Rate  `json:"label_most"`
	Citation     string      `json:"citation"`
	KeepOff      string      `json:"keep_off"`
	Cautions     []string    `json:"cautions"`
	Registration string      `json:"registration"`
	// Wanted is what was asked for, as it is printed: "0.25 lb N/1000 sq ft"; Rate follows from it, and InMix is the strength of
	// the finished mix.
	Wanted string         `json:"wanted"`
	InMix  label.Strength `json:"in_mix"`
	// MostInMix is the label's most in the finished mix, zero when none is entered.
	MostInMix label.Strength `json:"label_most_in_mix,omitzero"`
	// PPE is protective equipment, a line each. Buffers are those that hold for the mix's applicator.
	PPE     []string `json:"ppe"`
	Buffers []Buffer `json:"buffers"`
	// Total is what to put on the truck for the day, heels included.
	Total label.Amount `json:"total"`
}

// Buffer is how far a label asks to keep from a surface.
type Buffer struct {
	Near     string      `json:"near"`
	Distance unit.Length `json:"distance_m"`
	Citation string      `json:"citation"`
	Dated    string      `json:"dated,omitempty"`
	// Surface is the surface of outlines that Near stands for, "" for a well and the like.
	Surface geo.Surface `json:"surface,omitempty"`
}

// TruckDay is one truck's day.
type TruckDay struct {
	Truck  string      `json:"truck"`
	Start  unit.Time   `json:"start_s"` // after midnight
	Finish unit.Time   `json:"finish_s"`
	Drive  unit.Time   `json:"drive_s"`
	Fill   unit.Time   `json:"fill_s"`
	Work   unit.Time   `json:"work_s"`
	Wait   unit.Time   `json:"wait_s"`
	Rinse  unit.Time   `json:"rinse_s"`
	Lunch  unit.Time   `json:"lunch_s"`
	Over   unit.Time   `json:"overtime_s"` // after the end of its hours
	Driven unit.Length `json:"driven_m"`
	// From is where it starts.
	From    Point     `json:"from"`
	Tanks   []TankDay `json:"tanks"`
	Events  []Event   `json:"events"`
	Refills int       `json:"refills"` // visits to a fill point after the first
	// Carry is what to put on the truck in the morning; Weight what it comes to, nil when the truck's weights are
	// not entered.
	Carry  []Carry `json:"carry"`
	Weight *Weight `json:"weight,omitempty"`
}

// Carry is one product of a truck's day: what all loads take together, and the whole containers.
type Carry struct {
	Product      string       `json:"product"`
	Registration string       `json:"registration"`
	Amount       label.Amount `json:"amount"`
	// Containers is empty when it is not entered what the product comes in; Back is what comes back in them.
	Containers []Container  `json:"containers"`
	Back       label.Amount `json:"back"`
	Loads      []int        `json:"loads"`
	// Stops are the visit numbers of the stops where granules go on; a product of the tanks has none.
	Stops []int `json:"stops,omitempty"`
}

// Container is how many of one container to take.
type Container struct {
	Name  string       `json:"name"`
	Holds label.Amount `json:"holds"`
	Count int          `json:"count"`
}

// Weight is what a truck carries, its tanks at their fullest and all product of the day aboard. Of granules it is what is still in the bags then: all of
// the day from the yard on, less what is spread before. The heaviest moment of the day is given.
type Weight struct {
	Items   []WeightItem    `json:"items"`
	Load    unit.Mass       `json:"load_kg"`
	Payload unit.Mass       `json:"payload_kg"`
	Margin  unit.Mass       `json:"margin_kg"`
	Working working.Working `json:"working"`
}

// WeightItem is one line of it.
type WeightItem struct {
	Name string    `json:"name"`
	Mass unit.Mass `json:"mass_kg"`
}

// TankDay is one tank with its mix.
type TankDay struct {
	Name     string      `json:"name"`
	Capacity unit.Volume `json:"capacity_l"`
	Heel     unit.Volume `json:"heel_l"`
	Mix      string      `json:"mix"` // "" when not used
}

// EventKind is what a truck does next.
type EventKind string

const (
	Fill   EventKind = "fill"
	Work   EventKind = "work"
	Lunch  EventKind = "lunch"
	Return EventKind = "return"
)

// Event is one line of a truck's timeline.
type Event struct {
	Kind  EventKind   `json:"kind"`
	Place string      `json:"place"` // fill point or yard by name, stop by property id
	Stop  int         `json:"stop"`  // visit number of the stop, else 0
	Drive unit.Time   `json:"drive_s"`
	Dist  unit.Length `json:"drive_m"`
	// DriveBy is where Drive is from, "" where there is none.
	DriveBy DriveSource `json:"drive_by,omitempty"`
	At      unit.Time   `json:"at_s"`    // work or filling begins, after midnight
	Until   unit.Time   `json:"until_s"` // and ends
	// Loads are the numbers of the loads filled here, or drawn from here.
	Loads []int `json:"loads"`
	// Spread is what goes on out of bags here; empty for spraying.
	Spread []LoadProduct `json:"spread,omitempty"`
	// Lon and Lat are where it happens, in degrees. Way is the drive to it by road, empty where no roads are known.
	// Wait is idle time before it, for a window or a fill point's hours. Rinses are the tanks that change their mix here.
	Wait   unit.Time `json:"wait_s"`
	Rinses []Rinsed  `json:"rinses,omitempty"`
	Lon    float64   `json:"lon"`
	Lat    float64   `json:"lat"`
	Way    []Point   `json:"way,omitempty"`
}

// Rinsed is a tank that changes its mix. Lost is what it had in it above the heel.
type Rinsed struct {
	Tank string      `json:"tank"`
	From string      `json:"from_mix"`
	To   string      `json:"to_mix"`
	Time unit.Time   `json:"time_s"`
	Lost unit.Volume `json:"lost_l"`
}

// Load is one filling of one tank: sprayed to the heel before the tank is filled again.
type Load struct {
	N         int    `json:"n"`
	Truck     string `json:"truck"`
	Tank      string `json:"tank"`
	Mix       string `json:"mix"`
	FillPoint string `json:"fill_point"`
	// Volume is what this load puts on turf; Fill is what goes into the tank: Volume, and
	// the heel as well in a tank's first load. Gauge is the reading after filling.
	Volume unit.Volume `json:"volume_l"`
	Fill   unit.Volume `json:"fill_l"`
	Gauge  unit.Volume `json:"gauge_l"`
	// Held says that nothing is filled: the tank has it in it when the day begins. Before is the reading before filling; Extra is mix beyond need, which
	// agitation asks for and which is left over.
	Held   bool        `json:"held,omitempty"`
	Before unit.Volume `json:"gauge_before_l"`
	Extra  unit.Volume `json:"extra_l,omitempty"`
	// StartGauge is the reading up to which water goes in before the first product; Water is all
	// water of the load.
	StartGauge unit.Volume `json:"start_gauge_l"`
	Water      unit.Volume `json:"water_l"`
	// Covers is the area that Volume treats at the carrier rate.
	Covers   unit.Area     `json:"covers_m2"`
	Products []LoadProduct `json:"products"` // in the order of adding
	Stops    []LoadStop    `json:"stops"`    // in visit order
	// Working shows how the products of this filling were come by.
	Working working.Working `json:"working"`
}

// LoadProduct is what one product adds to a load: Fill / carrier rate x product rate,
// rounded to the product's measure, or as it is printed.
type LoadProduct struct {
	Name   string       `json:"name"`
	Amount label.Amount `json:"amount"`
	// Gauge is the reading when the product is in, Effect what measuring does to its rate; a stop has neither.
	Gauge  unit.Volume `json:"gauge_after_l,omitempty"`
	Effect float64     `json:"effect,omitempty"`
}

// LoadStop is the part of a stop that a load covers.
type LoadStop struct {
	// Stop is the visit number of the stop on the load's truck.
	Stop     int         `json:"stop"`
	Property string      `json:"property"`
	Name     string      `json:"name"`
	Volume   unit.Volume `json:"volume_l"`
	FromPass int         `json:"from_pass"`
	ToPass   int         `json:"to_pass"`
	// Whole says that the stop is done when this part is.
	Whole bool `json:"whole"`
	// Gauge is what the sight gauge should read when the part is done.
	Gauge unit.Volume `json:"gauge_after_l"`
	// DryAt is set where the load ends within pass ToPass: the walk into it.
	DryAt unit.Length `json:"dry_at_m,omitempty"`
	// Dry is where the load ends before the stop is done, within a pass or at its end: go on from here. Nil when Whole.
	Dry *Point `json:"dry,omitempty"`
}
