package plan

import (
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Week is the work of several days: a Day that holds its visits as stops, the days that are worked, and when each visit may be.
type Week struct {
	// Day holds all that the days have in common; its Date is not used.
	Day  *Day
	Days []WorkDay // by date
	// Due is by stop of Day.
	Due   []Due
	Where string
}

// WorkDay is a day that is worked. Start and End are its hours, 0 for those of Day; a truck with hours of its own keeps them. Off are trucks and operators,
// by name, who do not work.
type WorkDay struct {
	Date       string
	Start, End unit.Time
	Off        []string
	Where      string
}

// Due says when a visit may be: from one date to another, both included and "" for open, but not on some dates.
type Due struct {
	From, Until string
	NotOn       []string
}

// may reports whether a visit may be on a date. One that was due before the first day of the week may be on any.
func (d *Due) may(date, first string) bool {
	if d.From > date || slices.Contains(d.NotOn, date) {
		return false
	}
	return d.Until == "" || date <= d.Until || d.Until < first
}

// WeekPlan says which visit is on which truck and day, with each day's plan. JSON is SI, as that of a Plan.
type WeekPlan struct {
	Outfit   string      `json:"outfit"`
	Invented bool        `json:"invented"`
	Units    unit.System `json:"units"`
	Days     []DayOfWeek `json:"days"`
	// Later are the visits of no day, each with the reason.
	Later []Later `json:"later"`
	// Minutes is driving, filling, rinsing and work of all days. BoundMinutes is what no plan for the visits that are done can go below, on whichever of their days
	// and trucks; 0 where none is known. Bound says it in words.
	Minutes      float64 `json:"minutes"`
	BoundMinutes float64 `json:"bound_minutes"`
	Bound        string  `json:"bound"`
	// WeighedMinutes and BoundWeighedMinutes are the same with the weights of the week; 0 without any, and the bound where none is known.
	WeighedMinutes      float64 `json:"weighed_minutes,omitempty"`
	BoundWeighedMinutes float64 `json:"bound_weighed_minutes,omitempty"`
	// Rinses, Loads and TruckDays are sums: changes of mix within a day, tankfuls, and days of a truck.
	Rinses    int          `json:"rinses"`
	Loads     int          `json:"loads"`
	TruckDays int          `json:"truck_days"`
	Carry     []WeekCarry  `json:"carry"`
	Problems  problem.List `json:"problems"`
}

// DayOfWeek is one day; Plan is nil when nothing is done on it.
type DayOfWeek struct {
	Date   string       `json:"date"`
	Visits []VisitOfDay `json:"visits"` // truck by truck, in order
	Trucks []TruckOfDay `json:"trucks"`
	Plan   *Plan        `json:"plan"`
	// stops are those of Plan, by index in Week.Day.Stops, with their trucks.
	stops []givenStop
}

// givenStop is a stop of the week with the truck that it is given to.
type givenStop struct {
	stop  int
	truck string
}

// VisitOfDay is a visit on a day. N is the how manieth of its truck it is. Overdue says that its last date was before the week.
type VisitOfDay struct {
	Truck    string `json:"truck"`
	N        int    `json:"n"`
	Property string `json:"property"`
	Name     string `json:"name"`
	Mix      string `json:"mix"`
	From     string `json:"due_from,omitempty"`
	Until    string `json:"due_until,omitempty"`
	Overdue  bool   `json:"overdue,omitempty"`
}

// TruckOfDay is what a truck's day comes to; waiting and lunch are not in Minutes.
type TruckOfDay struct {
	Truck   string    `json:"truck"`
	Visits  int       `json:"visits"`
	Loads   int       `json:"loads"`
	Rinses  int       `json:"rinses"`
	Minutes float64   `json:"minutes"`
	Start   unit.Time `json:"start_s"`
	Finish  unit.Time `json:"finish_s"`
}

// WeekCarry is what all days take of a product, and by date.
type WeekCarry struct {
	Product string         `json:"product"`
	Amount  label.Amount   `json:"amount"`
	Days    []label.Amount `json:"days"` // as WeekPlan.Days
}

// Later is a visit that is on no day of the week.
type Later struct {
	Property string      `json:"property"`
	Name     string      `json:"name"`
	Mix      string      `json:"mix"`
	From     string      `json:"due_from,omitempty"`
	Until    string      `json:"due_until,omitempty"`
	Reason   LaterReason `json:"reason"`
	Why      string      `json:"why"`
	Fix      string      `json:"fix"`
}

// LaterReason says why a visit is on no day.
type LaterReason string

// The reasons.
const (
	NotDue     LaterReason = "not-due"    // its time begins after the week
	NoDay      LaterReason = "no-day"     // no day that is worked suits it
	NotLawful  LaterReason = "limit"      // a limit of a label or of the place forbids it on every day that suits it
	NoLicence  LaterReason = "no-licence" // nobody who could do it on those days holds what it needs
	NoTruck    LaterReason = "no-truck"   // no truck with a tank and an operator for its mix works on those days
	WindowShut LaterReason = "window"     // even alone it cannot be done in time
	NoRoom     LaterReason = "no-room"    // it does not fit beside the others
	CanWait    LaterReason = "can-wait"   // it gives way to visits that cannot wait
)

// StopsOn are the stops of a day of the plan as its Plan was made from them, each with its truck; w must be the week that the plan is of.
func (p *WeekPlan) StopsOn(w *Week, day int) []Stop {
	out := []Stop{}
	for _, g := range p.Days[day].stops {
		s := w.Day.Stops[g.stop]
		s.Truck = g.truck
		out = append(out, s)
	}
	return out
}

// VisitsOn are the indices in Week.Day.Stops of StopsOn.
func (p *WeekPlan) VisitsOn(day int) []int {
	out := []int{}
	for _, g := range p.Days[day].stops {
		out = append(out, g.stop)
	}
	return out
}
