package dayfile

import (
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan"
)

// ProgressVersion is the layout of progress files: the value of the key "tankful_progress".
const ProgressVersion = "1"

// ParseProgress reads a day file, as Parse does, and beside it a file that says how far the day has come: what is done, what the gauges show, what can
// not be done, what is to be added. Stops to add are written as in the day file. Both lists of problems are one, each place beginning with its file's name.
func ParseProgress(name string, data []byte, progressName string, progress []byte, outlines func(path string) ([]byte, error), opt intake.Options) (*plan.Day, *plan.Progress, problem.List) {
	r := newReader(name, outlines, opt)
	if root, ok := r.syntax(data); ok {
		r.readDay(root)
	}
	g := &plan.Progress{Where: progressName}
	r.file = progressName
	if root, ok := r.syntax(progress); ok {
		r.readProgress(root, g)
	}
	r.problems.Sort()
	return r.day, g, r.problems
}

func (r *reader) readProgress(root cursor, g *plan.Progress) {
	o, ok := root.object("tankful_progress! plan now! trucks cannot closed spray_until no_filling add")
	if !ok {
		return
	}
	if at := o.at("tankful_progress"); at.node != nil {
		if t := at.text(); t != "" && t != ProgressVersion {
			at.fail("file-version", "Write tankful_progress: 1, the layout that this program reads.", "the file's layout is %q; layout %s is known", t, ProgressVersion)
		}
	}
	g.Fingerprint = o.at("plan").text()
	g.Now, g.SprayUntil = o.at("now").clock(), o.at("spray_until").clock()
	if g.SprayUntil > 0 && g.SprayUntil <= g.Now {
		o.at("spray_until").fail("ends-before-start", "Write when spraying must end, after now.", "spraying is to end at %s and it is %s", clockText(g.SprayUntil), clockText(g.Now))
	}
	g.NoFilling = o.at("no_filling").boolean()
	g.Trucks = list(o.at("trucks"), r.readTruckProgress)
	g.Cannot = list(o.at("cannot"), func(c cursor) plan.Cannot {
		o, _ := c.object("property! why! from")
		return plan.Cannot{Property: o.at("property").text(), Why: o.at("why").text(), From: o.at("from").clock(), Where: c.where()}
	})
	g.Closed = list(o.at("closed"), func(c cursor) string {
		name, _ := r.refer(kindFill, c)
		return name
	})
	for _, stops := range list(o.at("add"), func(c cursor) []plan.Stop { return r.readStop(c, 0) }) {
		g.Add = append(g.Add, stops...)
	}
}

func (r *reader) readTruckProgress(c cursor) plan.TruckProgress {
	o, _ := c.object("name! out at done done_to begun gauges")
	t := plan.TruckProgress{Where: c.where(), Out: o.at("out").boolean()}
	t.Truck, _ = r.refer(kindTruck, o.at("name"))
	if p, ok := o.at("at").point(); ok {
		t.At = &plan.Place{Name: t.Truck, At: p, Where: o.at("at").where()}
		r.checkFar(o.at("at"), "the truck", p)
	}
	t.Done = list(o.at("done"), func(c cursor) string { return c.text() })
	if o.has("done_to") {
		t.DoneTo = int(o.at("done_to").whole(0, 1000))
	}
	if b, ok := o.at("begun").object("property! passes!"); ok {
		t.Begun, t.Passes = b.at("property").text(), int(b.at("passes").whole(1, 100_000))
	}
	t.Gauges = list(o.at("gauges"), func(c cursor) plan.GaugeReading {
		o, _ := c.object("tank! reads! after")
		return plan.GaugeReading{Tank: o.at("tank").text(), After: o.at("after").text(), Where: c.where(), Reads: quantity(o.at("reads"), unit.ParseVolume, "0 gal", "10000 gal")}
	})
	return t
}
