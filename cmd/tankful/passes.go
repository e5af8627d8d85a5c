package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"github.com/paulmach/orb"
	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

func passesCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	var asJSON bool
	var kind, lines string
	var bearing float64
	a := plan.Applicator{Name: "applicator", Swath: 7 * unit.Foot, SideStep: 6 * unit.Foot}
	cmd := &cobra.Command{
		Use:   "passes FILE...",
		Short: "Lay numbered passes over the measured turf",
		Long: `Lays passes for a swath over each property: strips in the best single direction for
each connected part of the turf, numbered in walking order. The swath is the pass
spacing, the same figure that the catch test was walked for; the thrown width is another.

A hand gun or backpack closes at the turf's edge; a boom or ride-on sprays its whole width.
No pass runs over a building or water, nor over a bed or hardscape for longer than the side step.`,
		Example: `  tankful passes --swath "7 ft" lots.geojson
  tankful passes --swath "3 m" --kind boom --geojson passes.geojson --json field.geojson`,
		Args: files,
	}
	units := unitsFlag(cmd)
	outlines.add(cmd)
	outlines.addMeasuring(cmd)
	cmd.Flags().Var(&a.Swath, "swath", "pass spacing (7 ft when not given; it is printed)")
	cmd.Flags().Lookup("swath").DefValue = "7 ft"
	cmd.Flags().Var(&a.SideStep, "side-step", "longest stretch of bed or hardscape that is walked across")
	cmd.Flags().Lookup("side-step").DefValue = "6 ft"
	cmd.Flags().StringVar(&kind, "kind", "gun", "`applicator`: gun, backpack, boom or ride-on")
	cmd.Flags().Float64Var(&bearing, "bearing", 0, "direction of the passes in `degrees` from north (default: the best)")
	completeWith(cmd, "kind", string(plan.Gun), string(plan.Backpack), string(plan.Boom), string(plan.RideOn))
	cmd.Flags().StringVar(&lines, "geojson", "", "write each pass as a line to this GeoJSON `file`")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, in SI units")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		a.Kind = plan.ApplicatorKind(kind)
		if err := checkApplicator(&a, bearing, cmd); err != nil {
			return err
		}
		var fixed *float64
		if cmd.Flags().Changed("bearing") {
			fixed = &bearing
		}
		sites, found, err := outlines.sites(cmd.Context(), e, cmd, args)
		if err != nil {
			return err
		}
		laid, more, err := layAll(cmd, e, sites, &a, fixed)
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
			err = printPasses(e.out, laid, a.Swath, *units)
		}
		if err != nil {
			return err
		}
		if lines != "" && all.HasErrors() {
			fmt.Fprintf(e.err, "tankful: %s is not written: not every property has its passes\n", lines)
		} else if lines != "" {
			if err := writePasses(lines, laid); err != nil {
				return err
			}
		}
		return endProblems(e, all)
	}
	return cmd
}

func checkApplicator(a *plan.Applicator, bearing float64, cmd *cobra.Command) error {
	bad := func(what string) error { return &usageError{what, exampleLine(cmd)} }
	switch a.Kind {
	case plan.Gun, plan.Backpack, plan.Boom, plan.RideOn:
	default:
		return bad(fmt.Sprintf("--kind %q is not gun, backpack, boom or ride-on", a.Kind))
	}
	switch {
	case !(a.Swath > 0):
		return bad("--swath must be above zero")
	case a.Swath < 6*unit.Inch || a.Swath > 200*unit.Foot:
		return bad(fmt.Sprintf("--swath of %s is not a pass spacing (6 in to 200 ft)", unit.US.Length(a.Swath)))
	case a.SideStep < 0:
		return bad("--side-step must not be below zero")
	case !(bearing >= 0 && bearing < 360):
		return bad("--bearing must be from 0 to under 360 degrees")
	}
	return nil
}

// covered is a property with its passes, nil when they could not be laid.
type covered struct {
	site *geo.Site
	plan *plan.PassPlan
}

// layAll lays the passes of every site that was measured without error.
func layAll(cmd *cobra.Command, e *env, sites []*geo.Site, a *plan.Applicator, bearing *float64) ([]covered, problem.List, error) {
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
			laid, err := plan.LayPasses(s, a, plan.Laying{Bearing: bearing})
			if err != nil {
				found = append(found, plan.PassProblem(err, s.Property.Where))
			} else {
				p := plan.PassesOf(s, laid)
				c.plan = &p
			}
		}
		out = append(out, c)
	}
	return out, found, nil
}

func printPasses(w io.Writer, laid []covered, swath unit.Length, units unit.System) error {
	if !slices.ContainsFunc(laid, func(c covered) bool { return c.plan != nil }) {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "property\tnet turf\tpasses\tat least\tdirection\tsprayed\tat least\tdead walk\t")
	for _, c := range laid {
		p := c.plan
		if p == nil {
			fmt.Fprintf(t, "%s\tno passes\t\t\t\t\t\t\t\n", c.site.Property.ID)
			continue
		}
		fmt.Fprintf(t, "%s\t%s\t%d\t%d\t%s deg\t%s\t%s\t%s\t\n", p.ID, units.Area(p.Net), p.Count, p.BoundPasses, unit.Number(p.Bearing, 1),
			units.Length(p.SprayedLength), units.Length(p.BoundLength), units.Length(p.DeadWalk))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "Swath %s. \"At least\" is what no plan with this swath can go below.\n", units.Length(swath))
	return err
}

// passesJSON is a property's passes in JSON, or null for every figure of a property that has none.
type passesJSON struct {
	id string
	*plan.PassPlan
}

// MarshalJSON keeps the keys of PassPlan either way.
func (p passesJSON) MarshalJSON() ([]byte, error) {
	if p.PassPlan != nil {
		return json.Marshal(p.PassPlan)
	}
	figures := map[string]any{}
	b, err := json.Marshal(plan.PassPlan{})
	if err == nil {
		err = json.Unmarshal(b, &figures)
	}
	if err != nil {
		return nil, err
	}
	for k := range figures {
		figures[k] = nil
	}
	figures["id"] = p.id
	return json.Marshal(figures)
}

func passesInJSON(laid []covered) []passesJSON {
	out := make([]passesJSON, len(laid))
	for i, c := range laid {
		out[i] = passesJSON{c.site.Property.ID, c.plan}
	}
	return out
}

// passShape is what is said of a pass on a map.
type passShape struct {
	N        int         `json:"n"`
	Property string      `json:"property"`
	Kind     string      `json:"kind"`
	Area     unit.Area   `json:"area_m2"`
	Length   unit.Length `json:"length_m"`
	Swath    unit.Length `json:"swath_m"`
}

// writePasses writes every pass as a LineString in lon/lat degrees.
func writePasses(path string, laid []covered) error {
	file, err := newShapeFile(path)
	if err != nil {
		return err
	}
	for _, c := range laid {
		for _, p := range c.plan.List {
			line := make(orb.LineString, len(p.Line))
			for i, at := range p.Line {
				line[i] = c.site.Frame.Inverse(at)
			}
			if err := file.add("LineString", line, passShape{p.N, c.plan.ID, p.Kind, p.Area, p.Length, c.plan.Swath}); err != nil {
				file.discard()
				return err
			}
		}
	}
	return file.close()
}
