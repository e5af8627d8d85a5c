package main

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/calendar"
	"tankful/plan/sheet"
	"tankful/plan/sheet/draw"
)

// overviewWide and overviewHigh are the size of an overview map of its own: a sheet of paper within its margins.
const (
	overviewWide = 7.5 * unit.Inch
	overviewHigh = 9 * unit.Inch
)

// drawOverview writes the overview map of a truck's day as PDF, SVG and PNG, one drawing in all three; it is on the load sheet too.
func drawOverview(p *plan.Plan, truck string, dir folder, prefix string) error {
	o, err := sheet.TruckOverview(p, truck)
	if err != nil {
		return err
	}
	drawing, err := draw.LayoutOverview(o, overviewWide, overviewHigh)
	if err != nil {
		return fmt.Errorf("draw the overview of %s: %w", truck, err)
	}
	for _, f := range []struct {
		ending string
		write  func(w io.Writer) error
	}{
		{".pdf", drawing.PDF},
		{".svg", func(w io.Writer) error { return drawing.SVG(w, 1) }},
		{".png", func(w io.Writer) error { return drawing.PNG(w, 1, mapDPI) }},
	} {
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return fmt.Errorf("draw the overview of %s: %w", truck, err)
		}
		if err := dir.write(prefix+overviewName+f.ending, b.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

// overviewName is what the name of an overview's file ends with, before the format.
const overviewName = "-overview"

// writeCalendar writes a truck's day as appointments.
func writeCalendar(p *plan.Plan, t *plan.TruckDay, dir folder, prefix string) error {
	var events []calendar.Event
	for i := range t.Events {
		e := &t.Events[i]
		x := calendar.Event{UID: fmt.Sprintf("%s-%s-%d@tankful", p.Date, fileName(t.Truck), i+1), Date: p.Date, From: e.At, Until: e.Until, At: true, Lon: e.Lon, Lat: e.Lat, Place: e.Place}
		switch e.Kind {
		case plan.Work:
			s := p.Stop(t.Truck, e.Stop)
			x.Summary = fmt.Sprintf("%d. %s: %s", s.N, s.Name, s.Mix)
			x.Place = s.Name
			x.Description = strings.TrimSpace(visitLine(p, s, e) + ".\n" + s.Notes)
		case plan.Fill:
			x.Summary = "Fill at " + e.Place
			for _, n := range e.Loads {
				x.Description += fmt.Sprintf("Load %d: %s\n", n, loadLine(&p.Loads[n-1], p.Units))
			}
			x.Description = strings.TrimSpace(x.Description)
		case plan.Lunch:
			x.Summary = "Lunch"
		default:
			continue
		}
		events = append(events, x)
	}
	text, err := calendar.Write(t.Truck+", "+p.Date, time.Now().UTC().Format("20060102T150405Z"), events)
	if err != nil {
		return fmt.Errorf("write the calendar of %s: %w", t.Truck, err)
	}
	return dir.write(prefix+".ics", []byte(text))
}
