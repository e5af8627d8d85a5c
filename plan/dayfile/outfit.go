package dayfile

import (
	"slices"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
	"tankful/geo/road"
	"tankful/plan"
	"tankful/plan/travel"
)

func (r *reader) readYard(c cursor) {
	o, ok := c.object("name! at!")
	if !ok {
		return
	}
	r.day.Yard = plan.Place{Name: o.at("name").text(), Where: c.where()}
	r.day.Yard.At, r.yardKnown = o.at("at").point()
}

func (r *reader) readTravel(c cursor) {
	o, ok := c.object("circuity! speed speeds access! known_drives table roads")
	r.day.Travel = plan.Travel{
		Circuity: o.at("circuity").number(1, 5),
		Speed:    quantity(o.at("speed"), unit.ParseSpeed, "2 mph", "80 mph"),
		Access:   quantity(o.at("access"), unit.ParseTime, "0 min", "2 h"),
	}
	r.readSpeeds(o)
	if one, many := o.has("speed"), o.has("speeds"); ok && one == many {
		c.fail("speed-one-way", "Enter speed for all drives, or speeds by their length.", "travel has %s", map[bool]string{true: "speed and speeds", false: "no speed"}[one])
	}
	r.day.Travel.Known = list(o.at("known_drives"), func(c cursor) plan.KnownDrive {
		o, _ := c.object("from! to! time!")
		return plan.KnownDrive{From: o.at("from").text(), To: o.at("to").text(), Time: quantity(o.at("time"), unit.ParseTime, "10 s", "6 h"), Where: c.where()}
	})
	r.readDrives(o.at("table"))
	r.readRoads(o.at("roads"))
}

// readSpeeds reads the speeds by the length of a drive.
func (r *reader) readSpeeds(o object) {
	at := o.at("speeds")
	r.day.Travel.Speeds = list(at, func(c cursor) travel.Pace {
		o, _ := c.object("within speed!")
		return travel.Pace{Within: quantity(o.at("within"), unit.ParseLength, "100 ft", "500 mi"), Speed: quantity(o.at("speed"), unit.ParseSpeed, "2 mph", "80 mph")}
	})
	if len(r.day.Travel.Speeds) == 0 {
		r.day.Travel.Speeds = nil
		return
	}
	if err := r.day.Travel.Speeds.Check(); err != nil && !r.problems.HasErrors() {
		at.fail("speeds-order", "Enter the speeds by ascending distance, each within a longer one, and the last without a distance.", "the speeds of drives are no curve: %v", err)
	}
}

// readRoads reads the map of roads that the day file names: one that is kept, or an extract of OpenStreetMap.
func (r *reader) readRoads(c cursor) {
	name := c.text()
	if name == "" {
		return
	}
	data, err := r.outlines(name)
	if err != nil {
		c.fail("roads-unreadable", "Check the name and the folder of the map of roads.", "the map of roads %s cannot be read: %v", clip(name), err)
		return
	}
	g, found := road.Open(name, data)
	for _, p := range found {
		r.addAt(c, p)
	}
	r.day.Travel.Roads = g
}

// readDrives reads the table of drives that the day file names.
func (r *reader) readDrives(c cursor) {
	name := c.text()
	if name == "" {
		return
	}
	data, err := r.outlines(name)
	if err != nil {
		c.fail("table-unreadable", "Check the name and the folder of the table of drives.", "the table of drives %s cannot be read: %v", clip(name), err)
		return
	}
	table, found := travel.Parse(name, data)
	for _, p := range found {
		r.addAt(c, p)
	}
	r.day.Travel.Table = table
}

func (r *reader) readFillPoint(c cursor) (f plan.FillPoint) {
	o, _ := c.object("name! at! flow! hook_up! hours trucks")
	f.Place = plan.Place{Name: r.declare(kindFill, o.at("name")), Where: c.where()}
	if at := o.at("at"); at.isWord("yard") {
		f.At = r.day.Yard.At
	} else if p, ok := at.point(); ok {
		f.At = p
		r.checkFar(at, "the fill point", p)
	}
	f.Flow = quantity(o.at("flow"), unit.ParseFlow, "0.5 gal/min", "1000 gal/min")
	f.HookUp = quantity(o.at("hook_up"), unit.ParseTime, "0 min", "4 h")
	f.Open, f.Close = o.at("hours").hours("the hours of the fill point")
	f.Trucks = list(o.at("trucks"), func(c cursor) string {
		r.fillTrucks = append(r.fillTrucks, c)
		return c.text()
	})
	return f
}

