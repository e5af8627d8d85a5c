package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
)

// askedDay is a day as it is asked for: which stops on which date, with which trucks and people.
type askedDay struct {
	Date  string      `json:"date"`
	Start string      `json:"start,omitempty"`
	End   string      `json:"end,omitempty"`
	Stops []askedStop `json:"stops"`
	Off   []string    `json:"off,omitempty"`
	// Orders are fixed by hand; a truck that has one does these stops, in this order, and no other.
	Orders []askedOrder `json:"orders,omitempty"`
}

// askedStop is a stop; what it does not say its property's account does.
type askedStop struct {
	Property string          `json:"property"`
	Mixes    []string        `json:"mixes,omitempty"`
	Notes    string          `json:"notes,omitempty"`
	SetUp    string          `json:"set_up,omitempty"`
	Window   json.RawMessage `json:"window,omitempty"`
	Truck    string          `json:"truck,omitempty"`
	First    bool            `json:"first,omitempty"`
	Last     bool            `json:"last,omitempty"`
	Whole    bool            `json:"whole,omitempty"`
}

// keptPlan is a plan with everything that it was made from: the day file, the versions of the outlines, what was done before, and the program. It is never changed.
type keptPlan struct {
	Plan     json.RawMessage  `json:"plan"`
	DayFile  string           `json:"day_file"`
	Record   string           `json:"record,omitempty"`
	Outlines map[string]int64 `json:"outlines"` // versions by property
	Progress string           `json:"progress,omitempty"`
	Before   string           `json:"before,omitempty"` // the plan that this is the rest of
	Engine   string           `json:"engine"`
}

// planFacts is a plan in a list.
type planFacts struct {
	Date     string    `json:"date"`
	Trucks   []string  `json:"trucks"`
	Stops    int       `json:"stops"`
	Loads    int       `json:"loads"`
	LeftOut  int       `json:"left_out"`
	Length   unit.Time `json:"length_s"`
	Bound    string    `json:"bound"`
	Volume   string    `json:"volume"`
	Warnings int       `json:"warnings"`
	Rest     bool      `json:"rest,omitempty"`
	ByHand   bool      `json:"by_hand,omitempty"`
	Before   string    `json:"before,omitempty"` // the plan that this is the rest of
}

// step tells how far planning has come, in words.
type step func(text string)

// composed is a day file with the files that it names.
type composed struct {
	data  []byte
	files files
	kept  keptPlan
	parts *parts
}

// compose makes a day file of what is asked and what is kept.
func (s *Server) compose(ctx context.Context, a *askedDay) (*composed, error) {
	p, err := s.parts(ctx)
	if err != nil {
		return nil, err
	}
	c := &composed{files: files{}, parts: p, kept: keptPlan{Outlines: map[string]int64{}, Engine: s.Engine}}
	var ps problem.List
	stops := []map[string]any{}
	for i, x := range a.Stops {
		where := fmt.Sprintf("stop %d", i+1)
		stop, err := s.composeStop(ctx, c, &x, where, &ps)
		if err != nil {
			return nil, err
		}
		stops = append(stops, stop)
	}
	if len(a.Stops) == 0 {
		ps.Errorf("no-stops", "stops", "Choose the properties to go to.", "the day has no stops")
	}
	if err := ps.Err(); err != nil {
		return nil, err
	}
	entries := map[string]any{"date": a.Date, "stops": stops}
	if a.Start != "" {
		entries["start"] = a.Start
	}
	if a.End != "" {
		entries["end"] = a.End
	}
	if len(a.Off) > 0 {
		entries["off"] = a.Off
	}
	if len(a.Orders) > 0 {
		entries["orders"] = a.Orders
	}
	if record, err := s.recordBefore(ctx); err != nil {
		return nil, err
	} else if record != "" {
		entries["record"] = recordFile
		c.files[recordFile] = []byte(record)
		c.kept.Record = record
	}
	if c.data, err = p.dayFile(entries); err != nil {
		return nil, err
	}
	c.kept.DayFile = string(c.data)
	return c, nil
}

