package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/pass"
)

func passesCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	f := passFlags{applicator: plan.Applicator{Name: "applicator", Swath: 7 * unit.Foot, SideStep: 6 * unit.Foot,
		TurnTime: 6 * unit.Second}} // an assumption, printed in the help; time it in the field
	var asJSON, each bool
	var lines, strips string
	var maps [2]string // folders of drawings, of pictures
	cmd := &cobra.Command{
		Use:   "passes FILE...",
		Short: "Lay numbered passes over the measured turf",
		Long: `Lays passes for a swath over each property, numbered in walking order. The turf is
divided into sections of one direction each where that saves passes, and narrow strips are
walked along their edge. The swath is the pass spacing, the same figure that the catch
test was walked for; the thrown width is another.

A hand gun or backpack closes at the turf's edge; a boom, ride-on or spreader covers its
whole width, and walks an edge lap first unless --edge-laps says otherwise. No pass runs
over a building or water, nor over a bed or hardscape for longer than the side step.

With --rate it gives the mix needed, and with --on-board and --tank the points where
tankfuls run dry; with a truck (in the file, or by --truck) how much hose is needed, round
buildings and beds; with --pace how long the walk takes.`,
		Example: `  tankful passes --swath "7 ft" lots.geojson
  tankful passes --each --rate "2 gal/1000 sq ft" --on-board "60 gal" --tank "100 gal" lots.geojson
  tankful passes --only gull-row-11 --truck "-41.2001,38.5" --hose "150 ft" --far-first --png maps lots.geojson
  tankful passes --swath "3 m" --kind boom --geojson passes.geojson --json field.geojson`,
		Args: files,
	}
	units := unitsFlag(cmd)
	outlines.add(cmd)
	outlines.addMeasuring(cmd)
	f.add(cmd)
	cmd.Flags().BoolVar(&each, "each", false, "print every pass")
	cmd.Flags().StringVar(&lines, "geojson", "", "write each pass as a line to this GeoJSON `file`")
	cmd.Flags().StringVar(&strips, "strips", "", "write the turf of each pass to this GeoJSON `file`")
	cmd.Flags().StringVar(&maps[0], "svg", "", "draw a map of each property into this `folder`")
	cmd.Flags().StringVar(&maps[1], "png", "", "the same as a picture, for a phone, into this `folder`")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, in SI units")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := f.check(cmd); err != nil {
			return err
		}
		sites, found, err := outlines.sites(cmd.Context(), e, cmd, args)
		if err != nil {
			return err
		}
		if sites, err = f.chosen(cmd, sites); err != nil {
			return err
		}
		laid, more, err := f.layAll(cmd, e, sites)
		if err != nil {
			return err
		}
		all := allProblems(append(found, more...), sites)
		if asJSON {
			err = printJSON(e.out, struct {
				Properties []passesJSON `json:"properties"`
				Problems   problem.List `json:"problems"`
			}{passesInJSON(laid), all})
		} else {
			err = printPasses(e.out, laid, &f, *units, each)
		}
		if err != nil {
			return err
		}
		for _, shapes := range []struct {
			path  string
			write func(string, []covered) error
		}{{lines, writePasses}, {strips, writeStrips}} {
			if shapes.path != "" && all.HasErrors() {
				fmt.Fprintf(e.err, "tankful: %s is not written: not every property has its passes\n", shapes.path)
			} else if shapes.path != "" {
				if err := shapes.write(shapes.path, laid); err != nil {
					return err
				}
			}
		}
		for i, ending := range []string{".svg", ".png"} {
			if maps[i] == "" {
				continue
			}
			if err := drawPasses(cmd.Context(), e, maps[i], ending, laid, *units); err != nil {
				return err
			}
		}
		return endProblems(e, all)
	}
	return cmd
}

// passFlags is how passes are laid and what is asked about them.
type passFlags struct {
	applicator plan.Applicator
	kind, aim  string
	bearing    float64
	laps       int
	trucks     []string
	places     []orb.Point
	pace       unit.Speed
	rate       unit.VolumePerArea
	onBoard    unit.Volume
	tank       unit.Volume
	loads      bool // whether where tankfuls run dry is asked
	only       []string
	laying     plan.Laying
}

