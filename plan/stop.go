package plan

import (
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/geo"
)

// StopPlan is one stop with its passes.
type StopPlan struct {
	N        int      `json:"n"` // visit number on its truck
	Truck    string   `json:"truck"`
	Property string   `json:"property"`
	Name     string   `json:"name"`
	Mix      string   `json:"mix"`
	Notes    string   `json:"notes"`
	Lon      float64  `json:"lon"`
	Lat      float64  `json:"lat"`
	Measure  Measure  `json:"measure"`
	Passes   PassPlan `json:"passes"`
	// Area is what the volume is computed from: the net turf of a trimming applicator, swath
	// x sprayed length of a fixed-width one, rounded as printed. Volume = Area x Carrier; of granules it is 0.
	Area   unit.Area   `json:"area_m2"`
	Volume unit.Volume `json:"volume_l"`
	// DonePasses are done already; Area, Volume and Products are of the others.
	DonePasses int `json:"done_passes,omitempty"`
	// Products is what this stop receives.
	Products []LoadProduct `json:"products"`
	// Season is what the visit adds to the year.
	Season  Season    `json:"season"`
	Service unit.Time `json:"service_s"`
	Arrive  unit.Time `json:"arrive_s"`
	Begin   unit.Time `json:"begin_s"`
	Done    unit.Time `json:"done_s"`
	From    unit.Time `json:"from_s"`
	Until   unit.Time `json:"until_s"`
	Map     Map       `json:"map"`
}

// Measure is a property's areas as every command prints them.
type Measure struct {
	ID           string                    `json:"id"`
	Name         string                    `json:"name"`
	Turf         unit.Area                 `json:"turf_m2"`
	ExcludedSum  unit.Area                 `json:"excluded_m2"`
	Net          unit.Area                 `json:"net_m2"`
	Perimeter    unit.Length               `json:"perimeter_m"`
	PlusMinus    unit.Area                 `json:"plus_minus_m2"`
	Accuracy     unit.Length               `json:"accuracy_m"`
	AccuracyFrom string                    `json:"accuracy_from"`
	Pieces       int                       `json:"pieces"`
	Excluded     map[geo.Surface]unit.Area `json:"excluded"`
	// LeftOutOrder is the order in which ground under two surfaces is counted: with the first.
	LeftOutOrder []geo.Surface `json:"left_out_order"`
	// PlusMinusBias is what an outline drawn Bias too wide or too narrow all along does to the net area.
	PlusMinusBias unit.Area   `json:"plus_minus_bias_m2"`
	Bias          unit.Length `json:"bias_m"`
	BiasFrom      string      `json:"bias_from"`
	// Ground is the net area on the slopes that are known, the net area itself without any.
	Ground unit.Area     `json:"ground_m2"`
	Zones  []ZoneMeasure `json:"zones"`
	Parts  []PartMeasure `json:"parts"`
	Edges  string        `json:"edges"`
	// Strips are the widths of keep-off strips along the edges of surfaces.
	Strips   map[geo.Surface]unit.Length `json:"strips_m"`
	Problems problem.List                `json:"problems"`
}

// ZoneMeasure is the net turf of one part of a property; the zones add up to its net area.
type ZoneMeasure struct {
	Zone      string      `json:"zone"`
	Net       unit.Area   `json:"net_m2"`
	Perimeter unit.Length `json:"perimeter_m"`
	Pieces    int         `json:"pieces"`
}

// PartMeasure is one connected piece of net turf.
type PartMeasure struct {
	Net       unit.Area   `json:"net_m2"`
	Perimeter unit.Length `json:"perimeter_m"`
}

// Map is a stop's ground for drawing: metres east and north of Lon, Lat.
type Map struct {
	Lon     float64               `json:"lon"`
	Lat     float64               `json:"lat"`
	Turf    Shape                 `json:"turf"`
	LeftOut map[geo.Surface]Shape `json:"left_out"`
	// Zones are the parts of the turf, where there is more than one.
	Zones []MapZone `json:"zones,omitempty"`
	// Truck is where the truck stands, Trucks all places where it may, that one first; both empty when none is known.
	Truck  geom.Coord   `json:"truck,omitempty"`
	Trucks []geom.Coord `json:"trucks,omitempty"`
	// Second is the further place that HoseReach suggests, empty when it suggests none.
	Second geom.Coord `json:"second,omitempty"`
}

// Season is what a stop's visit puts on, and how that stands with the limits of labels and place.
type Season struct {
	// Adds is what this visit puts on of each nutrient that is in it. Year is that with everything else of the calendar year that
	// is known, the day's other visits to the property among it; it is empty without a record.
	Adds []season.Total `json:"adds"`
	Year []season.Total `json:"year"`
	// Unknown names products whose nutrients are not in the sums.
	Unknown []string `json:"unknown"`
	// Limits are the limits one by one, but for a label's own most per application.
	Limits []season.Line `json:"limits"`
	// Recorded says that a record of past applications was given. Without one, Limits know of the day's visits only.
	Recorded bool `json:"recorded"`
}

// Got is what a stop has got: of which area, how much mix and how much of each product.
type Got struct {
	Area     unit.Area
	Volume   unit.Volume
	Products []LoadProduct
}

// DoneTo is what a stop of the plan has got by the end of so many of its passes, as the plan has it: amounts are of the rates on the area that these passes
// cover, as those of the whole stop are. All passes, or more, are the whole stop.
func (p *Plan) DoneTo(s *StopPlan, passes int) Got {
	if passes >= s.Passes.Count {
		return Got{Area: s.Area, Volume: s.Volume, Products: s.Products}
	}
	got := Got{Products: []LoadProduct{}}
	done, all := unit.Area(0), unit.Area(0)
	for i := s.DonePasses; i < len(s.Passes.List); i++ {
		all += s.Passes.List[i].Sprayed
		if i < passes {
			done += s.Passes.List[i].Sprayed
			got.Volume = s.Passes.List[i].SoFar
		}
	}
	if done > 0 {
		got.Area = p.Units.RoundArea(unit.Area(done.In(all)) * s.Area)
	}
	m := p.mix(s.Mix)
	if m.Granules != nil {
		got.Volume = 0
	}
	for _, x := range s.Products {
		i := slices.IndexFunc(m.Products, func(pp ProductPlan) bool { return pp.Name == x.Name })
		got.Products = append(got.Products, LoadProduct{Name: x.Name, Amount: m.Products[i].Rate.Times(m.drift()).Over(got.Area).Round(p.Units)})
	}
	return got
}
