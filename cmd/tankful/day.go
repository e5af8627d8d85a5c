package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
	"tankful/plan/sheet"
)

func dayCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	var service serviceFlags
	var paper paperFlags
	var out, progress string
	var asJSON, withWorking bool
	cmd := &cobra.Command{
		Use:   "day FILE",
		Short: "Plan a day and draw the crew's sheets",
		Long: `Reads a day file (YAML: products and label limits, mixes, applicators, operators and
their catch tests, trucks and tanks, fill points, stops), measures the outlines it names,
lays the passes, orders the stops, splits the mix into tankfuls and draws the sheets.

Nothing is written when the input has an error: every problem is listed with its place and
its fix. Outline files are looked for beside the day file.`,
		Example: `  tankful day monday.yaml --out monday
  tankful day monday.yaml --json > plan.json`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"tankful day takes one day file", exampleLine(cmd)}
			}
			return nil
		},
	}
	outlines.add(cmd)
	service.add(cmd)
	paper.add(cmd)
	cmd.Flags().StringVar(&progress, "from-progress", "", "plan the rest of the day from a `FILE` that says what is done and what the gauges show")
	cmd.Flags().StringVar(&out, "out", "", "`folder` for the sheets (default: print the summary only)")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the whole plan as JSON, in SI units")
	workingFlag(cmd, &withWorking)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		data, err := os.ReadFile(args[0])
		if err != nil {
			return fmt.Errorf("read day: %w", err)
		}
		opt, err := paper.options(exampleLine(cmd))
		if err != nil {
			return err
		}
		j := dayJob{env: e, name: args[0], try: exampleLine(cmd), data: data, dir: out, asJSON: asJSON, working: withWorking, service: service, sheets: opt}
		if progress != "" {
			j.progressName = progress
			if j.progressData, err = os.ReadFile(progress); err != nil {
				return fmt.Errorf("read progress: %w", err)
			}
		}
		return j.run(cmd, &outlines)
	}
	return cmd
}

// dayJob is a day file with where its outlines come from and where its sheets go.
type dayJob struct {
	*env
	name   string
	try    string // a command line that works, for one that does not
	data   []byte
	files  fs.FS // nil: the disk, beside the day file
	dir    string
	asJSON bool
	// progressName and progressData are a progress file, "" without one.
	progressName string
	progressData []byte
	service      serviceFlags
	sheets       sheet.Options
	// working adds how the calibrations and the loads were come by to the summary; JSON always has it.
	working bool
}

func (j *dayJob) run(cmd *cobra.Command, outlines *outlineFlags) error {
	opt, err := outlines.options(cmd)
	if err != nil {
		return err
	}
	if info, err := os.Stat(j.dir); j.dir != "" && err == nil && !info.IsDir() {
		return &usageError{fmt.Sprintf("--out: %s is a file, and a folder is wanted", j.dir), j.try}
	}
	p, found, err := j.plan(cmd.Context(), opt)
	if err != nil {
		return err
	}
	printProblems(j.err, found)
	if j.dir != "" {
		if err := j.write(cmd.Context(), p); err != nil {
			return err
		}
	}
	if j.asJSON {
		return printJSON(j.out, p)
	}
	if err := printDay(j.out, p); err != nil || !j.working {
		return err
	}
	return printDayWorking(j.out, p)
}

// printDayWorking prints each calibration and each load step by step.
func printDayWorking(w io.Writer, p *plan.Plan) (err error) {
	for i := range p.Mixes {
		m := &p.Mixes[i]
		_, err = fmt.Fprintf(w, "\nCalibration and mix %s\n\n%s", m.Name, m.Working.Text())
	}
	for i := range p.Loads {
		l := &p.Loads[i]
		_, err = fmt.Fprintf(w, "\nLoad %d: %s, tank %s, mix %s\n\n%s", l.N, l.Truck, l.Tank, l.Mix, l.Working.Text())
	}
	return err
}

// plan reads the day and plans it. There is no plan beside an error.
func (j *dayJob) plan(ctx context.Context, opt intake.Options) (*plan.Plan, problem.List, error) {
	pr := j.progress("planning", 0)
	defer pr.end()
	pr.show()
	var d *plan.Day
	var g *plan.Progress
	var found problem.List
	if j.progressName != "" {
		d, g, found = dayfile.ParseProgress(j.name, j.data, j.progressName, j.progressData, j.read, opt)
	} else {
		d, found = dayfile.Parse(j.name, j.data, j.read, opt)
	}
	if err := found.Err(); err != nil {
		return nil, nil, j.refuse(err)
	}
	if err := interrupted(ctx); err != nil {
		return nil, nil, err
	}
	more, err := j.service.ask(ctx, d, j.try)
	if err != nil {
		return nil, nil, err
	}
	found = append(found, more...)
	var p *plan.Plan
	if g != nil {
		p, more = plan.MakeRest(d, g)
	} else {
		p, more = plan.Make(d)
	}
	found = withNew(found, more)
	if err := found.Err(); err != nil {
		return nil, nil, j.refuse(err)
	}
	p.Problems = append(problem.List{}, found...)
	return p, found, interrupted(ctx)
}

// withNew is what reading told and what planning found besides, sorted: planning checks the labels
// and catch tests again, at places of its own.
func withNew(read, planned problem.List) problem.List {
	type finding struct{ code, what string }
	told := map[finding]bool{}
	for _, p := range read {
		told[finding{p.Code, p.What}] = true
	}
	out := slices.Clone(read)
	for _, p := range planned {
		if !told[finding{p.Code, p.What}] {
			out = append(out, p)
		}
	}
	out.Sort()
	return out
}

// read gives an outline file by its path as the day file has it.
func (j *dayJob) read(path string) ([]byte, error) {
	if j.files != nil {
		return fs.ReadFile(j.files, path)
	}
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(j.name), path)
	}
	return os.ReadFile(path)
}

// refuse passes the problems on, and warns of sheets of an earlier plan in the way.
func (j *dayJob) refuse(err error) error {
	old, _ := filepath.Glob(filepath.Join(j.dir, "*.pdf"))
	if j.dir != "" && len(old) > 0 {
		fmt.Fprintf(j.err, "tankful: %s still holds the sheets of an earlier plan: do not work from them\n", j.dir)
	}
	return refuse(j.env, err, j.asJSON)
}

// write draws the sheets and writes the plan beside them.
func (j *dayJob) write(ctx context.Context, p *plan.Plan) error {
	dir, err := makeFolder(j.dir)
	if err != nil {
		return err
	}
	b, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	if err := dir.write("plan.json", append(b, '\n')); err != nil {
		return err
	}
	s := sheetWriter{env: j.env, p: p, dir: dir, opt: j.sheets}
	if err := s.all(ctx); err != nil {
		return fmt.Errorf("the sheets in %s are not complete: %w", j.dir, err)
	}
	fmt.Fprintf(j.err, "wrote plan.json, %s\n", s.what())
	if old := dir.others(fileName(p.Date)); len(old) > 0 {
		fmt.Fprintf(j.err, "tankful: %s also holds sheets of an earlier plan for %s: remove %s\n", j.dir, p.Date, strings.Join(old, ", "))
	}
	return nil
}
