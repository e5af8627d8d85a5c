package server

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// What a crew enters.
const (
	didStart    = "started"
	didFinish   = "finished"
	didSkip     = "skipped"
	didGauge    = "gauge"
	didWeather  = "weather"
	didNote     = "note"
	didTakeBack = "taken back" // an entry that was made by mistake
)

// entered is one entry of a crew about a plan. At is the time on the phone, "10:42", since it may come in hours later.
type entered struct {
	Did         string `json:"did"`
	Truck       string `json:"truck"`
	Stop        int    `json:"stop,omitempty"`
	At          string `json:"at"`
	Why         string `json:"why,omitempty"`
	Passes      int    `json:"passes,omitempty"` // done when it is broken off
	Tank        string `json:"tank,omitempty"`
	Reads       string `json:"reads,omitempty"`
	Wind        string `json:"wind,omitempty"`
	WindFrom    string `json:"wind_from,omitempty"`
	Temperature string `json:"temperature,omitempty"`
	Text        string `json:"text,omitempty"`
	Entry       int64  `json:"entry,omitempty"` // that is taken back
}

// crewEntry is an entry with its number.
type crewEntry struct {
	Seq   int64   `json:"seq"`
	By    string  `json:"by"`
	Came  string  `json:"came"`
	Entry entered `json:"entry"`
	// TakenBack says that it does not count any more.
	TakenBack bool `json:"taken_back,omitempty"`
}

// checkEntered is what is wrong with an entry.
func checkEntered(p *plan.Plan, e *entered) (ps problem.List) {
	const where = "entry"
	truck := slices.IndexFunc(p.Trucks, func(t plan.TruckDay) bool { return t.Truck == e.Truck })
	if truck < 0 {
		ps.Errorf("unknown-truck", where+".truck", "Name a truck of the plan.", "the plan has no truck %q", short(e.Truck))
		return ps
	}
	if _, err := time.Parse("15:04", e.At); err != nil {
		ps.Errorf("clock-invalid", where+".at", `Write hours and minutes on the 24-hour clock, for example "06:30".`, "%q is not a time of day", short(e.At))
	}
	stop := func() {
		if p.Stop(e.Truck, e.Stop) == nil {
			ps.Errorf("unknown-stop", where+".stop", "Give the number of a visit of the truck.", "%s has no visit %d", e.Truck, e.Stop)
		}
	}
	text := func(key, v string, most int) {
		if strings.TrimSpace(v) == "" || len(v) > most || strings.ContainsRune(v, 0) {
			ps.Errorf("text-invalid", where+"."+key, fmt.Sprintf("Write 1 to %d letters.", most), "there is no such text")
		}
	}
	switch e.Did {
	case didStart, didFinish:
		stop()
	case didSkip:
		stop()
		text("why", e.Why, 300)
		if st := p.Stop(e.Truck, e.Stop); st != nil && (e.Passes < 0 || e.Passes > st.Passes.Count) {
			ps.Errorf("passes-invalid", where+".passes", "Count the passes that are done.", "%d of %d passes", e.Passes, st.Passes.Count)
		}
	case didGauge:
		t := &p.Trucks[truck]
		k := slices.IndexFunc(t.Tanks, func(k plan.TankDay) bool { return k.Name == e.Tank })
		v, err := unit.ParseVolume(e.Reads)
		switch {
		case k < 0:
			ps.Errorf("unknown-tank", where+".tank", "Name a tank of the truck.", "%s has no tank %q", e.Truck, short(e.Tank))
		case err != nil:
			ps.Errorf("volume-invalid", where+".reads", `Write what the gauge reads with its unit, for example "62 gal".`, "%v", err)
		case v < 0 || v > t.Tanks[k].Capacity:
			ps.Errorf("gauge-over", where+".reads", "Read the gauge again.", "%s reads %s, and the tank holds %s", e.Tank, p.Units.Volume(v), p.Units.Volume(t.Tanks[k].Capacity))
		}
		if e.Stop != 0 {
			stop()
		}
	case didWeather:
		if _, err := unit.ParseSpeed(e.Wind); e.Wind != "" && err != nil {
			ps.Errorf("speed-invalid", where+".wind", `Write the wind with its unit, for example "6 mph".`, "%v", err)
		}
		text("wind, wind_from or temperature", e.Wind+e.WindFrom+e.Temperature, 60)
	case didNote:
		text("text", e.Text, 1000)
	case didTakeBack:
		if e.Entry <= 0 {
			ps.Errorf("unknown-entry", where+".entry", "Give the number of the entry.", "there is no entry %d", e.Entry)
		}
	default:
		ps.Errorf("unknown-word", where+".did", "Write started, finished, skipped, gauge, weather, note or taken back.", "%q is nothing that a crew enters", short(e.Did))
	}
	return ps
}

