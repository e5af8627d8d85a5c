package server

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"time"

	"github.com/gorilla/mux"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/draw"
	"tankful/plan/sheet/screen"
)

// Size of a map on a page.
const (
	mapWide = 150 * unit.Millimetre
	mapHigh = 200 * unit.Millimetre
	// The drives of a day lie beside its tables.
	overviewWide = 200 * unit.Millimetre
	overviewHigh = 200 * unit.Millimetre
)

// minutes is a plan's time as it is printed.
func minutes(n float64) string { return unit.Minutes(unit.Time(n) * unit.Minute) }

type planLine struct {
	shownItem
	Facts   planFacts
	Minutes string
	// Replaced says that the rest of the day was planned anew.
	Replaced bool
}

func (s *Server) planList(r *http.Request, n int) ([]planLine, error) {
	page, err := s.Store.Items(r.Context(), Query{Kind: Plans, Backwards: true, Limit: n}) // the latest dates first
	if err != nil {
		return nil, err
	}
	out := []planLine{}
	replaced := map[string]bool{}
	for i := range page.Items {
		l := planLine{shownItem: shown(page.Items[i])}
		if err := json.Unmarshal(page.Items[i].Facts, &l.Facts); err != nil {
			return nil, err
		}
		l.Minutes = unit.Minutes(l.Facts.Length)
		replaced[l.Facts.Before] = true
		out = append(out, l)
	}
	for i := range out {
		out[i].Replaced = replaced[out[i].ID]
	}
	return out, nil
}

func (s *Server) routesDays() {
	s.page("GET", "/days", s.daysPage)
	s.page("GET", "/plan/{plan}", s.planPage)
	s.page("GET", "/plan/{plan}/against/{other}", s.againstPage)
	const truck = "/plan/{plan}/truck/{truck:[0-9]+}"
	s.page("GET", truck, s.truckPage)
	s.page("GET", truck+"/stop/{stop:[0-9]+}", s.stopPage)
	s.page("GET", truck+"/map/{stop:[0-9]+}.svg", s.stopMap)
	s.page("GET", truck+"/map.svg", s.truckMap)
	s.page("GET", truck+"/sheets.pdf", s.sheetsPDF)
	s.page("GET", truck+"/phone.html", s.phoneFile)
}

// attach sends a file to be kept.
func attach(w http.ResponseWriter, name, kind string, data []byte) error {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", name))
	_, _ = w.Write(data)
	return nil
}

func (s *Server) daysPage(w http.ResponseWriter, r *http.Request) error {
	v := r.URL.Query()
	date := orWord(v.Get("date"), s.Now().Format("2006-01-02"))
	q := Query{Kind: Properties, Search: v.Get("words"), Limit: 200}
	if v.Get("due") != "" {
		q.DueUntil = date
	}
	if v.Get("box") != "" {
		var err error
		if q.Within, err = parseBox(v.Get("box")); err != nil {
			return err
		}
	}
	page, err := s.Store.Items(r.Context(), q)
	if err != nil {
		return err
	}
	list, err := lots(page.Items)
	if err != nil {
		return err
	}
	p, err := s.parts(r.Context())
	if err != nil {
		return err
	}
	plans, err := s.planList(r, 30)
	if err != nil {
		return err
	}
	ground, err := s.underMap(w, r, "")
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "days", "Days", map[string]any{"Date": date, "Due": v.Get("due"), "Words": v.Get("words"), "Box": v.Get("box"), "Yard": p.yard(), "Map": ground, "Units": string(p.units()), "Further": furtherDays(date), "Mixes": p.items[Mixes], "Lots": list, "More": page.More, "Trucks": p.items[Trucks], "Operators": p.items[Operators], "Problems": p.check(), "Plans": plans})
}

// furtherDay is a day that stops may be spread over too.
type furtherDay struct{ Date, Name string }

// furtherDays are the days after a date, as many as are planned together.
func furtherDays(from string) (out []furtherDay) {
	t, err := time.Parse(time.DateOnly, from)
	if err != nil {
		return nil
	}
	for range mostDays - 1 {
		t = t.AddDate(0, 0, 1)
		out = append(out, furtherDay{t.Format(time.DateOnly), t.Format("Mon, January 2")})
	}
	return out
}

