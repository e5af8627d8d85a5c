package server

import (
	"context"
	"fmt"
	"slices"

	"tankful/calc/problem"
	"tankful/plan"
)

// askedOrder is the order that somebody has fixed for a truck, properties by ID.
type askedOrder struct {
	Truck string   `json:"truck"`
	Stops []string `json:"stops"`
}

// planOrdered plans a kept day again, from all that it was made from, with orders that are fixed by hand: the two plans differ by the orders alone. Without orders
// it is planned free of any.
func (s *Server) planOrdered(ctx context.Context, fingerprint string, orders []askedOrder, key, by string, say step) (*plan.Plan, Item, error) {
	done, err := s.turn(ctx)
	if err != nil {
		return nil, Item{}, err
	}
	defer done()
	p, k, _, err := s.plan(ctx, fingerprint)
	if err != nil {
		return nil, Item{}, err
	}
	if p.Rest != nil {
		return nil, Item{}, &refusal{Status: 422, Title: "this is the rest of a day", Detail: "Fix the order in the morning's plan, " + k.Before + ", and plan the rest from that."}
	}
	file, ps := entryJSON("day", []byte(k.DayFile)) // JSON, or the YAML of a day of a week
	if err := ps.Err(); err != nil {
		return nil, Item{}, fmt.Errorf("read the day of plan %s: %w", fingerprint, err)
	}
	delete(file, "orders")
	orders = slices.DeleteFunc(slices.Clone(orders), func(o askedOrder) bool { return len(o.Stops) == 0 })
	if len(orders) > 0 {
		file["orders"] = mustJSON(orders)
	}
	f, err := s.filesOf(ctx, k)
	if err != nil {
		return nil, Item{}, err
	}
	parts, err := s.parts(ctx)
	if err != nil {
		return nil, Item{}, err
	}
	kept := *k
	kept.DayFile, kept.Engine = string(mustJSON(file)), s.Engine
	c := &composed{data: []byte(kept.DayFile), files: f, kept: kept, parts: parts}
	say("putting the stops into the order")
	return s.makePlan(ctx, c, key, by, say, func() (*plan.Plan, problem.List) {
		d, ps := parse(c.data, c.files)
		if ps.HasErrors() {
			return nil, ps
		}
		p, found := plan.Make(d)
		return p, append(ps, found...)
	})
}

// orderLine is a property in the order of a truck.
type orderLine struct {
	Property, Name string
	Out            bool // left out now
}

// orderOf is the order in which a truck comes to its properties, each where it first does.
func orderOf(p *plan.Plan, truck string) []orderLine {
	var out []orderLine
	for i := range p.Stops {
		st := &p.Stops[i]
		if st.Truck == truck && !slices.ContainsFunc(out, func(l orderLine) bool { return l.Property == st.Property }) {
			out = append(out, orderLine{Property: st.Property, Name: st.Name})
		}
	}
	return out
}

// leftOutOf are the properties that no truck comes to.
func leftOutOf(p *plan.Plan) []orderLine {
	var out []orderLine
	for i := range p.LeftOut {
		st := &p.LeftOut[i].Stop
		if len(p.StopsAt(st.Property)) == 0 && !slices.ContainsFunc(out, func(l orderLine) bool { return l.Property == st.Property }) {
			out = append(out, orderLine{Property: st.Property, Name: st.Name, Out: true})
		}
	}
	return out
}