// enterWork keeps an entry. key is the phone's: it may send the same entry many times.
func (s *Server) enterWork(ctx context.Context, fingerprint string, e entered, key, by string) (crewEntry, error) {
	p, _, _, err := s.plan(ctx, fingerprint)
	if err != nil {
		return crewEntry{}, err
	}
	if err := checkEntered(p, &e).Err(); err != nil {
		return crewEntry{}, err
	}
	if key != "" {
		key = "work " + fingerprint + " " + key
	}
	x, err := s.Store.Append(ctx, key, Entry{Log: Worked, About: fingerprint, Refers: e.Entry, Body: mustJSON(e), By: by, At: s.Now()})
	if err != nil {
		return crewEntry{}, err
	}
	return crewEntryOf(x)
}

func crewEntryOf(x Entry) (crewEntry, error) {
	c := crewEntry{Seq: x.Seq, By: x.By, Came: x.At.Format(time.RFC3339)}
	if err := json.Unmarshal(x.Body, &c.Entry); err != nil {
		return c, fmt.Errorf("read entry %d: %w", x.Seq, err)
	}
	return c, nil
}

type stopKey struct {
	truck string
	n     int
}

// doneStop is what was entered about one stop.
type doneStop struct {
	Started, Finished           string
	Skipped                     string // why
	Passes                      int
	Wind, WindFrom, Temperature string
	Remarks                     string
	Gauges                      []entered
}

// workedDay is what crews have entered about a plan, summed up. Twice are entries that contradict each other, in words.
type workedDay struct {
	Entries []crewEntry
	stops   map[stopKey]*doneStop
	gauges  []gaugeRead
	done    []stopKey // in the order in which they were entered as finished, or as broken off
	Twice   []string
}

// gaugeRead is a reading with the property that was worked last before it was taken, out of that tank.
type gaugeRead struct {
	entered
	After string
}

// worked reads what was entered about a plan.
func (s *Server) worked(ctx context.Context, p *plan.Plan) (*workedDay, error) {
	list, err := s.Store.Entries(ctx, EntryQuery{Log: Worked, About: p.Fingerprint, Limit: 10_000})
	if err != nil {
		return nil, err
	}
	w := &workedDay{Entries: []crewEntry{}, stops: map[stopKey]*doneStop{}}
	for _, x := range list {
		c, err := crewEntryOf(x)
		if err != nil {
			return nil, err
		}
		w.Entries = append(w.Entries, c)
	}
	back := map[int64]bool{}
	for _, c := range w.Entries {
		if c.Entry.Did == didTakeBack {
			back[c.Entry.Entry] = true
		}
	}
	for i := range w.Entries {
		c := &w.Entries[i]
		if c.TakenBack = back[c.Seq]; !c.TakenBack {
			w.add(p, c)
		}
	}
	return w, nil
}

// at is what is known of a stop.
func (w *workedDay) at(truck string, n int) *doneStop {
	k := stopKey{truck, n}
	if w.stops[k] == nil {
		w.stops[k] = &doneStop{}
	}
	return w.stops[k]
}

