package dayfile

import (
	"slices"

	"tankful/calc/unit"
	"tankful/plan"
)

// hours reads "from" and "until", either of which may be missing; both are clock times.
func (c cursor) hours(what string) (from, until unit.Time) {
	o, ok := c.object("from until")
	if !ok {
		return 0, 0
	}
	from, until = o.at("from").clock(), o.at("until").clock()
	switch {
	case !o.has("from") && !o.has("until"):
		c.fail("empty-value", "Write from, until or both, or remove the entry.", "%s have no times", what)
	case until != 0 && until <= from:
		c.fail("window-ends-before-start", "Write the earlier time as from and the later as until.", "%s run from %s until %s", what, clockText(from), clockText(until))
	}
	return from, until
}

// readLunch reads the crew's pause.
func readLunch(c cursor) plan.Pause {
	o, ok := c.object("from! until! length!")
	if !ok {
		return plan.Pause{}
	}
	p := plan.Pause{From: o.at("from").clock(), Until: o.at("until").clock(), Length: quantity(o.at("length"), unit.ParseTime, "5 min", "3 h")}
	if p.Until != 0 && p.Until < p.From {
		c.fail("window-ends-before-start", "Write the earlier time as from and the later as until.", "lunch may begin from %s until %s", clockText(p.From), clockText(p.Until))
	}
	return p
}

// readRinse reads a rule for changing the mix of a tank: how long it takes, that it needs none, or that it must not be.
func (r *reader) readRinse(c cursor) plan.Rinse {
	o, ok := c.object("from to time never")
	x := plan.Rinse{Never: o.at("never").boolean(), Time: quantity(o.at("time"), unit.ParseTime, "0 min", "4 h"), Where: c.where()}
	x.From, _ = r.refer(kindMix, o.at("from"))
	x.To, _ = r.refer(kindMix, o.at("to"))
	r.notSpread(o.at("from"), x.From)
	r.notSpread(o.at("to"), x.To)
	switch {
	case !ok:
	case x.Never && o.has("time"):
		o.at("time").fail("rinse-unclear", "Keep one of the two.", "the change of mix is forbidden and takes a time")
	case !x.Never && !o.has("time"):
		c.fail("missing-key", "Write time: 0 min where none is needed, or never: true.", "the rinse says neither time nor never")
	}
	return x
}

// readCrew reads the names of the operators aboard.
func (r *reader) readCrew(c cursor) []string {
	return list(c, func(c cursor) string {
		name, _ := r.refer(kindOperator, c)
		return name
	})
}

// readLicences reads what an operator or a truck holds: names, or a name with its last day.
func readLicences(c cursor) []plan.Licence {
	return list(c, func(c cursor) plan.Licence {
		if c.node != nil && c.sort() == "a text" {
			return plan.Licence{Name: c.text()}
		}
		o, _ := c.object("name! until!")
		return plan.Licence{Name: o.at("name").text(), Until: o.at("until").date()}
	})
}

// readOff reads the names of trucks and operators who do not work.
func (r *reader) readOff(c cursor) []string {
	known := slices.Concat(r.names[kindTruck], r.names[kindOperator])
	return list(c, func(c cursor) string {
		t := c.text()
		if t != "" && !slices.Contains(known, t) {
			c.fail("unknown-name", suggest(t, known), "there is no truck and no operator named %q", clip(t))
		}
		return t
	})
}

// readHeld reads what a tank has in it in the morning.
func (r *reader) readHeld(c cursor, capacity unit.Volume) *plan.Held {
	o, ok := c.object("mix! reading!")
	if !ok {
		return nil
	}
	h := &plan.Held{Reading: quantity(o.at("reading"), unit.ParseVolume, "0 gal", "10000 gal")}
	h.Mix, _ = r.refer(kindMix, o.at("mix"))
	r.notSpread(o.at("mix"), h.Mix)
	if capacity > 0 && h.Reading > capacity {
		o.at("reading").fail("over-tank", "Write the gauge reading.", "the tank holds %s, and %s are said to be in it", r.day.Units.Volume(capacity), r.day.Units.Volume(h.Reading))
	}
	return h
}

// checkFillTrucks finds trucks of fill points that are none.
func (r *reader) checkFillTrucks() {
	for _, c := range r.fillTrucks {
		if t := c.text(); t != "" && !slices.Contains(r.names[kindTruck], t) {
			c.fail("unknown-name", suggest(t, r.names[kindTruck]), "there is no truck named %q", clip(t))
		}
	}
}