// atTruck reads the plan and the truck that a page is about.
func (s *Server) atTruck(r *http.Request) (*plan.Plan, string, error) {
	p, _, _, err := s.plan(r.Context(), mux.Vars(r)["plan"])
	if err != nil {
		return nil, "", err
	}
	n, err := strconv.Atoi(mux.Vars(r)["truck"])
	if err != nil || n < 1 || n > len(p.Trucks) {
		return nil, "", ErrNone
	}
	return p, p.Trucks[n-1].Truck, nil
}

func (s *Server) planPage(w http.ResponseWriter, r *http.Request) error {
	p, k, it, err := s.plan(r.Context(), mux.Vars(r)["plan"])
	if err != nil {
		return err
	}
	work, err := s.worked(r.Context(), p)
	if err != nil {
		return err
	}
	trucks := []truckLine{}
	for i := range p.Trucks {
		trucks = append(trucks, lineOf(p, i, work))
	}
	if out := leftOutOf(p); len(out) > 0 {
		trucks[0].Order = append(trucks[0].Order, out...)
	}
	drifts := work.drifts(p)
	if p.Rest != nil {
		for _, d := range p.Rest.Drifts {
			drifts = append(drifts, driftLine{d.Text(p.Units), d.Over})
		}
	}
	others, err := s.Store.Items(r.Context(), Query{Kind: Plans, State: p.Date, Limit: 20})
	if err != nil {
		return err
	}
	newer, err := s.restOf(r.Context(), p)
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "plan", "Plan of "+p.Date, map[string]any{"Newer": newer, "Others": others.Items, "Plan": p, "Kept": k, "Drifts": drifts, "Item": shown(it), "Trucks": trucks, "Work": work, "Minutes": minutes(p.Minutes), "Least": minutes(p.BoundMinutes), "Volume": p.Units.Volume(p.Volume), "Heel": p.Units.Volume(p.Heel)})
}

// againstPage holds two plans against each other: their figures side by side, and what is otherwise.
func (s *Server) againstPage(w http.ResponseWriter, r *http.Request) error {
	p, _, _, err := s.plan(r.Context(), mux.Vars(r)["plan"])
	if err != nil {
		return err
	}
	other, _, _, err := s.plan(r.Context(), mux.Vars(r)["other"])
	if err != nil {
		return err
	}
	type line struct{ What, One, Other string }
	lines := []line{{"Date", p.Date, other.Date}, {"Whole time", minutes(p.Minutes), minutes(other.Minutes)},
		{"No plan can be under", minutes(p.BoundMinutes), minutes(other.BoundMinutes)},
		{"Stops", strconv.Itoa(len(p.Stops)), strconv.Itoa(len(other.Stops))}, {"Left out", strconv.Itoa(len(p.LeftOut)), strconv.Itoa(len(other.LeftOut))}, {"Tankfuls", strconv.Itoa(len(p.Loads)), strconv.Itoa(len(other.Loads))},
		{"Mix", p.Units.Volume(p.Volume), other.Units.Volume(other.Volume)}, {"Left over", p.Units.Volume(p.Leftover), other.Units.Volume(other.Leftover)}}
	return s.show(w, r, http.StatusOK, "against", "Two plans", map[string]any{"Plan": p, "Other": other, "Lines": lines, "Changes": plan.Changes(p, other, nil)})
}

// newerPlan is a plan of the rest of a day, which takes the morning's place.
type newerPlan struct{ Plan, At string }

// restOf is the newest plan of the rest of a plan's day, nil when nobody has planned it.
func (s *Server) restOf(ctx context.Context, p *plan.Plan) (*newerPlan, error) {
	page, err := s.Store.Items(ctx, Query{Kind: Plans, State: p.Date, Limit: 200})
	if err != nil {
		return nil, err
	}
	var newest *Item
	for i := range page.Items {
		var f planFacts
		if err := json.Unmarshal(page.Items[i].Facts, &f); err != nil {
			return nil, err
		}
		if f.Before == p.Fingerprint && (newest == nil || page.Items[i].At.After(newest.At)) {
			newest = &page.Items[i]
		}
	}
	if newest == nil {
		return nil, nil
	}
	return &newerPlan{newest.ID, newest.At.Format("15:04")}, nil
}

// truckLine is a truck of a plan with its stops, as pages show them.
type truckLine struct {
	N             int
	Truck         string
	Start, Finish string
	Stops         []stopLine
	Loads         []loadLine
	Next          int
	NextName      string
	Done, Skipped int
	Order         []orderLine
}

type stopLine struct {
	N                          int
	Property, Name, Mix, Takes string
	Area, Arrive, Done, Notes  string
	State                      string
	Passes                     int
}

