package dayfile

import (
	"bytes"
	"fmt"
	"maps"
	"path"

	"slices"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/crs"
	"tankful/geo/geodesic"
	"tankful/geo/intake"
	"tankful/geo/intake/raw"
	"tankful/plan"
)

// stopEntry is a stop that could be read, with its place in the file.
type stopEntry struct {
	object
	stop    plan.Stop
	outline string // the file that its property is in
}

// outlineFile is an outline file, read once.
type outlineFile struct {
	properties []*geo.Property
	problems   problem.List
	unread     bool
}

// readOutlines reads how outline files are to be understood. What the caller set stays.
func (r *reader) readOutlines(c cursor) {
	o, ok := c.object("surface_key group_key surface_map accuracy bias line_width keep_off edges crs")
	if !ok {
		return
	}
	if key := o.at("surface_key").text(); r.opt.SurfaceKey == "" {
		r.opt.SurfaceKey = key
	}
	if key := o.at("group_key").text(); r.opt.GroupKey == "" {
		r.opt.GroupKey = key
	}
	words := o.at("surface_map").surfaceMap()
	maps.Copy(words, r.opt.SurfaceMap)
	if len(words) > 0 {
		r.opt.SurfaceMap = words
	}
	r.measuring.Accuracy = quantity(o.at("accuracy"), unit.ParseLength, "1 mm", "30 ft")
	r.measuring.Bias = quantity(o.at("bias"), unit.ParseLength, "1 mm", "30 ft")
	r.measuring.Edges = oneOf(o.at("edges"), geodesic.LonLat, geodesic.Geodesic)
	r.measuring.Strips = o.at("keep_off").strips()
	if w := quantity(o.at("line_width"), unit.ParseLength, "1 cm", "300 ft"); r.opt.LineWidth == 0 {
		r.opt.LineWidth = w
	}
	if at := o.at("crs"); at.text() != "" && r.opt.CRS == nil {
		system, err := crs.Parse(at.text())
		if err != nil {
			at.fail("other-crs", "Write a code such as EPSG:26915 or \"UTM 15N\".", "%v", err)
		}
		r.opt.CRS = system
	}
}

// strips reads pairs of a surface and the width of the keep-off strip along its edge.
func (c cursor) strips() map[geo.Surface]unit.Length {
	m := map[geo.Surface]unit.Length{}
	o, _ := c.pairs()
	for _, word := range slices.Sorted(maps.Keys(o.values)) {
		at := o.values[word]
		if s := geo.Surface(word); !slices.Contains(surfaces, s) {
			at.fail("unknown-word", suggest(word, surfaceWords()), "%s is no surface", clip(word))
		} else {
			m[s] = quantity(at, unit.ParseLength, "1 cm", "300 ft")
		}
	}
	return m
}

func surfaceWords() []string {
	out := make([]string, len(surfaces))
	for i, s := range surfaces {
		out[i] = string(s)
	}
	return out
}

// surfaceMap reads pairs of a word in the outline files and the surface that it stands for.
func (c cursor) surfaceMap() map[string]geo.Surface {
	m := map[string]geo.Surface{}
	o, _ := c.pairs()
	for _, word := range slices.Sorted(maps.Keys(o.values)) {
		if s := oneOf(o.values[word], surfaces...); s != "" {
			m[word] = s
		}
	}
	return m
}

// readStops reads the stops; setUp is the file's own default, used where it is given.
func (r *reader) readStops(c cursor, setUp unit.Time) {
	for _, stops := range list(c, func(c cursor) []plan.Stop { return r.readStop(c, setUp) }) {
		r.day.Stops = append(r.day.Stops, stops...)
	}
}

// readStop reads a stop: one for each of its mixes, which share the property, its window and its set-up.
func (r *reader) readStop(c cursor, setUp unit.Time) []plan.Stop {
	o, ok := c.object(stopKeys)
	return r.stopOf(o, ok, setUp)
}

const stopKeys = "outline! property name mix mixes truck grass notes window set_up first last whole needs"