func (r *reader) readApplicator(c cursor) plan.Applicator {
	o, _ := c.object("name! kind! throws swath! side_step! turn_time! edge_laps gun_off even far_first hose objective")
	a := plan.Applicator{
		Name:      r.declare(kindApplicator, o.at("name")),
		Kind:      oneOf(o.at("kind"), plan.Kinds...),
		Throws:    oneOf(o.at("throws"), calibrate.Rotary, calibrate.Drop),
		Swath:     quantity(o.at("swath"), unit.ParseLength, "6 in", "60 ft"),
		SideStep:  quantity(o.at("side_step"), unit.ParseLength, "0 ft", "60 ft"),
		TurnTime:  quantity(o.at("turn_time"), unit.ParseTime, "0 s", "10 min"),
		GunOff:    quantity(o.at("gun_off"), unit.ParseLength, "0 ft", "100 ft"),
		Even:      o.at("even").boolean(),
		FarFirst:  o.at("far_first").boolean(),
		Hose:      quantity(o.at("hose"), unit.ParseLength, "10 ft", "1500 ft"),
		Objective: oneOf(o.at("objective"), plan.Objectives...),
		Where:     c.where(),
	}
	r.checkSpreader(o, a.Kind)
	if o.has("edge_laps") {
		laps := int(o.at("edge_laps").whole(0, 2))
		a.Laps = &laps
	}
	return a
}

func (r *reader) readOperator(c cursor) plan.Operator {
	o, _ := c.object("name! licence licences catch_tests!")
	p := plan.Operator{Name: r.declare(kindOperator, o.at("name")), Licence: o.at("licence").text(), Licences: readLicences(o.at("licences")), Where: c.where()}
	seen := []string{}
	p.Tests = list(o.at("catch_tests"), func(c cursor) plan.Test {
		t, named := r.readTest(c, p.Name)
		if named && slices.Contains(seen, t.Name()) {
			c.fail("duplicate-test", "Keep the test that holds for this day.", "%s has another catch test with %s", p.Name, t.Name())
		}
		seen = append(seen, t.Name())
		return t
	})
	return p
}

func (r *reader) readTruck(c cursor) plan.Truck {
	o, _ := c.object("name! rated empty tanks hours overtime crew licences starts_at")
	t := plan.Truck{Name: r.declare(kindTruck, o.at("name")), Where: c.where(),
		Rated: quantity(o.at("rated"), unit.ParseMass, "500 lb", "100,000 lb"),
		Empty: quantity(o.at("empty"), unit.ParseMass, "200 lb", "100,000 lb")}
	if o.has("rated") != o.has("empty") {
		c.fail("payload-unknown", "Enter both: rated is on the door label, empty is the truck with crew and gear and empty tanks.", "%s has only one of rated and empty", clip(t.Name))
	}
	r.checkHasTanks(o)
	t.From, t.Until = o.at("hours").hours("the hours of the truck")
	t.NoOvertime = o.has("overtime") && !o.at("overtime").boolean()
	t.Crew = r.readCrew(o.at("crew"))
	t.Licences = readLicences(o.at("licences"))
	if p, ok := o.at("starts_at").point(); ok {
		t.Start = &plan.Place{Name: t.Name, At: p, Where: o.at("starts_at").where()}
		r.checkFar(o.at("starts_at"), "where the truck starts", p)
	}
	seen := []string{}
	t.Tanks = list(o.at("tanks"), func(c cursor) plan.Tank {
		k := r.readTank(c)
		if k.Name != "" && slices.Contains(seen, k.Name) {
			c.fail("duplicate-name", "Give each tank of the truck a name of its own.", "%s has another tank named %q", clip(t.Name), clip(k.Name))
		}
		seen = append(seen, k.Name)
		return k
	})
	return t
}

func (r *reader) readTank(c cursor) plan.Tank {
	o, _ := c.object("name! capacity! heel! mix agitates_from marks holds")
	t := plan.Tank{
		Name:     o.at("name").text(),
		Capacity: quantity(o.at("capacity"), unit.ParseVolume, "1 gal", "10000 gal"),
		Heel:     quantity(o.at("heel"), unit.ParseVolume, "0 gal", "1000 gal"),
		Where:    c.where(),
	}
	if o.has("mix") {
		t.Mix, _ = r.refer(kindMix, o.at("mix"))
		r.notSpread(o.at("mix"), t.Mix)
	}
	t.Agitates = quantity(o.at("agitates_from"), unit.ParseVolume, "0 gal", "10000 gal")
	t.Marks = quantity(o.at("marks"), unit.ParseVolume, "0.1 gal", "1000 gal")
	for _, k := range []string{"agitates_from", "marks"} {
		if v := max(t.Agitates, t.Marks); t.Capacity > 0 && v > t.Capacity && o.has(k) {
			o.at(k).fail("over-tank", "Write a volume up to the tank's.", "%s is over the tank's %s", r.day.Units.Volume(v), r.day.Units.Volume(t.Capacity))
		}
	}
	t.Holds = r.readHeld(o.at("holds"), t.Capacity)
	if t.Capacity > 0 && t.Heel >= t.Capacity {
		s := r.day.Units
		o.at("heel").fail("heel-fills-tank", "Write what the pump cannot draw, and the tank's full capacity.",
			"a heel of %s leaves nothing of a tank of %s", s.Volume(t.Heel), s.Volume(t.Capacity))
	}
	return t
}

// isWord reports whether a text stands here and is the word.
func (c cursor) isWord(word string) bool {
	s, ok := c.node.(interface{ GetValue() any })
	return ok && s.GetValue() == word
}
