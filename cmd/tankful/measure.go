package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// measureFlags are how measure answers.
type measureFlags struct {
	json, csv, ndjson, resume  bool
	out, against, outlines, in string
	units                      *unit.System
}

func measureCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	var to measureFlags
	cmd := &cobra.Command{
		Use:   "measure FILE-OR-FOLDER...",
		Short: "Measure the turf of property outlines, less beds, buildings and hardscape",
		Long: `Measures each property on the WGS 84 ellipsoid: the union of its turf less the union of
everything else, overlaps counted once: ground under two of them counts with the first
of building, water, hardscape, bed, keep-off. Areas are those of the map; with a slope
the ground on it is printed beside them.

Reads GeoJSON (also one feature a line), GPX tracks, KML and KMZ, shapefiles (zipped or
not), GeoPackage, OpenStreetMap XML, well-known text, and CSV with a geometry column or a
row a corner; and in a folder every such file but .json, .csv, .txt, .xml and .zip, which
may hold anything and are to be named. Edges are read as straight in longitude and
latitude (RFC 7946, section 3.1.1); --edges geodesic reads them as straight on the ground.

Two figures say how sure the net turf is: what independent errors of the corners come
to, and what an outline drawn too wide or too narrow all along would do. Both rest on
figures that are printed with them: give better ones with --accuracy and --bias.

With --csv and --ndjson files of any size go through in little memory. With --out the
answer goes to a file, and --resume goes on where an earlier run of the same command on
the same files stopped: what is in the answer stays as it is.`,
		Example: `  tankful measure lots.geojson
  tankful measure --surface-key role --group-key site --surface-map path=hardscape extract.geojson
  tankful measure --keep-off "water=10 ft" --slope "10 %" park.kml
  tankful measure --csv --out areas.csv --resume outlines/
  tankful measure --against spring.geojson fall.geojson`,
		Args: files,
	}
	to.units = unitsFlag(cmd)
	outlines.add(cmd)
	outlines.addMeasuring(cmd)
	fs := cmd.Flags()
	fs.BoolVar(&to.json, "json", false, "print JSON, in SI units")
	fs.BoolVar(&to.csv, "csv", false, "print CSV, in SI units")
	fs.BoolVar(&to.ndjson, "ndjson", false, "print JSON, a property a line, in SI units")
	fs.StringVar(&to.out, "out", "", "write the answer to this `file`")
	fs.BoolVar(&to.resume, "resume", false, "go on with the file of --out, leaving out the properties that are in it")
	fs.StringVar(&to.against, "against", "", "an older `file` or folder: print what changed since")
	fs.StringVar(&to.outlines, "geojson", "", "write the net turf, or with --against what was gained and lost, to this GeoJSON `file`")
	fs.StringVar(&to.in, "areas-in", "", "print areas in `unit`: sq-ft, acres, m2 or ha (default: that of --units)")
	completeWith(cmd, "areas-in", areaUnitNames...)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := to.check(cmd); err != nil {
			return err
		}
		if to.against != "" {
			return compareOutlines(cmd, e, &outlines, &to, args)
		}
		return measureOutlines(cmd, e, &outlines, &to, args)
	}
	return cmd
}

// check refuses flags that do not go together.
func (to *measureFlags) check(cmd *cobra.Command) error {
	for _, pair := range [][2]string{{"json", "csv"}, {"json", "ndjson"}, {"csv", "ndjson"}, {"against", "ndjson"}, {"against", "resume"}} {
		if err := oneOf(cmd, pair[0], pair[1]); err != nil {
			return err
		}
	}
	bad := func(what, try string) error { return &usageError{what, try} }
	switch {
	case to.resume && to.out == "":
		return bad("--resume needs the file of --out", cmd.CommandPath()+" --csv --out areas.csv --resume FILE")
	case to.resume && !to.csv && !to.ndjson:
		return bad("--resume goes on with CSV or a JSON line a property", cmd.CommandPath()+" --csv --out areas.csv --resume FILE")
	case to.resume && to.outlines != "":
		return bad("--geojson can not be resumed", cmd.CommandPath()+" --geojson net.geojson FILE")
	case to.in != "" && (to.csv || to.json || to.ndjson):
		return bad("--areas-in is for the table; CSV and JSON are in SI units", cmd.CommandPath()+" --areas-in acres FILE")
	case to.in != "" && !slices.Contains(areaUnitNames, to.in):
		return bad(fmt.Sprintf("--areas-in %q is not %s", to.in, strings.Join(areaUnitNames, ", ")), cmd.CommandPath()+" --areas-in acres FILE")
	}
	return nil
}