func (f *passFlags) add(cmd *cobra.Command) {
	a, fs := &f.applicator, cmd.Flags()
	fs.StringArrayVar(&f.only, "only", nil, "lay passes over this `property` of the files alone; may be repeated")
	fs.Var(&a.Swath, "swath", "pass spacing (7 ft when not given; it is printed)")
	fs.Lookup("swath").DefValue = "7 ft"
	fs.StringVar(&f.kind, "kind", string(plan.Gun), "`applicator`: "+words(plan.Kinds))
	completeWith(cmd, "kind", kindNames()...)
	fs.Var(&a.SideStep, "side-step", "longest stretch of bed or hardscape that is walked across")
	fs.Lookup("side-step").DefValue = "6 ft"
	fs.Var(&a.GunOff, "gun-off", "longest drive or walk crossed with the gun shut to go on beyond it (default: none is)")
	fs.IntVar(&f.laps, "edge-laps", 0, "walks along the edge first, 0 to 2 (default: 1 for a fixed width, else 0)")
	fs.BoolVar(&a.Even, "even", false, "draw the passes of a section together so that they divide its width exactly")
	fs.StringVar(&f.aim, "objective", string(plan.LeastTime), "lay them for the least `time`, passes or length")
	completeWith(cmd, "objective", string(plan.LeastTime), string(plan.FewestPasses), string(plan.LeastSpray))
	fs.Float64Var(&f.bearing, "bearing", 0, "one direction for all, in `degrees` from north (default: the best ones)")
	fs.StringArrayVar(&f.trucks, "truck", nil, "where the truck stands, as `lon,lat`; may be repeated (default: as the file says)")
	fs.Var(&a.Hose, "hose", "length of the hose from the truck")
	fs.BoolVar(&a.FarFirst, "far-first", false, "begin at the far end, so that the hose is drawn in over dry turf")
	fs.Var(&f.pace, "pace", "calibrated pace, for the minutes")
	fs.Var(&a.TurnTime, "turn-time", "time of a turn, for the minutes (with --pace)")
	fs.Lookup("turn-time").DefValue = "6 s"
	fs.Var(&f.rate, "rate", "calibrated rate of finished mix, for how much is needed and where tankfuls run dry")
	fs.Var(&f.onBoard, "on-board", "mix in the tank at the first pass of each property, above the heel (default: a tank)")
	fs.Var(&f.tank, "tank", "what each later tankful puts out (default: there is no other)")
	for _, name := range []string{"pace", "rate", "on-board", "tank", "hose", "gun-off"} {
		fs.Lookup(name).DefValue = "" // 0 of the unit of the measure says nothing
	}
}

// words lists kinds for a help text.
func words[T ~string](list []T) string {
	var out []string
	for _, w := range list {
		out = append(out, string(w))
	}
	return strings.Join(out[:len(out)-1], ", ") + " or " + out[len(out)-1]
}

func kindNames() (names []string) {
	for _, k := range plan.Kinds {
		names = append(names, string(k))
	}
	return names
}

// check finishes the flags, and gives all that is wrong with them.
func (f *passFlags) check(cmd *cobra.Command) error {
	var wrong []string
	bad := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	a, given := &f.applicator, cmd.Flags().Changed
	if a.Kind = plan.ApplicatorKind(f.kind); !slices.Contains(plan.Kinds, a.Kind) {
		bad("--kind %q is not %s", f.kind, words(plan.Kinds))
	}
	if a.Objective = plan.Objective(f.aim); !slices.Contains(plan.Objectives, a.Objective) {
		bad("--objective %q is not %s", f.aim, words(plan.Objectives))
	}
	switch {
	case !(a.Swath > 0):
		bad("--swath must be above zero")
	case a.Swath < 6*unit.Inch || a.Swath > 200*unit.Foot:
		bad("--swath of %s is not a pass spacing (6 in to 200 ft)", unit.US.Length(a.Swath))
	}
	for _, x := range []struct {
		flag string
		ok   bool
		most string
	}{
		{"side-step", a.SideStep >= 0 && a.SideStep <= 60*unit.Foot, "from 0 to 60 ft"},
		{"gun-off", a.GunOff >= 0 && a.GunOff <= 100*unit.Foot, "from 0 to 100 ft"},
		{"hose", !given("hose") || a.Hose >= 10*unit.Foot && a.Hose <= 1500*unit.Foot, "from 10 to 1,500 ft"},
		{"edge-laps", f.laps >= 0 && f.laps <= 2, "0, 1 or 2"},
		{"bearing", f.bearing >= 0 && f.bearing < 360, "from 0 to under 360 degrees"},
		{"pace", !given("pace") || f.pace >= 0.5*unit.MilePerHour && f.pace <= 15*unit.MilePerHour, "from 0.5 to 15 mph"},
		{"turn-time", a.TurnTime >= 0 && a.TurnTime <= 10*unit.Minute, "from 0 to 10 min"},
		{"rate", !given("rate") || f.rate > 0, "above zero"},
		{"on-board", !given("on-board") || f.onBoard >= 0, "not below zero"},
		{"tank", !given("tank") || f.tank > 0, "above zero"},
	} {
		if !x.ok {
			bad("--%s must be %s", x.flag, x.most)
		}
	}
	for _, t := range f.trucks {
		at, err := place(t)
		if err != nil {
			bad("--truck %q %s", t, err)
		}
		f.places = append(f.places, at)
	}
	f.loads = given("on-board") || given("tank")
	switch {
	case f.loads && !given("rate"):
		bad("--on-board and --tank need --rate, the calibrated rate of finished mix")

	case given("rate") && a.Kind == plan.Spreader:
		bad("--rate is of a mix, and a spreader carries none")
	}
	if given("turn-time") && !given("pace") {
		bad("--turn-time needs --pace")
	}
	if len(wrong) > 0 {
		return &usageError{strings.Join(wrong, "\n"), exampleLine(cmd)}
	}
	if given("edge-laps") {
		a.Laps = &f.laps
	}
	if !given("on-board") { // the first tankful is a full one
		f.onBoard = f.tank
	}
	f.laying.Pace = f.pace
	if given("bearing") {
		f.laying.Bearing = &f.bearing
	}
	return nil
}

