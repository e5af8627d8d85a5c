package plan

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/road"
	"tankful/plan/travel"
)

// yardWord stands for the yard in tables of drives.
const yardWord = "yard"

// fastest is a drive beyond which a unit or a place is wrong, in metres a second: 200 km/h.
const fastest = 200 / 3.6

// Stand is a place of a day by the name that tables of drives have for it.
type Stand struct {
	Name string
	At   orb.Point
}

// Places are where a day's trucks drive to and from: the yard, the fill points, the properties, and the trucks that start elsewhere.
func (d *Day) Places() []Stand {
	out := []Stand{{yardWord, d.Yard.At}}
	for i := range d.FillPoints {
		out = append(out, Stand{d.FillPoints[i].Name, d.FillPoints[i].At})
	}
	seen := map[string]bool{}
	for i := range d.Stops {
		if s := d.Stops[i].Site; s != nil && !seen[s.Property.ID] {
			seen[s.Property.ID] = true
			out = append(out, Stand{s.Property.ID, standing(s)})
		}
	}
	for i := range d.Trucks {
		if t := &d.Trucks[i]; t.Start != nil {
			out = append(out, Stand{t.Name, t.Start.At})
		}
	}
	return out
}

// DriveSource says where a drive's time is from.
type DriveSource string

// The sources, the first that knows a drive before the others.
const (
	ByTable    DriveSource = "table"    // the user's
	ByService  DriveSource = "service"  // that was asked
	ByRoads    DriveSource = "roads"    // fastest way on a map of roads
	ByEstimate DriveSource = "estimate" // straight distance
)

// sourceWords say in a sentence what drives are by.
var sourceWords = map[DriveSource]string{ByTable: "by your table", ByService: "by the service asked", ByRoads: "by the fastest way on the map of roads", ByEstimate: "estimated from straight distances"}

// driveCell is one drive from place to place.
type driveCell struct {
	time unit.Time
	road unit.Length
	by   DriveSource
}

// drives fills in the driving times between places: from the first source that has them, else estimated.
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
		name(r.starts[i], cmp.Or(d.Trucks[i].known, d.Trucks[i].Name))
	}
	r.shareNames()
	r.fit()
	r.ways()
	count := map[DriveSource]int{}
	var estimated []string
	for i := range r.places {
		row := make([]driveCell, len(r.places))
		times := make([]unit.Time, len(r.places))
		for j := range row {
			if i == j {
				continue
			}
			row[j] = r.cell(i, j)
			times[j] = row[j].time
			if times[j] > 0 {
				count[row[j].by]++
				if row[j].by == ByEstimate {
					estimated = append(estimated, r.names[i][0]+" to "+r.names[j][0])
				}
			}
		}
		r.cells = append(r.cells, row)
		r.day.Drive = append(r.day.Drive, times)
	}
	r.sayDrives(count, estimated)
}

