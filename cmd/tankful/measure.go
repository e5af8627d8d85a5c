package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

func measureCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	var asJSON, asCSV bool
	cmd := &cobra.Command{
		Use:   "measure FILE...",
		Short: "Measure the turf of property outlines, less beds, buildings and hardscape",
		Long: `Measures each property of one or more GeoJSON files on the WGS 84 ellipsoid: the
union of its turf less the union of everything else, overlaps counted once. Edges are
read as straight in longitude and latitude (RFC 7946, section 3.1.1). Areas are those of
the map: a slope has more turf than its map shows (10 % slope: +0.5 %).`,
		Example: `  tankful measure lots.geojson
  tankful measure --surface-key role --group-key site --surface-map path=hardscape extract.geojson
  tankful measure --csv lots.geojson > areas.csv`,
		Args: files,
	}
	units := unitsFlag(cmd)
	outlines.add(cmd)
	outlines.addAccuracy(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, in SI units")
	cmd.Flags().BoolVar(&asCSV, "csv", false, "print CSV, in SI units")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := oneOf(cmd, "json", "csv"); err != nil {
			return err
		}
		sites, found, err := outlines.sites(cmd.Context(), e, cmd, args)
		if err != nil {
			return err
		}
		measures := make([]plan.Measure, len(sites))
		for i, s := range sites {
			measures[i] = plan.MeasureOf(s)
		}
		switch {
		case asJSON:
			err = printJSON(e.out, struct {
				Properties []plan.Measure `json:"properties"`
				Problems   problem.List   `json:"problems"`
			}{measures, append(problem.List{}, found...)})
		case asCSV:
			err = measureCSV(e.out, measures)
		default:
			err = measureTable(e.out, measures, *units)
		}
		if err != nil {
			return err
		}
		return endProblems(e, allProblems(found, sites))
	}
	return cmd
}

func measureTable(w io.Writer, ms []plan.Measure, units unit.System) error {
	if len(ms) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "property\tturf\tleft out\tnet turf\t+-\tedge\tpieces\t")
	sum := unit.Area(0)
	counted := 0
	for i := range ms {
		m := &ms[i]
		if m.Problems.HasErrors() {
			fmt.Fprintf(t, "%s\t\t\tnot measured\t\t\t\t\n", title(m))
			continue
		}
		net := units.RoundArea(m.Net)
		sum += net
		counted++
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%d\t\n", title(m), units.Area(m.Turf), units.Area(m.ExcludedSum), units.Area(net),
			units.Area(m.PlusMinus), units.Length(m.Perimeter), m.Pieces)
	}
	if counted > 1 {
		fmt.Fprintf(t, "%d properties\t\t\t%s\t\t\t\t\n", counted, units.Area(sum))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if counted > 0 {
		fmt.Fprintf(w, "+- is the 95 %% range from corner errors alone: %s.\n", accuracies(ms, units))
	}
	return nil
}

// accuracies names the corner accuracies in use and where they come from, each once.
func accuracies(ms []plan.Measure, units unit.System) string {
	var texts []string
	seen := map[string]bool{}
	for i := range ms {
		t := units.Length(ms[i].Accuracy) + ", " + ms[i].AccuracyFrom
		if !seen[t] && !ms[i].Problems.HasErrors() {
			seen[t] = true
			texts = append(texts, t)
		}
	}
	return strings.Join(texts, "; ")
}

func title(m *plan.Measure) string {
	if m.Name == "" || m.Name == m.ID {
		return m.ID
	}
	return m.ID + " " + m.Name
}

func measureCSV(w io.Writer, ms []plan.Measure) error {
	c := csv.NewWriter(w)
	head := []string{"id", "name", "turf_m2", "excluded_m2", "net_m2", "perimeter_m", "plus_minus_m2", "pieces"}
	for _, s := range geo.LeftOut {
		head = append(head, "excluded_"+strings.ReplaceAll(string(s), "-", "_")+"_m2")
	}
	rows := [][]string{append(head, "problems")}
	for i := range ms {
		m := &ms[i]
		row := []string{m.ID, m.Name}
		figures := []float64{float64(m.Turf), float64(m.ExcludedSum), float64(m.Net), float64(m.Perimeter), float64(m.PlusMinus), float64(m.Pieces)}
		for _, s := range geo.LeftOut {
			figures = append(figures, float64(m.Excluded[s]))
		}
		for _, x := range figures {
			if m.Problems.HasErrors() {
				row = append(row, "")
				continue
			}
			row = append(row, strconv.FormatFloat(x, 'f', -1, 64))
		}
		var codes []string
		for _, p := range m.Problems {
			codes = append(codes, p.Code)
		}
		for k := range row[:2] {
			row[k] = plainCell(row[k])
		}
		rows = append(rows, append(row, strings.Join(codes, " ")))
	}
	return c.WriteAll(rows)
}

// plainCell keeps a spreadsheet from taking a name for a formula.
func plainCell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