type loadLine struct {
	N                          int
	Tank, Mix, At, Fill, Gauge string
}

func lineOf(p *plan.Plan, i int, work *workedDay) truckLine {
	t := &p.Trucks[i]
	out := truckLine{N: i + 1, Truck: t.Truck, Start: plan.Clock(t.Start), Finish: plan.Clock(t.Finish), Next: work.next(p, t.Truck), Order: orderOf(p, t.Truck)}
	for k := range p.Stops {
		st := &p.Stops[k]
		if st.Truck != t.Truck {
			continue
		}
		l := stopLine{N: st.N, Property: st.Property, Name: st.Name, Mix: st.Mix, Takes: p.Takes(st), Area: p.Units.Area(st.Area), Arrive: plan.Clock(st.Arrive), Done: plan.Clock(st.Done), Notes: st.Notes, State: work.stops[stopKey{t.Truck, st.N}].state(), Passes: st.Passes.Count}
		switch d := work.stops[stopKey{t.Truck, st.N}]; {
		case d == nil:
		case d.Finished != "":
			out.Done++
		case d.Skipped != "":
			out.Skipped++
		}
		if st.N == out.Next {
			out.NextName = st.Name
		}
		out.Stops = append(out.Stops, l)
	}
	for k := range p.Loads {
		l := &p.Loads[k]
		if l.Truck == t.Truck {
			out.Loads = append(out.Loads, loadLine{N: l.N, Tank: l.Tank, Mix: l.Mix, At: l.FillPoint, Fill: p.Units.Volume(l.Fill), Gauge: p.Units.Volume(l.Gauge)})
		}
	}
	return out
}

// truckPage is a crew's day: what to load, where to go next.
func (s *Server) truckPage(w http.ResponseWriter, r *http.Request) error {
	p, truck, err := s.atTruck(r)
	if err != nil {
		return err
	}
	work, err := s.worked(r.Context(), p)
	if err != nil {
		return err
	}
	doc, err := sheet.Truck(p, truck, sheet.Options{Only: []sheet.Part{sheet.Loads}})
	if err != nil {
		return err
	}
	blocks, err := s.fragments(r, p.Fingerprint+" "+truck, doc)
	if err != nil {
		return err
	}
	newer, err := s.restOf(r.Context(), p)
	if err != nil {
		return err
	}
	n, _ := strconv.Atoi(mux.Vars(r)["truck"]) // atTruck has looked at it
	return s.show(w, r, http.StatusOK, "truck", truck+", "+p.Date, map[string]any{"Plan": p.Fingerprint, "Date": p.Date, "Line": lineOf(p, n-1, work), "Loads": blocks, "Newer": newer, "Drifts": work.drifts(p), "Twice": work.Twice, "Rest": p.Rest != nil})
}

// fragments are the pages of a document as HTML, kept under a key that is the document's alone.
func (s *Server) fragments(r *http.Request, key string, doc *sheet.Document) ([]template.HTML, error) {
	return s.sheets.get(key, func() ([]template.HTML, error) { return drawn(r, doc) })
}

func drawn(r *http.Request, doc *sheet.Document) ([]template.HTML, error) {
	return screen.Fragments(doc, func(b sheet.Block) (string, error) {
		var out bytes.Buffer
		if err := draw.BlockSVG(&out, b, mapWide, mapHigh); err != nil {
			return "", err
		}
		// As a picture a drawing keeps its own styles, which the policy of the page would forbid.
		return `<img alt="Map" src="data:image/svg+xml;base64,` + base64.StdEncoding.EncodeToString(out.Bytes()) + `">`, r.Context().Err()
	})
}