// stopOf is a stop from its keys; not ok when they are none.
func (r *reader) stopOf(o object, ok bool, setUp unit.Time) []plan.Stop {
	c := o.cursor
	s := plan.Stop{Where: c.where(), Notes: o.at("notes").text(), Grass: o.at("grass").text(), SetUp: setUp,
		First: o.at("first").boolean(), Last: o.at("last").boolean(), Whole: o.at("whole").boolean()}
	mixes := list(o.at("mixes"), func(c cursor) string {
		m, _ := r.refer(kindMix, c)
		return m
	})
	switch {
	case !ok:
	case o.has("mix") && o.has("mixes"):
		o.at("mixes").fail("mix-unclear", "Keep mix for one, mixes for several.", "the stop has both mix and mixes")
	case !o.has("mix") && !o.has("mixes"):
		o.at("mix").fail("missing-key", "Add mix: "+suggest("", r.names[kindMix]), "mix is missing")
	}
	if !o.has("mixes") {
		m, _ := r.refer(kindMix, o.at("mix"))
		mixes = []string{m}
	}
	s.Truck, _ = r.refer(kindTruck, o.at("truck"))
	s.Needs = list(o.at("needs"), func(c cursor) string { return c.text() })
	if s.First && s.Last {
		o.at("last").fail("first-and-last", "Keep one of the two.", "the stop is to be both first and last")
	}
	switch at := o.at("set_up"); {
	case at.node != nil:
		s.SetUp = quantity(at, unit.ParseTime, "0 min", "4 h")
	case ok && setUp == 0 && !r.setUpGiven:
		at.fail("missing-key", "Add set_up here, or once at the top of the file for all stops.", "set_up is missing")
	}
	s.From, s.Until = r.readWindow(o.at("window"))
	path, name := o.at("outline").text(), o.at("name").text()
	if p := r.property(o, path); p != nil {
		named := *p
		if name != "" {
			named.Name = name
		}
		s.Site = r.measure(o, path, &named)
	}
	out := make([]plan.Stop, len(mixes))
	for i, m := range mixes {
		out[i] = s
		out[i].Mix = m
		if s.Site != nil {
			r.stops = append(r.stops, stopEntry{object: o, stop: out[i], outline: path})
		}
	}
	return out
}

func (r *reader) readWindow(c cursor) (from, until unit.Time) {
	o, ok := c.object("from until")
	if !ok {
		return 0, 0
	}
	from, until = o.at("from").clock(), o.at("until").clock()
	start, end := r.day.Start, r.day.End
	switch {
	case !o.has("from") && !o.has("until"):
		c.fail("empty-value", "Write from, until or both, or remove the window.", "the window has no times")
	case until != 0 && until < from:
		c.fail("window-ends-before-start", "Write the earlier time as from and the later as until.",
			"the window runs from %s until %s", clockText(from), clockText(until))
	case until != 0 && until < start:
		c.fail("window-outside-day", "Start the day earlier, or move the window.", "the window closes at %s, before the day starts at %s", clockText(until), clockText(start))
	case end > start && from >= end:
		c.fail("window-outside-day", "End the day later, or move the window.", "the window opens at %s and the day ends at %s", clockText(from), clockText(end))
	}
	return from, until
}

// property finds the property that a stop names, nil when there is none (and that is reported).
func (r *reader) property(o object, path string) *geo.Property {
	id := o.at("property").text()
	if path == "" {
		return nil
	}
	f := r.outlineFile(o.at("outline"), path)
	if f.unread || len(f.properties) == 0 {
		return nil
	}
	ids := make([]string, len(f.properties))
	for i, p := range f.properties {
		ids[i] = p.ID
	}
	if id == "" {
		if len(ids) > 1 && !o.has("property") {
			o.at("property").fail("which-property", suggest("", ids), "%s holds %d properties and the stop does not say which", clip(path), len(ids))
		}
		if len(ids) == 1 {
			return f.properties[0]
		}
		return nil
	}
	if i := slices.Index(ids, id); i >= 0 {
		return f.properties[i]
	}
	o.at("property").fail("unknown-name", suggest(id, ids), "%s holds no property %q", clip(path), clip(id))
	return nil
}

// outlineFile reads a file the first time that a stop names it; its problems stand once.
func (r *reader) outlineFile(c cursor, name string) *outlineFile {
	if f, ok := r.files[name]; ok {
		return f
	}
	f := &outlineFile{}
	r.files[name] = f
	data, err := r.outlines(name)
	if err != nil {
		f.unread = true
		c.fail("outline-unreadable", "Check the name and the folder of the outline file.", "the outline file %s cannot be read: %v", clip(name), err)
		return f
	}
	f.properties, f.problems = intake.ReadInput(raw.Input{Name: name, Data: bytes.NewReader(data), Size: int64(len(data)),
		Beside: func(ending string) ([]byte, error) {
			return r.outlines(strings.TrimSuffix(name, path.Ext(name)) + ending)
		}}, r.opt)
	for _, p := range f.problems {
		r.addAt(c, p)
	}
	if len(f.properties) == 0 && !f.problems.HasErrors() {
		c.fail("no-properties", "Name a file that holds outlines.", "%s holds no properties", clip(name))
	}
	return f
}