// sayDrives says in the plan where driving times are from, and names the drives that no source has, where there are sources.
func (r *router) sayDrives(count map[DriveSource]int, estimated []string) {
	d := r.maker.day
	var parts []string
	for _, by := range []DriveSource{ByTable, ByService, ByRoads, ByEstimate} {
		if n := count[by]; n > 0 {
			words := sourceWords[by]
			if by == ByEstimate && len(d.Travel.Known) > 0 {
				words += " and " + plural(len(d.Travel.Known), "known drive")
			}
			parts = append(parts, fmt.Sprintf("%s %s", plural(n, "drive"), words))
			if len(count) == 1 {
				parts[0] = words
			}
		}
	}
	r.plan.Driving = "Driving is " + strings.Join(parts, ", ") + "."
	if len(parts) == 0 {
		r.plan.Driving = "There is no driving."
	}
	if d.Travel.Roads != nil {
		r.plan.RoadCredit = d.Travel.Roads.Credit()
	}
	if len(estimated) == 0 || d.Travel.Table == nil && d.Travel.Service == nil && d.Travel.Roads == nil {
		return
	}
	const named = 12
	list := strings.Join(estimated[:min(named, len(estimated))], ", ")
	if n := len(estimated) - named; n > 0 {
		list += fmt.Sprintf(" and %d more", n)
	}
	r.problems.Warnf("drives-estimated", d.Where, "Add these drives to a table, by the names yard, fill point and property id.",
		"%s of %d not known and estimated from straight distances: %s", plural(len(estimated), "drive"), len(r.places)*(len(r.places)-1), list)
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

// cell is the drive from place to place by the first source that has it.
func (r *router) cell(i, j int) driveCell {
	d := r.maker.day
	for _, s := range []struct {
		by    DriveSource
		table *travel.Table
	}{{ByTable, d.Travel.Table}, {ByService, d.Travel.Service}} {
		if c, ok := r.known(s.by, s.table, i, j); ok {
			if c.Road == 0 {
				c.Road = d.Travel.road(r.straight(i, j))
			}
			return driveCell{c.Time, c.Road, s.by}
		}
	}
	if r.straight(i, j) < 10*unit.Metre {
		return driveCell{by: ByEstimate}
	}
	if r.matrix != nil && r.matrix[i][j].OK {
		return driveCell{d.Travel.Access + r.matrix[i][j].Time, r.matrix[i][j].Road, ByRoads}
	}
	return driveCell{r.estimate(i, j), d.Travel.road(r.straight(i, j)), ByEstimate}
}

// known is the drive by a table, under any of the names that the places have.
func (r *router) known(by DriveSource, t *travel.Table, i, j int) (travel.Cell, bool) {
	for _, a := range r.names[i] {
		for _, b := range r.names[j] {
			if c, ok := t.At(a, b); ok {
				straight := geodesic.Distance(r.places[i], r.places[j])
				if float64(straight) > 500 && float64(straight) > fastest*float64(c.Time) {
					r.problems.Errorf("drive-too-fast", r.maker.day.Where, "Check the table's unit of time, and where the places are.",
						"%s the drive from %s to %s, %s apart, takes %s: over 200 km/h", sourceWords[by], a, b, r.maker.day.Units.Distance(straight), unit.Minutes(c.Time))
				}
				return c, true
			}
		}
	}
	return travel.Cell{}, false
}

// farFromRoad is how far a place may be from the road that it is reached by.
const farFromRoad = 500 * unit.Metre

// ways finds the fastest ways between all places on the map of roads, where there is one.
func (r *router) ways() {
	g := r.maker.day.Travel.Roads
	if g == nil {
		return
	}
	r.spots, r.matrix = make([]road.Spot, len(r.places)), make([][]road.Drive, len(r.places))
	var at []int
	var spots []road.Spot
	for i, p := range r.places {
		r.matrix[i] = make([]road.Drive, len(r.places))
		s, err := g.Snap(p, farFromRoad)
		if err != nil {
			r.problems.Warnf("far-from-road", r.maker.day.Where, "Take an extract of the roads with this place in it, or check where it is.",
				"%s is over %s from every road of the map", r.names[i][0], r.maker.day.Units.Distance(farFromRoad))
			continue
		}
		r.spots[i] = s
		at, spots = append(at, i), append(spots, s)
	}
	for k, row := range g.Matrix(spots, spots) {
		for l, d := range row {
			r.matrix[at[k]][at[l]] = d
		}
	}
}

// way is the line of a drive on the map of roads, nil where the drive is not by it.
func (r *router) way(i, j int) []Point {
	if r.cells[i][j].by != ByRoads {
		return nil
	}
	_, line := r.maker.day.Travel.Roads.Path(r.spots[i], r.spots[j])
	out := make([]Point, len(line))
	for k, p := range line {
		out[k] = Point{Lon: p[0], Lat: p[1]}
	}
	return out
}

// estimate is the driving time from the straight distance.
func (r *router) estimate(i, j int) unit.Time {
	return r.access + unit.Time(r.factor)*r.maker.day.Travel.time(r.straight(i, j))
}

func (r *router) straight(i, j int) unit.Length {
	if i == j {
		return 0
	}
	return geodesic.Distance(r.places[i], r.places[j])
}

// road is the way by road from place to place.
func (r *router) road(i, j int) unit.Length { return r.cells[i][j].road }

// road is the estimated way by road for a straight distance.
func (t Travel) road(straight unit.Length) unit.Length { return unit.Length(t.Circuity) * straight }

// time is the estimated time for a straight distance, without access and before it is fitted.
func (t Travel) time(straight unit.Length) unit.Time {
	if len(t.Speeds) > 0 {
		return t.Speeds.Time(t.road(straight))
	}
	return t.road(straight).Over(t.Speed)
}

// fit takes the estimate as it is given, or fits it to the known drives.
func (r *router) fit() {
	t := &r.maker.day.Travel
	r.factor, r.access = 1, t.Access
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
		known, of = append(known, travel.Known{Estimate: t.time(r.straight(i, j)), Time: k.Time}), append(of, k)
	}
	f, err := travel.Fit(known, t.Access)
	if errors.Is(err, travel.ErrFewDrives) {
		return
	}
	if err != nil {
		r.problems.Errorf("drives-unlikely", r.maker.day.Where, "Check the times and the places of the known drives.", "%v", err)
		return
	}
	r.factor, r.access = f.Factor, f.Access
	worst := 0
	for i := range f.Off {
		if abs(f.Off[i]) > abs(f.Off[worst]) {
			worst = i
		}
	}
	pace := fmt.Sprintf("%s times the speeds given", unit.Number(1/f.Factor, 2))
	if len(t.Speeds) == 0 {
		pace = r.maker.day.Units.Speed(t.Speed/unit.Speed(f.Factor)) + " by road"
	}
	r.problems.Notef("drives-fitted", r.maker.day.Where, "Time more drives, near and far.",
		"driving is estimated from %s: %s and %s for each drive; the one from %s to %s is %s off", plural(len(known), "known drive"),
		pace, unit.Minutes(f.Access), of[worst].From, of[worst].To, unit.Minutes(abs(f.Off[worst])))
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