var areaUnitNames = []string{"sq-ft", "acres", "m2", "ha"}

// area prints an area in the unit asked for.
func (to *measureFlags) area(a unit.Area) string {
	switch to.in {
	case "sq-ft":
		return unit.US.Area(a)
	case "acres":
		return unit.Number(a.In(unit.Acre), 3) + " acres"
	case "m2":
		return unit.Metric.Area(a)
	case "ha":
		return unit.Number(a.In(unit.Hectare), 4) + " ha"
	}
	return to.units.Area(a)
}

// measureOutlines measures and prints property by property.
func measureOutlines(cmd *cobra.Command, e *env, outlines *outlineFlags, to *measureFlags, args []string) (err error) {
	list, err := outlineFiles(args)
	if err != nil {
		return err
	}
	if err := to.keepInputs(cmd, list); err != nil {
		return err
	}
	sink, err := to.sink(e)
	if err != nil {
		return err
	}
	shapes, err := newShapeFile(to.outlines)
	if err != nil {
		return errors.Join(err, sink.close())
	}
	told := newTelling(e, to.csv || to.ndjson)
	done, refused := 0, 0
	found, err := outlines.each(cmd.Context(), e, cmd, list, sink.skip, func(m measured) error {
		told.add(m.problems)
		if m.site == nil {
			return nil
		}
		measure := plan.MeasureOf(m.site)
		measure.Problems = append(problem.List{}, m.problems...)
		measure.Problems.Sort()
		if err := shapes.net(m.site); err != nil {
			return err
		}
		if done++; measure.Problems.HasErrors() {
			refused++
		}
		return sink.write(m.file, &measure)
	})
	told.add(found)
	if err == nil {
		err = shapes.close()
	} else {
		shapes.discard()
	}
	if e := sink.end(found); err == nil {
		err = e
	}
	if e := sink.close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	if to.out != "" {
		fmt.Fprintf(e.err, "%s: %s written, %d of them not measured\n", to.out, propertiesDone(done), refused)
	}
	return told.end()
}

// keepInputs refuses an answer that would be written over what it is made from.
func (to *measureFlags) keepInputs(cmd *cobra.Command, inputs []outlineFile) error {
	for flag, path := range map[string]string{"out": to.out, "geojson": to.outlines} {
		mine, err := os.Stat(path)
		if path == "" || err != nil {
			continue // it is not there yet
		}
		for _, in := range inputs {
			if theirs, err := os.Stat(in.path); err == nil && os.SameFile(mine, theirs) {
				return &usageError{fmt.Sprintf("--%s %s is one of the files to be read; it would be written over", flag, path), cmd.CommandPath() + " --" + flag + " answer FILE"}
			}
		}
	}
	return nil
}

// sink is where measured properties go.
type sink interface {
	// skip reports whether a property is there already.
	skip(file, id string) bool
	write(file string, m *plan.Measure) error
	// end writes what comes after the last property.
	end(found problem.List) error
	close() error
}

// table is a sink for people.
type table struct {
	*measureFlags
	w        io.Writer
	done     func() error
	rows     [][]string
	sum      unit.Area
	counted  int
	zones    []zoneRow
	onSlope  []string
	accuracy textSet
	bias     textSet
	strips   textSet
}

type zoneRow struct {
	property string
	plan.ZoneMeasure
}

func (t *table) skip(string, string) bool { return false }
func (t *table) close() error             { return t.done() }