// addAt adds a problem of an outline file with the place in the day file in front.
func (r *reader) addAt(c cursor, p problem.Problem) {
	p.Where = c.where() + ": " + p.Where
	r.problems = append(r.problems, p)
}

func (r *reader) measure(o object, path string, p *geo.Property) *geo.Site {
	site := geo.Measure(p, r.measuring)
	for _, q := range site.Problems {
		if !slices.Contains(r.files[path].problems, q) {
			r.addAt(o.cursor, q)
		}
	}
	if at, ok := anyPoint(p); ok {
		r.checkFar(o.at("outline"), clip(p.Name), at)
	}
	return site
}

// anyPoint is a point of the property.
func anyPoint(p *geo.Property) (orb.Point, bool) {
	for _, o := range p.Outlines {
		for _, poly := range o.Polygon {
			for _, ring := range poly {
				if len(ring) > 0 {
					return ring[0], true
				}
			}
		}
	}
	if len(p.Trucks) > 0 {
		return p.Trucks[0], true
	}
	return orb.Point{}, false
}

// checkFar refuses what lies too far from the yard for a day's work; swapped coordinates are
// the usual reason, and two points alone do not tell whose.
func (r *reader) checkFar(c cursor, what string, at orb.Point) {
	yard := r.day.Yard.At
	d := geodesic.Distance(yard, at)
	if !r.yardKnown || d <= plan.Farthest {
		return
	}
	fix := "Check the longitude and latitude here and at the yard."
	if at[0] >= -90 && at[0] <= 90 && geodesic.Distance(yard, orb.Point{at[1], at[0]}) <= plan.Farthest {
		fix = "Swap longitude and latitude, here or at the yard: the two then lie near each other."
	}
	c.fail("far-from-yard", fix, "%s lies %s from the yard; up to %s is taken", what, r.day.Units.Distance(d), r.day.Units.Distance(plan.Farthest))
}

// checkStops finds stops that clash.
func (r *reader) checkStops() {
	type key struct{ id, mix string }
	twice, from := map[key]string{}, map[string]string{}
	for _, e := range r.stops {
		id := e.stop.Site.Property.ID
		if f, ok := from[id]; ok && f != e.outline {
			e.at("property").fail("property-twice", "Give each property an id of its own.", "%s and %s both hold a property %q", clip(f), clip(e.outline), clip(id))
			continue
		}
		from[id] = e.outline
		k := key{id, e.stop.Mix}
		if first, ok := twice[k]; ok {
			e.fail("stop-twice", "Remove one of the two, or give one another mix.", "%s gets %q twice, first at %s", clip(id), clip(e.stop.Mix), first)
			continue
		}
		twice[k] = e.where()
	}
}

// checkTanks finds mixes that no tank of their truck is left for: a tank holds one mix all day.
func (r *reader) checkTanks() {
	if len(r.day.Rinses) > 0 {
		return // a tank may change its mix
	}
	for _, t := range r.day.Trucks {
		free, own := 0, map[string]bool{}
		for _, k := range t.Tanks {
			if k.Mix != "" && !slices.Contains(r.names[kindMix], k.Mix) {
				free += len(r.names[kindMix]) // reported; whichever it is meant to be
			}
			if k.Mix == "" {
				free++
			}
			own[k.Mix] = true
		}
		asked := map[string]bool{}
		for _, s := range r.day.Stops {
			if s.Mix == "" || r.day.Spread(s.Mix) || own[s.Mix] || asked[s.Mix] || s.Truck != t.Name && !(s.Truck == "" && len(r.day.Trucks) == 1) {
				continue
			}
			asked[s.Mix] = true
			if free--; free < 0 {
				r.problems.Errorf("no-tank", s.Where+".mix", fmt.Sprintf("Give %q a tank on %s, or another truck to the stop.", clip(s.Mix), clip(t.Name)),
					"%s has no tank for %q: its %d tanks hold other mixes", clip(t.Name), clip(s.Mix), len(t.Tanks))
			}
		}
	}
}

// checkUse remarks on mixes that no stop gets.
func (r *reader) checkUse() {
	for _, m := range r.day.Mixes {
		if m.Name != "" && !slices.ContainsFunc(r.day.Stops, func(s plan.Stop) bool { return s.Mix == m.Name }) {
			r.problems.Notef("unused-mix", m.Where, "Remove it if no stop should get it.", "no stop gets %q", clip(m.Name))
		}
	}
}