// place reads a place as longitude and latitude in degrees.
func place(text string) (orb.Point, error) {
	lon, lat, two := strings.Cut(text, ",")
	x, err1 := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	y, err2 := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	switch {
	case !two || err1 != nil || err2 != nil:
		return orb.Point{}, errors.New(`is no place: write longitude, comma, latitude in degrees, such as "-41.2,38.5"`)
	case !(x >= -180 && x <= 180) || !(y >= -90 && y <= 90):
		return orb.Point{}, errors.New("is not on the Earth: longitude comes first, from -180 to 180, then latitude, from -90 to 90")
	}
	return orb.Point{x, y}, nil
}

// chosen are the sites that --only asks for, all without it.
func (f *passFlags) chosen(cmd *cobra.Command, sites []*geo.Site) ([]*geo.Site, error) {
	if len(f.only) == 0 {
		return sites, nil
	}
	const listed = 8 // names are enough to see how they are written
	var have []string
	for _, s := range sites {
		have = append(have, s.Property.ID)
	}
	for _, id := range f.only {
		if !slices.Contains(have, id) {
			text := fmt.Sprintf("--only: the files have no property %q; they have %s", id, strings.Join(have[:min(len(have), listed)], ", "))
			if more := len(have) - listed; more > 0 {
				text += fmt.Sprintf(" and %d more", more)
			}
			return nil, &usageError{text, exampleLine(cmd)}
		}
	}
	return slices.DeleteFunc(sites, func(s *geo.Site) bool { return !slices.Contains(f.only, s.Property.ID) }), nil
}

// covered is a property with its passes, nil when they could not be laid.
type covered struct {
	site *geo.Site
	laid *pass.Plan
	plan *passesPlan
}

// passesPlan is what is printed of a property's passes.
type passesPlan struct {
	plan.PassPlan
	// Dry is where tankfuls run dry, in walking order.
	Dry []plan.DryPlace `json:"dry"`
}

// layAll lays the passes of every site that was measured without error.
func (f *passFlags) layAll(cmd *cobra.Command, e *env, sites []*geo.Site) ([]covered, problem.List, error) {
	var out []covered
	var found problem.List
	p := e.progress("laying passes", len(sites))
	defer p.end()
	for _, s := range sites {
		if err := interrupted(cmd.Context()); err != nil {
			return nil, nil, err
		}
		p.step()
		c := covered{site: s}
		if !s.Problems.HasErrors() {
			if len(f.places) > 0 {
				s.Property.Trucks = f.places
			}
			if far := farTrucks(s); far != nil {
				found, out = append(found, far...), append(out, c)
				continue
			}
			laid, err := plan.LayPasses(s, &f.applicator, f.laying)
			if err != nil {
				found = append(found, plan.PassProblem(err, s.Property.Where))
			} else {
				c.laid, c.plan = laid, f.told(s, laid)
				found = append(found, f.onWater(s, laid)...)
			}
		}
		out = append(out, c)
	}
	return out, found, nil
}

// farthestTruck is further than any hose reaches from a truck.
const farthestTruck = 2 * unit.Kilometre

// farTrucks finds places of the truck that can not be meant.
func farTrucks(s *geo.Site) (found problem.List) {
	for _, t := range s.Property.Trucks {
		at := s.Frame.Forward(t)
		if d := unit.Length(math.Hypot(at[0], at[1])); d > farthestTruck {
			found.Errorf("truck-far", s.Property.Where, "Write longitude first, then latitude, of where the truck stands.",
				"the truck at %g,%g stands %s from the property", t[0], t[1], unit.Metric.Distance(d))
		}
	}
	return found
}

// onWater warns of a fixed width that reaches over water.
func (f *passFlags) onWater(s *geo.Site, laid *pass.Plan) (found problem.List) {
	if a := laid.Onto[geo.Water]; a >= 1*unit.SquareFoot { // less is the rounding of a drawn shore
		found.Warnf("onto-water", s.Property.Where, "Shut off before the water, keep off it (--keep-off \"water=10 ft\"), or spray that edge with what is shut at the turf's edge.",
			"at %s the whole width of the %s puts mix on about %s of water", s.Property.ID, f.applicator.Kind, unit.US.Area(a))
	}
	return found
}

// told is what is printed of the passes.
func (f *passFlags) told(s *geo.Site, laid *pass.Plan) *passesPlan {
	p := &passesPlan{PassPlan: plan.PassesOf(s, laid), Dry: []plan.DryPlace{}}
	if f.pace > 0 {
		p.Walk = laid.Minutes(f.pace, f.applicator.TurnTime)
	}
	if f.rate > 0 {
		p.PutOut(f.rate)
		if f.loads {
			p.Dry = plan.DryPlaces(s, laid, f.rate, f.onBoard, f.tank)
		}
	}
	return p
}