func (t *table) write(_ string, m *plan.Measure) error {
	if m.Problems.HasErrors() {
		t.rows = append(t.rows, []string{title(m), "", "", "not measured", "", "", "", ""})
		return nil
	}
	net := t.units.RoundArea(m.Net)
	t.sum += net
	t.counted++
	t.rows = append(t.rows, []string{title(m), t.area(m.Turf), t.area(m.ExcludedSum), t.area(net), t.area(m.PlusMinus), t.area(m.PlusMinusBias),
		t.units.Length(m.Perimeter), fmt.Sprint(m.Pieces), t.leftOut(m)})
	if len(m.Zones) > 1 || m.Zones[0].Zone != "" {
		for _, z := range m.Zones {
			t.zones = append(t.zones, zoneRow{title(m), z})
		}
	}
	if m.Ground > m.Net {
		t.onSlope = append(t.onSlope, fmt.Sprintf("%s: %s of ground on its slope, %s %% more than the map's area", title(m), t.area(m.Ground), unit.Number(100*(m.Ground.In(m.Net)-1), 1)))
	}
	t.accuracy.add(t.units.Length(m.Accuracy) + ", " + m.AccuracyFrom)
	t.bias.add(t.units.Length(m.Bias) + ", " + m.BiasFrom)
	for _, s := range append([]geo.Surface{geo.Turf}, geo.LeftOut...) {
		if w := m.Strips[s]; w > 0 {
			t.strips.add(fmt.Sprintf("%s along %s", t.units.Length(w), s))
		}
	}
	return nil
}

// leftOut is what each surface takes from the turf.
func (t *table) leftOut(m *plan.Measure) string {
	var parts []string
	for _, s := range geo.LeftOut {
		if a, ok := m.Excluded[s]; ok {
			parts = append(parts, fmt.Sprintf("%s %s", s, t.area(a)))
		}
	}
	return strings.Join(parts, ", ")
}

func (t *table) end(problem.List) error {
	if len(t.rows) == 0 {
		return nil
	}
	w := tabwriter.NewWriter(t.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "property\tturf\tleft out\tnet turf\t+- corners\t+- outline\tedge\tpieces\t")
	for _, r := range t.rows {
		fmt.Fprintln(w, strings.Join(r[:8], "\t")+"\t")
	}
	if t.counted > 1 {
		fmt.Fprintf(w, "%d properties\t\t\t%s\t\t\t\t\t\n", t.counted, t.area(t.sum))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	const fewest = 12 // more of them are better read from --csv or --json
	for _, r := range t.rows {
		if len(t.rows) <= fewest && len(r) > 8 && r[8] != "" {
			fmt.Fprintf(t.w, "Left out of %s: %s.\n", r[0], r[8])
		}
	}
	if err := t.zoneTable(); err != nil {
		return err
	}
	for _, line := range t.onSlope {
		fmt.Fprintf(t.w, "%s.\n", line)
	}
	if len(t.strips.list) > 0 {
		fmt.Fprintf(t.w, "Keep-off strips, in the keep-off left out: %s.\n", t.strips)
	}
	if t.counted > 0 {
		fmt.Fprintf(t.w, "+- corners is the 95 %% range from corner errors alone: %s.\n", t.accuracy)
		fmt.Fprintf(t.w, "+- outline is an outline too wide or too narrow all along: by %s.\n", t.bias)
	}
	return nil
}

func (t *table) zoneTable() error {
	if len(t.zones) == 0 {
		return nil
	}
	w := tabwriter.NewWriter(t.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\nproperty\tzone\tnet turf\tedge\tpieces\t")
	for _, z := range t.zones {
		name := z.Zone
		if name == "" {
			name = "no zone"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%d\t\n", z.property, name, t.area(z.Net), t.units.Length(z.Perimeter), z.Pieces)
	}
	return w.Flush()
}

// textSet is texts in the order they came, each once, up to a few.
type textSet struct{ list []string }

func (s *textSet) add(text string) {
	const most = 8
	if n := len(s.list); n < most && !slices.Contains(s.list, text) {
		s.list = append(s.list, text)
	} else if n == most && !slices.Contains(s.list, text) {
		s.list = append(s.list, "and others")
	}
}

func (s textSet) String() string { return strings.Join(s.list, "; ") }

func title(m *plan.Measure) string {
	if m.Name == "" || m.Name == m.ID {
		return m.ID
	}
	return m.ID + " " + m.Name
}
