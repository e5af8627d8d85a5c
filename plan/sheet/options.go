package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/plan"
)

// Part is a part of a day's document.
type Part string

// The parts, in the order of printing.
const (
	Loads   Part = "loads"   // the load sheet
	Stops   Part = "stops"   // a sheet for each stop
	Working Part = "working" // how the amounts were come by
)

// Parts are all parts of a day's document.
var Parts = []Part{Loads, Stops, Working}

// Options say how a document is made; the zero value is everything, on the paper of the plan's units.
type Options struct {
	Paper Paper
	// Only are the parts wanted, none for all.
	Only []Part
	// Property keeps only the stops of one property, by its ID; "" keeps all. Loads and working are not asked.
	Property string
	// Server is the address of a server that has the plan, "https://office.example", "" for none: each stop then has its own link as a QR code.
	Server string
}

func (o Options) wants(p Part) bool { return len(o.Only) == 0 || slices.Contains(o.Only, p) }

// paper is the size that is asked for, or that of the plan's units.
func (o Options) paper(u unit.System) (Paper, error) {
	switch {
	case o.Paper == Letter || o.Paper == A4:
		return o.Paper, nil
	case o.Paper != "":
		return "", fmt.Errorf("sheet: the paper is %q, not letter or a4", o.Paper)
	case u == unit.Metric:
		return A4, nil
	}
	return Letter, nil
}

// StopPath is where a server has a stop of a plan: "/plan/fd13e3e42e/truck/1/stop/3", the truck counted as in the plan. "" when
// the plan has no such truck.
func StopPath(p *plan.Plan, truck string, n int) string {
	for i := range p.Trucks {
		if p.Trucks[i].Truck == truck {
			return fmt.Sprintf("/plan/%s/truck/%d/stop/%d", p.Fingerprint, i+1, n)
		}
	}
	return ""
}

// link is a stop's address on the server, "" without one.
func (o Options) link(p *plan.Plan, s *plan.StopPlan) string {
	if o.Server == "" {
		return ""
	}
	return strings.TrimSuffix(o.Server, "/") + StopPath(p, s.Truck, s.N)
}