func (s *Server) composeStop(ctx context.Context, c *composed, x *askedStop, where string, ps *problem.List) (map[string]any, error) {
	it, err := s.Store.Item(ctx, Properties, x.Property)
	if errors.Is(err, ErrNone) || err == nil && it.Gone {
		ps.Errorf("unknown-property", where, "Choose a property that is kept.", "there is no property %q", short(x.Property))
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var g ground
	if err := json.Unmarshal(it.Body, &g); err != nil {
		return nil, fmt.Errorf("read property %q: %w", it.ID, err)
	}
	if it.State == stateTaped {
		ps.Errorf("no-outlines", where, "Draw its outlines on the property's page: passes are laid on them.", "%s is measured by tape alone", it.Name)
	}
	c.files[it.ID+".geojson"] = it.Body
	c.kept.Outlines[it.ID] = it.Version
	stop := map[string]any{"outline": it.ID + ".geojson", "property": it.ID, "name": it.Name}
	set := func(key, own, usual string) {
		if t := orWord(own, usual); t != "" {
			stop[key] = t
		}
	}
	set("notes", x.Notes, g.Account.Notes)
	set("set_up", x.SetUp, g.Account.SetUp)
	set("truck", x.Truck, "")
	if w := x.Window; w != nil {
		stop["window"] = w
	} else if g.Account.Window != nil {
		stop["window"] = g.Account.Window
	}
	mixes := x.Mixes
	if len(mixes) == 0 {
		mixes = g.Account.Mixes
	}
	if len(mixes) == 0 {
		ps.Errorf("no-mix", where, "Choose a mix for the stop, or put the usual one into the property's account.", "nothing says what %s gets", it.Name)
	}
	if len(mixes) == 1 {
		stop["mix"] = mixes[0]
	} else {
		stop["mixes"] = mixes
	}
	for key, on := range map[string]bool{"first": x.First, "last": x.Last, "whole": x.Whole} {
		if on {
			stop[key] = true
		}
	}
	return stop, nil
}

// planDay plans a day and keeps the plan. The same day asked for again gives the same plan, which is kept once.
func (s *Server) planDay(ctx context.Context, a *askedDay, key, by string, say step) (*plan.Plan, Item, error) {
	done, err := s.turn(ctx)
	if err != nil {
		return nil, Item{}, err
	}
	defer done()
	say("reading the outlines and the outfit")
	c, err := s.compose(ctx, a)
	if err != nil {
		return nil, Item{}, err
	}
	return s.makePlan(ctx, c, key, by, say, func() (*plan.Plan, problem.List) {
		d, ps := parse(c.data, c.files)
		if ps.HasErrors() {
			return nil, ps
		}
		say(fmt.Sprintf("%s measured; laying passes, dealing loads, ordering the stops", count(len(d.Stops), "stop")))
		p, found := plan.Make(d)
		return p, append(ps, found...)
	})
}

// makePlan runs f, which cannot be stopped half-way, beside the request, and keeps what it makes unless nobody waits any more.
func (s *Server) makePlan(ctx context.Context, c *composed, key, by string, say step, f func() (*plan.Plan, problem.List)) (*plan.Plan, Item, error) {
	type made struct {
		p  *plan.Plan
		ps problem.List
	}
	m, err := beside(ctx, s, func() made {
		p, ps := f()
		return made{p, ps}
	})
	if err != nil {
		return nil, Item{}, err
	}
	if m.p == nil {
		if err := c.named(m.ps.Distinct()).Err(); err != nil {
			return nil, Item{}, err
		}
		return nil, Item{}, errors.New("planning ended without a plan")
	}
	m.p.Problems = c.named(m.p.Problems) // sheets say them too
	say("keeping the plan")
	it, err := s.keepPlan(ctx, m.p, c.kept, key, by)
	return m.p, it, err
}

// keepPlan keeps a plan under its fingerprint.
func (s *Server) keepPlan(ctx context.Context, p *plan.Plan, k keptPlan, key, by string) (Item, error) {
	k.Plan = mustJSON(p)
	f := planFacts{Date: p.Date, Stops: len(p.Stops), Loads: len(p.Loads), LeftOut: len(p.LeftOut), Length: unit.Time(p.Minutes) * unit.Minute, Bound: p.Bound, Volume: p.Units.Volume(p.Volume), Rest: p.Rest != nil, ByHand: p.ByHand != nil, Before: k.Before}
	for _, t := range p.Trucks {
		f.Trucks = append(f.Trucks, t.Truck)
	}
	for _, x := range p.Problems {
		if x.Severity == problem.Warning {
			f.Warnings++
		}
	}
	it := Item{Kind: Plans, ID: p.Fingerprint, Name: p.Date + " " + p.Fingerprint, Words: p.Outfit, State: p.Date, Body: mustJSON(k), Facts: mustJSON(f), By: by, At: s.Now()}
	out, err := s.Store.Save(ctx, key, Change{Item: it})
	var there *ConflictError
	if errors.As(err, &there) {
		return there.Newest, nil // the same plan was made before
	}
	if err != nil {
		return Item{}, err
	}
	return out[0], nil
}

// readPlan is a kept plan as it was read; nobody changes it.
type readPlan struct {
	plan *plan.Plan
	kept *keptPlan
	item Item
}

// plan reads a kept plan.
func (s *Server) plan(ctx context.Context, fingerprint string) (*plan.Plan, *keptPlan, Item, error) {
	r, err := s.plans.get(fingerprint, func() (*readPlan, error) {
		p, k, it, err := s.readPlan(ctx, fingerprint)
		return &readPlan{p, k, it}, err
	})
	return r.plan, r.kept, r.item, err
}

func (s *Server) readPlan(ctx context.Context, fingerprint string) (*plan.Plan, *keptPlan, Item, error) {
	it, err := s.Store.Item(ctx, Plans, fingerprint)
	if err != nil {
		return nil, nil, Item{}, err
	}
	var k keptPlan
	if err := json.Unmarshal(it.Body, &k); err != nil {
		return nil, nil, Item{}, fmt.Errorf("read plan %s: %w", fingerprint, err)
	}
	p, found := plan.Read("plan "+fingerprint, k.Plan)
	if p == nil {
		return nil, nil, Item{}, found.Err()
	}
	return p, &k, it, nil
}

// filesOf are the files that a kept plan was made from, its outlines in the versions of then.
func (s *Server) filesOf(ctx context.Context, k *keptPlan) (files, error) {
	f := files{recordFile: []byte(k.Record)}
	for id, version := range k.Outlines {
		it, err := s.Store.Version(ctx, Properties, id, version)
		if err != nil {
			return nil, err
		}
		f[id+".geojson"] = it.Body
	}
	return f, nil
}

// planRest plans the rest of a day from what the crews have entered.
func (s *Server) planRest(ctx context.Context, fingerprint string, key, by string, say step) (*plan.Plan, Item, error) {
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
		return nil, Item{}, &refusal{Status: 422, Title: "this is the rest of a day already", Detail: "Plan again from the morning's plan, " + k.Before + ": what was entered there and here counts."}
	}
	f, err := s.filesOf(ctx, k)
	if err != nil {
		return nil, Item{}, err
	}
	w, err := s.worked(ctx, p)
	if err != nil {
		return nil, Item{}, err
	}
	progress, ps := w.progressFile(p, s.Now())
	if err := ps.Err(); err != nil {
		return nil, Item{}, err
	}
	parts, err := s.parts(ctx)
	if err != nil {
		return nil, Item{}, err
	}
	kept := *k
	kept.Progress, kept.Before, kept.Engine = string(progress), fingerprint, s.Engine
	c := &composed{data: []byte(k.DayFile), files: f, kept: kept, parts: parts}
	say("taking in what was done")
	return s.makePlan(ctx, c, key, by, say, func() (*plan.Plan, problem.List) {
		d, g, ps := dayfile.ParseProgress("day.yaml", c.data, "entered", progress, f.read, intake.Options{})
		if ps.HasErrors() {
			return nil, ps
		}
		say("planning what is left")
		rest, found := plan.MakeRest(d, g)
		return rest, slices.Concat(ps, found)
	})
}