func (w *workedDay) add(p *plan.Plan, c *crewEntry) {
	e := &c.Entry
	d := w.at(e.Truck, e.Stop)
	twice := func(format string, args ...any) {
		name := ""
		if st := p.Stop(e.Truck, e.Stop); st != nil {
			name = fmt.Sprintf("%s, stop %d, %s: ", e.Truck, e.Stop, st.Name)
		}
		w.Twice = append(w.Twice, name+fmt.Sprintf(format, args...)+". Take one back.")
	}
	switch e.Did {
	case didStart:
		if d.Started != "" && d.Started != e.At {
			twice("started at %s and at %s", d.Started, e.At)
		}
		d.Started = e.At
	case didFinish:
		if d.Finished != "" && d.Finished != e.At {
			twice("finished at %s and at %s", d.Finished, e.At)
		}
		if d.Skipped != "" {
			twice("skipped (%s) and finished at %s", d.Skipped, e.At)
		}
		d.Finished = e.At
		w.done = append(w.done, stopKey{e.Truck, e.Stop})
	case didSkip:
		if d.Finished != "" {
			twice("finished at %s and skipped (%s)", d.Finished, e.Why)
		}
		d.Skipped, d.Passes = e.Why, e.Passes
		if e.Passes > 0 {
			w.done = append(w.done, stopKey{e.Truck, e.Stop})
		}
	case didGauge:
		d.Gauges = append(d.Gauges, *e)
		if after := w.lastOf(p, e.Truck, e.Tank); after != "" { // before any work a reading says nothing of a rate
			w.gauges = append(w.gauges, gaugeRead{*e, after})
		}
	case didWeather:
		d.Wind, d.WindFrom, d.Temperature = e.Wind, e.WindFrom, e.Temperature
	case didNote:
		d.Remarks = strings.TrimSpace(d.Remarks + " " + e.Text)
	}
}

// lastOf is the property that was last worked out of a tank, "" for none.
func (w *workedDay) lastOf(p *plan.Plan, truck, tank string) string {
	for i := len(w.done) - 1; i >= 0; i-- {
		k := w.done[i]
		for j := range p.Loads {
			l := &p.Loads[j]
			if k.truck == truck && l.Truck == truck && l.Tank == tank && slices.ContainsFunc(l.Stops, func(s plan.LoadStop) bool { return s.Stop == k.n && s.Whole }) {
				return p.Stop(truck, k.n).Property
			}
		}
	}
	return ""
}

// state is a stop's in a word.
func (d *doneStop) state() string {
	switch {
	case d == nil:
		return ""
	case d.Finished != "":
		return "finished " + d.Finished
	case d.Skipped != "":
		return "skipped: " + d.Skipped
	case d.Started != "":
		return "started " + d.Started
	}
	return ""
}

// next is the visit that a truck goes to now, 0 when all are done.
func (w *workedDay) next(p *plan.Plan, truck string) int {
	for i := range p.Stops {
		st := &p.Stops[i]
		if st.Truck != truck {
			continue
		}
		if d := w.stops[stopKey{truck, st.N}]; d == nil || d.Finished == "" && d.Skipped == "" {
			return st.N
		}
	}
	return 0
}

// progressFile is what was entered as a progress file: the same text that a crew lead would write for the command.
// What such a file cannot say is refused: it would leave sprayed mix in the tank's figures, or take a mix for put on that was not.
func (w *workedDay) progressFile(p *plan.Plan, now time.Time) ([]byte, problem.List) {
	var ps problem.List
	clock := now.Format("15:04")
	if now.Format("2006-01-02") != p.Date {
		clock = w.last() // another day looks back: it is as late as the last entry
	}
	trucks, cannot := []any{}, []any{}
	for _, t := range p.Trucks {
		done, gauges := []string{}, []any{}
		truck := map[string]any{"name": t.Truck}
		for i := range p.Stops {
			st := &p.Stops[i]
			d := w.stops[stopKey{st.Truck, st.N}]
			if st.Truck != t.Truck || d == nil {
				continue
			}
			switch {
			case d.Finished != "":
				done = append(done, st.Property)
				if other := w.unfinished(p, st); other != nil {
					ps.Errorf("half-done", st.Name, "Finish "+other.Mix+" too, or take the entry back, and plan again then.", "%s is finished with %s and not with %s", st.Name, st.Mix, other.Mix)
				}
			case d.Skipped != "":
				cannot = append(cannot, map[string]any{"property": st.Property, "why": d.Skipped})
				if d.Passes == 0 {
					continue
				}
				if truck["begun"] != nil {
					ps.Errorf("two-broken-off", st.Name, "Take one of the entries back, enter it as skipped without passes, and read the gauges.", "%s has broken off two stops", t.Truck)
				}
				truck["begun"] = map[string]any{"property": st.Property, "passes": d.Passes} // what they took is out of the tank
			}
		}
		for _, g := range w.gauges {
			if g.Truck != t.Truck {
				continue
			}
			gauges = append(gauges, map[string]any{"tank": g.Tank, "reads": g.Reads, "after": g.After})
		}
		if len(done) > 0 {
			truck["done"] = done
		}
		if len(gauges) > 0 {
			truck["gauges"] = gauges
		}
		trucks = append(trucks, truck)
	}
	file := map[string]any{"tankful_progress": 1, "plan": p.Fingerprint, "now": clock, "trucks": trucks}
	if len(cannot) > 0 {
		file["cannot"] = cannot
	}
	return mustJSON(file), ps
}