func (s *Server) stopPage(w http.ResponseWriter, r *http.Request) error {
	p, truck, err := s.atTruck(r)
	if err != nil {
		return err
	}
	n, _ := strconv.Atoi(mux.Vars(r)["stop"]) // the route asks for digits
	st := p.Stop(truck, n)
	if st == nil {
		return ErrNone
	}
	work, err := s.worked(r.Context(), p)
	if err != nil {
		return err
	}
	doc, err := sheet.Truck(p, truck, sheet.Options{Only: []sheet.Part{sheet.Stops}, Property: st.Property})
	if err != nil {
		return err
	}
	doc.Pages = pagesOf(doc, n)
	blocks, err := s.fragments(r, fmt.Sprintf("%s %s %d", p.Fingerprint, truck, n), doc)
	if err != nil {
		return err
	}
	i, _ := strconv.Atoi(mux.Vars(r)["truck"])
	line := lineOf(p, i-1, work)
	var at stopLine
	before, after := 0, 0
	for k, l := range line.Stops {
		if l.N == n {
			at = l
			if k > 0 {
				before = line.Stops[k-1].N
			}
			if k+1 < len(line.Stops) {
				after = line.Stops[k+1].N
			}
		}
	}
	entries := []crewEntry{}
	for _, e := range work.Entries {
		if e.Entry.Truck == truck && e.Entry.Stop == n {
			entries = append(entries, e)
		}
	}
	newer, err := s.restOf(r.Context(), p)
	if err != nil {
		return err
	}
	tanks := []string{}
	for _, t := range p.Trucks[i-1].Tanks {
		if t.Mix != "" {
			tanks = append(tanks, t.Name)
		}
	}
	return s.show(w, r, http.StatusOK, "stop", fmt.Sprintf("Stop %d: %s", n, st.Name), map[string]any{"Plan": p.Fingerprint, "TruckN": i, "Truck": truck, "Stop": at, "Blocks": blocks, "Entries": entries, "Skipped": work.skippedBefore(p, st), "Newer": newer, "Drifts": work.drifts(p), "Before": before, "After": after, "Tanks": tanks,
		"Volume": map[bool]string{true: "gal", false: "L"}[p.Units == unit.US], "Speed": map[bool]string{true: "mph", false: "km/h"}[p.Units == unit.US], "Degrees": map[bool]string{true: "F", false: "C"}[p.Units == unit.US]})
}

// pagesOf are the pages about one visit.
func pagesOf(doc *sheet.Document, n int) (out []sheet.Page) {
	for _, p := range doc.Pages {
		if p.Stop == n {
			out = append(out, p)
		}
	}
	return out
}

// stopMap is a stop's pass map alone, to be made larger.
func (s *Server) stopMap(w http.ResponseWriter, r *http.Request) error {
	p, truck, err := s.atTruck(r)
	if err != nil {
		return err
	}
	n, _ := strconv.Atoi(mux.Vars(r)["stop"])
	st := p.Stop(truck, n)
	if st == nil {
		return ErrNone
	}
	var b bytes.Buffer
	if err := draw.MapSVG(&b, sheet.PassMap(&st.Map, &st.Passes, p.Units), mapWide, mapHigh); err != nil {
		return err
	}
	drawing(w, b.Bytes())
	return nil
}

// truckMap is the overview of a truck's drives.
func (s *Server) truckMap(w http.ResponseWriter, r *http.Request) error {
	p, truck, err := s.atTruck(r)
	if err != nil {
		return err
	}
	o, err := sheet.TruckOverview(p, truck)
	if err != nil {
		return err
	}
	sheets, err := draw.LayoutOverview(o, overviewWide, overviewHigh)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := sheets.SVG(&b, 1); err != nil {
		return err
	}
	drawing(w, b.Bytes())
	return nil
}

// drawing sends a drawing of a plan, which never changes. Its policy lets it have its own styles and nothing else.
func drawing(w http.ResponseWriter, svg []byte) {
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'")
	w.Header().Set("Cache-Control", "private, max-age=86400")
	_, _ = w.Write(svg)
}

func (s *Server) sheetsPDF(w http.ResponseWriter, r *http.Request) error {
	p, truck, err := s.atTruck(r)
	if err != nil {
		return err
	}
	doc, err := sheet.Truck(p, truck, sheet.Options{Server: s.base(r)})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := draw.PDF(&b, doc); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", p.Date+"-"+slug(truck)+".pdf"))
	_, _ = w.Write(b.Bytes())
	return nil
}

// phoneFile is the day as one file that needs no server: it is sent to be kept, and runs its own script there, never here.
func (s *Server) phoneFile(w http.ResponseWriter, r *http.Request) error {
	p, truck, err := s.atTruck(r)
	if err != nil {
		return err
	}
	doc, err := sheet.Truck(p, truck, sheet.Options{Only: []sheet.Part{sheet.Loads, sheet.Stops}})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	err = screen.Write(&b, doc, func(block sheet.Block) (string, error) {
		var out bytes.Buffer
		err := draw.BlockSVG(&out, block, mapWide, mapHigh)
		return out.String(), err
	})
	if err != nil {
		return err
	}
	return attach(w, p.Date+"-"+slug(truck)+".html", "text/html; charset=utf-8", b.Bytes())
}
