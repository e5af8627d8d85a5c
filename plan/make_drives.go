package plan

import (
	"errors"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/plan/travel"
)

// yardWord stands for the yard in tables of drives.
const yardWord = "yard"

// fastest is a drive beyond which a unit or a place is wrong, in metres a second: 200 km/h.
const fastest = 200 / 3.6

// drives fills in the driving times between places: from the table where it has them, else estimated.
func (r *router) drives() {
	d := r.maker.day
	r.names = make([][]string, len(r.places))
	name := func(place int, n string) { r.names[place] = append(r.names[place], n) }
	name(0, yardWord)
	if d.Yard.Name != "" {
		name(0, d.Yard.Name)
	}
	for i := range r.day.Fills {
		name(r.day.Fills[i].Place, d.FillPoints[i].Name)
	}
	for k := range r.work {
		name(r.stops[k], r.plan.Stops[k].Property)
	}
	for i := range d.Trucks {
		name(r.starts[i], d.Trucks[i].Name)
	}
	r.shareNames()
	r.fit()
	missing := 0
	for i := range r.places {
		row := make([]unit.Time, len(r.places))
		for j := range row {
			c, ok := r.known(i, j)
			if row[j] = c.Time; !ok {
				row[j] = r.estimate(i, j)
				if d.Travel.Table != nil && row[j] > 0 {
					missing++
				}
			}
		}
		r.day.Drive = append(r.day.Drive, row)
	}
	r.plan.Driving = "Driving is estimated from straight distances"
	if len(d.Travel.Known) > 0 {
		r.plan.Driving += " and " + plural(len(d.Travel.Known), "known drive")
	}
	if d.Travel.Table != nil {
		r.plan.Driving = "Driving is by your table of drives"
		if missing > 0 {
			r.plan.Driving += ", " + plural(missing, "drive") + " estimated"
		}
	}
	r.plan.Driving += "."
	if missing > 0 {
		r.problems.Warnf("drives-estimated", d.Where, "Add the drives to the table, by the names yard, fill point and property id.",
			"the table of drives has not all of them: %d of %d are estimated from straight distances", missing, len(r.places)*(len(r.places)-1))
	}
}

// shareNames gives places within a truck's length of each other all their names: a hydrant in the yard is the yard.
func (r *router) shareNames() {
	own := slices.Clone(r.names)
	for i := range r.places {
		for j := range r.places {
			if i != j && r.straight(i, j) < 10*unit.Metre {
				r.names[i] = append(slices.Clone(r.names[i]), own[j]...)
			}
		}
	}
}

// known is the drive by the table, under any of the names that the places have.
func (r *router) known(i, j int) (travel.Cell, bool) {
	for _, a := range r.names[i] {
		for _, b := range r.names[j] {
			if c, ok := r.maker.day.Travel.Table.At(a, b); ok && i != j {
				straight := geodesic.Distance(r.places[i], r.places[j])
				if float64(straight) > 500 && float64(straight) > fastest*float64(c.Time) {
					r.problems.Errorf("drive-too-fast", r.maker.day.Where, "Check the table's unit of time, and where the places are.",
						"by the table the drive from %s to %s, %s apart, takes %s: over 200 km/h", a, b, r.maker.day.Units.Distance(straight), unit.Minutes(c.Time))
				}
				return c, true
			}
		}
	}
	return travel.Cell{}, false
}

// estimate is the driving time from the straight distance; places within a truck's length are one.
func (r *router) estimate(i, j int) unit.Time {
	road := r.maker.day.Travel.road(r.straight(i, j))
	if road < 10*unit.Metre {
		return 0
	}
	return r.access + unit.Time(r.perMetre*float64(r.straight(i, j)))
}

func (r *router) straight(i, j int) unit.Length {
	if i == j {
		return 0
	}
	return geodesic.Distance(r.places[i], r.places[j])
}

// road is the way by road from place to place.
func (r *router) road(i, j int) unit.Length {
	if c, ok := r.known(i, j); ok && c.Road > 0 {
		return c.Road
	}
	return r.maker.day.Travel.road(r.straight(i, j))
}

// road is the estimated way by road for a straight distance.
func (t Travel) road(straight unit.Length) unit.Length { return unit.Length(t.Circuity) * straight }

// fit takes circuity, speed and access as they are given, or from the known drives.
func (r *router) fit() {
	t := &r.maker.day.Travel
	r.perMetre, r.access = t.Circuity/float64(t.Speed), t.Access
	if len(t.Known) == 0 {
		return
	}
	var known []travel.Known
	var of []KnownDrive
	for _, k := range t.Known {
		i, j := r.named(k.From), r.named(k.To)
		if i < 0 || j < 0 {
			r.problems.Warnf("drive-of-nowhere", orElse(k.Where, r.maker.day.Where), "Name yard, a fill point, or the id of a property of the day.", "no place of the day is called %q or %q, so that their drive tells nothing", k.From, k.To)
			continue
		}
		known, of = append(known, travel.Known{Straight: r.straight(i, j), Time: k.Time}), append(of, k)
	}
	f, err := travel.Fit(known, t.Access)
	if errors.Is(err, travel.ErrFewDrives) {
		return
	}
	if err != nil {
		r.problems.Errorf("drives-unlikely", r.maker.day.Where, "Check the times and the places of the known drives.", "%v", err)
		return
	}
	r.perMetre, r.access = 1/float64(f.Speed), f.Access
	worst := 0
	for i := range f.Off {
		if abs(f.Off[i]) > abs(f.Off[worst]) {
			worst = i
		}
	}
	r.problems.Notef("drives-fitted", r.maker.day.Where, "Time more drives, near and far.",
		"driving is estimated from %s: %s by road and %s for each drive; the one from %s to %s is %s off", plural(len(known), "known drive"),
		r.maker.day.Units.Speed(unit.Speed(t.Circuity)*f.Speed), unit.Minutes(f.Access), of[worst].From, of[worst].To, unit.Minutes(abs(f.Off[worst])))
}

func abs(t unit.Time) unit.Time { return max(t, -t) }

// named is the place of a name, -1 for none.
func (r *router) named(name string) int {
	for i, names := range r.names {
		for _, n := range names {
			if strings.EqualFold(n, name) {
				return i
			}
		}
	}
	return -1
}