// driftLine is what the gauges say of a mix, as pages show it.
type driftLine struct {
	Text string
	Over bool // by more than 5 %
}

// drifts is what the readings of the day so far say of the mixes, and of which none can be.
func (w *workedDay) drifts(p *plan.Plan) (lines []driftLine) {
	g := &plan.Progress{Where: "entered"}
	for _, t := range p.Trucks {
		x := plan.TruckProgress{Truck: t.Truck, Where: t.Truck}
		for i := range p.Stops {
			st := &p.Stops[i]
			d := w.stops[stopKey{st.Truck, st.N}]
			switch {
			case st.Truck != t.Truck || d == nil:
			case d.Finished != "":
				x.Done = append(x.Done, st.Property)
			case d.Skipped != "" && d.Passes > 0:
				x.Begun, x.Passes = st.Property, d.Passes
			}
		}
		for _, e := range w.gauges {
			v, err := unit.ParseVolume(e.Reads)
			if e.Truck != t.Truck || err != nil {
				continue // of another truck; checkEntered has parsed it
			}
			x.Gauges = append(x.Gauges, plan.GaugeReading{Tank: e.Tank, Reads: v, After: e.After, Where: t.Truck + ", " + e.Tank})
		}
		g.Trucks = append(g.Trucks, x)
	}
	found, ps := plan.Drifts(p, g)
	for _, d := range found {
		lines = append(lines, driftLine{d.Text(p.Units), d.Over})
	}
	for _, x := range ps {
		if x.Code == "gauge-over-fill" || x.Code == "drift-implausible" {
			lines = append(lines, driftLine{x.What + ". " + x.Fix, true})
		}
	}
	return lines
}

// skippedBefore says what stays in the tank of stops that were skipped before a visit, out of the loads that it is sprayed from: the gauges of its sheet do not know of it.
func (w *workedDay) skippedBefore(p *plan.Plan, st *plan.StopPlan) (lines []string) {
	for i := range p.Loads {
		l := &p.Loads[i]
		at := slices.IndexFunc(l.Stops, func(s plan.LoadStop) bool { return s.Stop == st.N })
		if l.Truck != st.Truck || at < 0 {
			continue
		}
		var more unit.Volume
		var names []string
		for _, s := range l.Stops[:at] {
			was := p.Stop(l.Truck, s.Stop)
			d := w.stops[stopKey{l.Truck, s.Stop}]
			if was == nil || d == nil || d.Skipped == "" || d.Finished != "" {
				continue
			}
			more += s.Volume - min(s.Volume, p.DoneTo(was, d.Passes).Volume)
			names = append(names, was.Name)
		}
		if more > 0 {
			lines = append(lines, fmt.Sprintf("%s was skipped: %s holds %s more than each gauge below says. Plan the rest of the day, or add it.", strings.Join(names, ", "), l.Tank, p.Units.Volume(more)))
		}
	}
	return lines
}

// unfinished is a visit of the same truck to the same property that is not finished, nil when there is none.
func (w *workedDay) unfinished(p *plan.Plan, st *plan.StopPlan) *plan.StopPlan {
	for _, x := range p.StopsAt(st.Property) {
		if d := w.stops[stopKey{x.Truck, x.N}]; x.Truck == st.Truck && (d == nil || d.Finished == "") {
			return x
		}
	}
	return nil
}

// last is the latest time that was entered.
func (w *workedDay) last() string {
	at := "00:00"
	for _, c := range w.Entries {
		if !c.TakenBack && c.Entry.At > at {
			at = c.Entry.At
		}
	}
	return at
}
