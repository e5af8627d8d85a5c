package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"tankful/calc/date"
	"tankful/calc/problem"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
)

// mostDays is how many days are planned together.
const mostDays = 7

// askedWeek is several days as they are asked for: which stops are to be spread over which dates, with which trucks and people.
type askedWeek struct {
	Days  []string    `json:"days"`
	Stops []askedStop `json:"stops"`
	Off   []string    `json:"off,omitempty"`
	Start string      `json:"start,omitempty"`
	End   string      `json:"end,omitempty"`
}

// plannedWeek is what became of it: a plan for each day with work, and the visits that no day has.
type plannedWeek struct {
	Days  []weekDay   `json:"days"`
	Later []weekLater `json:"later"`
	// Minutes is the whole time as printed, Bound how good it is.
	Minutes string `json:"minutes"`
	Bound   string `json:"bound"`
}

type weekDay struct {
	Date  string `json:"date"`
	Plan  string `json:"plan,omitempty"` // its fingerprint, "" for a day without work
	Stops int    `json:"stops"`
	Text  string `json:"text"`
}

type weekLater struct {
	Name string `json:"name"`
	Why  string `json:"why"`
	Fix  string `json:"fix"`
}

// planWeek spreads stops over days, as tankful week does, and keeps a plan for each day. A stop whose property is due later than the first day is on no day before.
func (s *Server) planWeek(ctx context.Context, a *askedWeek, by string, say step) (*plannedWeek, error) {
	var ps problem.List
	for i, d := range a.Days {
		if _, err := date.Parse(d); err != nil {
			ps.Errorf("date-invalid", fmt.Sprintf("day %d", i+1), "Write a date as 2026-05-04.", "%q is no date", short(d))
		}
	}
	if n := len(a.Days); n < 1 || n > mostDays {
		ps.Errorf("days-invalid", "days", fmt.Sprintf("Choose 1 to %d days.", mostDays), "%d days are asked for", n)
	}
	if err := ps.Err(); err != nil {
		return nil, err
	}
	done, err := s.turn(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	say("reading the outlines and the outfit")
	c, err := s.compose(ctx, &askedDay{Date: a.Days[0], Stops: a.Stops, Off: a.Off, Start: a.Start, End: a.End})
	if err != nil {
		return nil, err
	}
	text, err := s.weekFile(ctx, c, a) // c.data keeps the same stops, by which they are named
	if err != nil {
		return nil, err
	}
	type made struct {
		w    *plan.Week
		days *dayfile.Days
		p    *plan.WeekPlan
		ps   problem.List
	}
	m, err := beside(ctx, s, func() made {
		w, days, ps := dayfile.ParseWeek("week.yaml", text, c.files.read, intake.Options{})
		if ps.HasErrors() {
			return made{ps: ps}
		}
		say(fmt.Sprintf("%s measured; spreading them over %s", count(len(w.Day.Stops), "visit"), count(len(a.Days), "day")))
		p, found := plan.MakeWeek(w)
		return made{w, days, p, append(ps, found...)}
	})
	if err != nil {
		return nil, err
	}
	if m.p == nil {
		if err := c.named(m.ps.Distinct()).Err(); err != nil {
			return nil, err
		}
		return nil, errors.New("planning ended without a week")
	}
	say("keeping the plans")
	out := &plannedWeek{Days: []weekDay{}, Later: []weekLater{}, Minutes: minutes(m.p.Minutes), Bound: m.p.Bound}
	for k := range m.p.Days {
		d := &m.p.Days[k]
		x := weekDay{Date: d.Date, Text: "nothing"}
		if d.Plan != nil {
			d.Plan.Problems = c.named(d.Plan.Problems)
			kept := c.kept
			kept.DayFile = string(m.days.File(m.w, m.p, k))
			if _, err := s.keepPlan(ctx, d.Plan, kept, "", by); err != nil {
				return nil, err
			}
			x.Plan, x.Stops = d.Plan.Fingerprint, len(d.Plan.Stops)
			x.Text = fmt.Sprintf("%s, %s, %s, %s", count(len(d.Plan.Stops), "stop"), count(len(d.Plan.Loads), "tankful"), minutes(d.Plan.Minutes), d.Plan.Units.Volume(d.Plan.Volume))
		}
		out.Days = append(out.Days, x)
	}
	for _, l := range m.p.Later {
		out.Later = append(out.Later, weekLater{l.Name + ", " + l.Mix, l.Why, l.Fix})
	}
	return out, nil
}

// weekFile makes a week file of a composed day: the same but for its days and visits. Each key of the first level has a line of its own, so that the days' files can be
// cut out of it.
func (s *Server) weekFile(ctx context.Context, c *composed, a *askedWeek) ([]byte, error) {
	var file map[string]json.RawMessage
	if err := json.Unmarshal(c.data, &file); err != nil {
		return nil, fmt.Errorf("read the composed day: %w", err)
	}
	var visits []map[string]any
	if err := json.Unmarshal(file["stops"], &visits); err != nil {
		return nil, fmt.Errorf("read the composed day: %w", err)
	}
	for i, v := range visits {
		it, err := s.Store.Version(ctx, Properties, a.Stops[i].Property, c.kept.Outlines[a.Stops[i].Property])
		if err != nil {
			return nil, err
		}
		v["due"] = "from " + max(it.Due, a.Days[0])
	}
	days := []any{}
	for _, d := range a.Days {
		if len(a.Off) > 0 {
			days = append(days, map[string]any{"date": d, "off": a.Off})
		} else {
			days = append(days, d)
		}
	}
	for _, key := range []string{"tankful", "date", "stops", "off"} {
		delete(file, key)
	}
	file["tankful_week"], file["days"], file["visits"] = mustJSON(1), mustJSON(days), mustJSON(visits)
	var b bytes.Buffer
	for _, key := range slices.Sorted(maps.Keys(file)) {
		fmt.Fprintf(&b, "%s: %s\n", key, file[key])
	}
	return b.Bytes(), nil
}

// beside runs f, which cannot be stopped half-way, beside the request, and waits for it as long as somebody waits for the answer.
func beside[T any](ctx context.Context, s *Server, f func() T) (T, error) {
	began := time.Now()
	end := make(chan T, 1)
	go func() {
		var out T
		defer func() {
			if fault := recover(); fault != nil { // ours, but no reason to end the server
				s.Log.Error("panic while planning", "fault", fmt.Sprint(fault))
			}
			end <- out
		}()
		out = f()
	}()
	select {
	case out := <-end:
		s.metrics.plans.WithLabelValues("yes").Observe(time.Since(began).Seconds())
		return out, nil
	case <-ctx.Done():
		var none T
		return none, fmt.Errorf("planning: %w", ctx.Err())
	}
}
