package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/overlay"
	"tankful/plan"
)

// compareOutlines prints what changed between two measurings, property by property.
func compareOutlines(cmd *cobra.Command, e *env, outlines *outlineFlags, to *measureFlags, args []string) error {
	inputs, err := outlineFiles(append([]string{to.against}, args...))
	if err != nil {
		return err
	}
	if err := to.keepInputs(cmd, inputs); err != nil {
		return err
	}
	was, found, err := outlines.sites(cmd.Context(), e, cmd, []string{to.against})
	if err != nil {
		return err
	}
	is, more, err := outlines.sites(cmd.Context(), e, cmd, args)
	if err != nil {
		return err
	}
	all := append(allProblems(found, was), allProblems(more, is)...)
	changes := pairUp(was, is)
	for _, c := range changes {
		all = append(all, c.Problems...)
	}
	all.Sort()
	if err := to.printChanges(e, changes, all); err != nil {
		return err
	}
	if err := writeChanges(to.outlines, changes); err != nil {
		return err
	}
	return endProblems(e, all)
}

// pairUp compares properties by id, in the order of the newer files; those that are gone come last.
func pairUp(was, is []*geo.Site) []*geo.Change {
	old := map[string]*geo.Site{}
	for _, s := range was {
		if old[s.Property.ID] == nil {
			old[s.Property.ID] = s
		}
	}
	var out []*geo.Change
	for _, s := range is {
		out = append(out, geo.Compare(old[s.Property.ID], s))
		delete(old, s.Property.ID)
	}
	for _, s := range was {
		if old[s.Property.ID] == s {
			out = append(out, geo.Compare(s, nil))
		}
	}
	return out
}

func (to *measureFlags) printChanges(e *env, changes []*geo.Change, all problem.List) (err error) {
	w, done := e.out, func() error { return nil }
	if to.out != "" {
		f, err := openAnswer(to.out, false)
		if err != nil {
			return err
		}
		w, done = f, f.Close
	}
	defer func() { err = errors.Join(err, done()) }()
	list := make([]plan.Change, len(changes))
	for i, c := range changes {
		list[i] = plan.ChangeOf(c)
	}
	switch {
	case to.json:
		return printJSON(w, struct {
			Properties []plan.Change `json:"properties"`
			Problems   problem.List  `json:"problems"`
		}{list, append(problem.List{}, all...)})
	case to.csv:
		return changesCSV(w, list)
	}
	return to.changesTable(w, list)
}

func (to *measureFlags) changesTable(w io.Writer, list []plan.Change) error {
	if len(list) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "property\tzone\tturf was\tturf is\tgained\tlost\t+- of either\t")
	for i := range list {
		c := &list[i]
		name := c.ID
		if c.Name != "" && c.Name != c.ID {
			name += " " + c.Name
		}
		if c.Old == nil && c.New == nil {
			fmt.Fprintf(t, "%s\t\tnot compared\t\t\t\t\t\n", name)
			continue
		}
		figure := func(a *unit.Area, none string) string {
			if a == nil {
				return none
			}
			return to.area(*a)
		}
		fmt.Fprintf(t, "%s\t\t%s\t%s\t%s\t%s\t%s\t\n", name, figure(c.Old, "not there"), figure(c.New, "gone"), to.area(c.Gained), to.area(c.Lost), to.area(c.PlusMinus))
		for _, z := range c.Zones {
			if len(c.Zones) > 1 || z.Zone != "" {
				zone := z.Zone
				if zone == "" {
					zone = "no zone"
				}
				fmt.Fprintf(t, "\t%s\t%s\t%s\t%s\t%s\t\t\n", zone, to.area(z.Old), to.area(z.New), to.area(z.Gained), to.area(z.Lost))
			}
		}
	}
	if err := t.Flush(); err != nil {
		return err
	}
	zones := ""
	if slices.ContainsFunc(list, func(c plan.Change) bool { return len(c.Zones) > 1 }) {
		zones = " Turf that went from one zone to another is neither gained nor lost."
	}
	_, err := fmt.Fprintf(w, "Was + gained - lost = is.%s A change within the +- of either may be the drawing, not the lawn.\n", zones)
	return err
}

func changesCSV(w io.Writer, list []plan.Change) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"id", "name", "zone", "old_net_m2", "net_m2", "gained_m2", "lost_m2", "plus_minus_m2", "problems"}}
	number := func(a unit.Area) string { return strconv.FormatFloat(float64(a), 'f', -1, 64) }
	figure := func(a *unit.Area) string {
		if a == nil {
			return ""
		}
		return number(*a)
	}
	for i := range list {
		m := &list[i]
		var codes []string
		for _, p := range m.Problems {
			codes = append(codes, p.Code)
		}
		row := []string{plainCell(m.ID), plainCell(m.Name), "", figure(m.Old), figure(m.New), "", "", "", strings.Join(codes, " ")}
		if m.Old != nil || m.New != nil {
			row[5], row[6], row[7] = number(m.Gained), number(m.Lost), number(m.PlusMinus)
		}
		rows = append(rows, row)
		for _, z := range m.Zones {
			if z.Zone != "" {
				rows = append(rows, []string{plainCell(m.ID), plainCell(m.Name), plainCell(z.Zone), number(z.Old), number(z.New), number(z.Gained), number(z.Lost), "", ""})
			}
		}
	}
	return c.WriteAll(rows)
}

// changeShape is what is said of a piece of ground that was gained or lost.
type changeShape struct {
	Change   string      `json:"change"`
	Property string      `json:"property"`
	Name     string      `json:"property_name"`
	Area     unit.Area   `json:"area_m2"`
	Width    unit.Length `json:"mean_width_m"`
}

// writeChanges writes every piece gained or lost. A piece along an edge that was only drawn elsewhere has a small mean width.
func writeChanges(path string, changes []*geo.Change) error {
	file, err := newShapeFile(path)
	if err != nil || file == nil {
		return err
	}
	for _, c := range changes {
		if c.Problems.HasErrors() {
			continue
		}
		for _, part := range []struct {
			word string
			in   *geom.MultiPolygon
		}{{"gained", c.GainedIn}, {"lost", c.LostIn}} {
			for i := range part.in.NumPolygons() {
				one := overlay.Alone(part.in.Polygon(i))
				if err := file.ground(c.Frame, one, changeShape{part.word, c.ID(), c.Name(), overlay.Area(one), overlay.MeanWidth(one)}); err != nil {
					file.discard()
					return err
				}
			}
		}
	}
	return file.close()
}
