package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"tankful/calc/unit"
	"tankful/plan"
)

// printDay is the plan in short, for a terminal.
func printDay(w io.Writer, p *plan.Plan) error {
	if p.Invented {
		fmt.Fprintln(w, "INVENTED DATA: not for use on turf.")
	}
	fmt.Fprintf(w, "%s, %s\n", p.Outfit, p.Date)
	printRest(w, p)
	if p.ByHand != nil {
		fmt.Fprintln(w, p.ByHand.Price)
	}
	for i := range p.Trucks {
		printTruck(w, p, &p.Trucks[i])
	}
	printSums(w, p)
	for _, l := range p.LeftOut {
		fmt.Fprintf(w, "LEFT OUT: %s (%s of %s): %s. %s\n", l.Stop.Name, p.Takes(&l.Stop), l.Stop.Mix, l.Why, l.Fix)
	}
	_, err := fmt.Fprintf(w, "%s %s\nPlan %s\n", p.Bound, p.Driving, p.Fingerprint)
	return err
}

// printSums is what goes on turf in all: mix, and granules.
func printSums(w io.Writer, p *plan.Plan) {
	u, sprayed := p.Units, 0
	for i := range p.Stops {
		if !p.Spread(&p.Stops[i]) {
			sprayed++
		}
	}
	fmt.Fprintln(w)
	if sprayed > 0 || len(p.Stops) == 0 {
		fmt.Fprintf(w, "Mix for %s: %s on turf", plural(sprayed, "stop"), u.Volume(p.Volume))
		fmt.Fprintf(w, ", %s more for the heels; left over above them: %s.\n", u.Volume(p.Heel), u.Volume(p.Leftover))
	}
	for i := range p.Mixes {
		m, stops := &p.Mixes[i], 0
		for k := range p.Stops {
			if p.Stops[k].Mix == m.Name {
				stops++
			}
		}
		if m.Granules != nil && stops > 0 {
			fmt.Fprintf(w, "%s for %s: %s of %s.\n", m.Name, plural(stops, "stop"), u.Mass(m.Granules.Total), m.Products[0].Name)
		}
	}
}

// printRest is what a plan for the rest of a day has done behind it, and what is otherwise than in the morning.
func printRest(w io.Writer, p *plan.Plan) {
	r := p.Rest
	if r == nil {
		return
	}
	fmt.Fprintf(w, "Rest of the day, after plan %s: %s done, %s to go.\n", r.Morning, plural(len(r.Done), "stop"), plural(len(p.Stops), "stop"))
	for _, d := range r.Drifts {
		fmt.Fprintf(w, "  %s\n", d.Text(p.Units))
	}
	if len(r.Changes) > 0 {
		fmt.Fprintln(w, "What changes:")
	}
	for _, c := range r.Changes {
		fmt.Fprintf(w, "  %s\n", c.Text)
	}
}

// printCarry is what to put on a truck in the morning.
func printCarry(w io.Writer, p *plan.Plan, t *plan.TruckDay) {
	for _, c := range t.Carry {
		line := c.Amount.Text(p.Units)
		for i, k := range c.Containers {
			if i == 0 {
				line += ", take "
			} else {
				line += " and "
			}
			line += k.String()
		}
		fmt.Fprintf(w, "  carry %s: %s\n", c.Product, line)
	}
}

func printTruck(w io.Writer, p *plan.Plan, t *plan.TruckDay) {
	fmt.Fprintf(w, "\n%s: out %s, back %s\n", t.Truck, plan.Clock(t.Start), plan.Clock(t.Finish))
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, e := range t.Events {
		switch e.Kind {
		case plan.Fill:
			for _, r := range e.Rinses {
				fmt.Fprintf(tw, "  %s\trinse %s at %s\t%s to %s, %s\n", plan.Clock(e.At), r.Tank, e.Place, r.From, r.To, unit.Minutes(r.Time))
			}
			fmt.Fprintf(tw, "  %s\tfill at %s\t\n", plan.Clock(e.At), e.Place)
			for _, n := range e.Loads {
				fmt.Fprintf(tw, "  \t  load %d\t%s\n", n, loadLine(&p.Loads[n-1], p.Units))
			}
		case plan.Lunch:
			fmt.Fprintf(tw, "  %s\tlunch until %s\t\n", plan.Clock(e.At), plan.Clock(e.Until))
		case plan.Work:
			s := p.Stop(t.Truck, e.Stop)
			fmt.Fprintf(tw, "  %s\t%d. %s\t%s, %s of %s\n", plan.Clock(e.At), s.N, s.Name, p.Units.Area(s.Measure.Net), visitLine(p, s, &e), s.Mix)
		case plan.Return:
			fmt.Fprintf(tw, "  %s\tback at %s\t\n", plan.Clock(e.At), e.Place)
		}
	}
	tw.Flush()
	printCarry(w, p, t)
}

// visitLine is the passes and the mix of one visit, which may be a part of its stop.
func visitLine(p *plan.Plan, s *plan.StopPlan, e *plan.Event) string {
	u := p.Units
	whole := fmt.Sprintf("%d passes, %s", s.Passes.Count, p.Takes(s))
	if p.Spread(s) {
		if s.DonePasses > 0 {
			return fmt.Sprintf("passes %d to %d of %d, %s", s.DonePasses+1, s.Passes.Count, s.Passes.Count, p.Takes(s))
		}
		return whole
	}
	from, to, volume := 0, 0, unit.Volume(0)
	for _, n := range e.Loads {
		for _, part := range p.Loads[n-1].Stops {
			if part.Stop != s.N {
				continue
			}
			if from == 0 {
				from = part.FromPass
			}
			to, volume = part.ToPass, u.RoundVolume(volume+part.Volume)
		}
	}
	if volume == s.Volume && s.DonePasses == 0 {
		return whole
	}
	return fmt.Sprintf("passes %d to %d of %d, %s of %s", from, to, s.Passes.Count, u.Volume(volume), u.Volume(s.Volume))
}

// loadLine is what goes into one filling.
func loadLine(l *plan.Load, u unit.System) string {
	parts := []string{fmt.Sprintf("%s: fill %s of %s to the %s mark", l.Tank, u.Volume(l.Fill), l.Mix, u.Volume(l.Gauge))}
	for _, p := range l.Products {
		parts = append(parts, p.Amount.Text(u)+" "+p.Name)
	}
	return strings.Join(parts, "; ")
}
