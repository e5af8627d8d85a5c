package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
)

func weekCommand(e *env) *cobra.Command {
	var outlines outlineFlags
	j := weekJob{env: e}
	cmd := &cobra.Command{
		Use:   "week FILE",
		Short: "Spread a week's visits over trucks and days",
		Long: `Reads a week file: a day file with "days" in place of its date and "visits" in place of
its stops, each of which says when it is due. Every visit gets a truck and a day, all days
in one search; those that find none are listed, each with the reason.

With --out the folder gets a day file for each day, for "tankful day", with copies of the
outline files and records that it names, and the summary as text and JSON. A routing service
that is asked is asked once for all visits; plan the days with the same --ask and --ask-keep, or
name the file of --save-drives as travel.table, and they have the same driving times.`,
		Example: `  tankful week june.yaml --out june
  tankful week june.yaml --json > june.json`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"tankful week takes one week file", exampleLine(cmd)}
			}
			return nil
		},
	}
	outlines.add(cmd)
	j.service.add(cmd)
	cmd.Flags().StringVar(&j.dir, "out", "", "`folder` for a day file of each day (default: print the summary only)")
	cmd.Flags().BoolVar(&j.asJSON, "json", false, "print the whole plan as JSON, in SI units")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		data, err := os.ReadFile(args[0])
		if err != nil {
			return fmt.Errorf("read week: %w", err)
		}
		j.name, j.data, j.try = args[0], data, exampleLine(cmd)
		return j.run(cmd, &outlines)
	}
	return cmd
}

// weekJob is a week file with where its outlines come from and where its days go.
type weekJob struct {
	*env
	name, try string
	data      []byte
	files     fs.FS // nil: the disk, beside the week file
	dir       string
	asJSON    bool
	service   serviceFlags
	// used are the files that the week file names, by the path that it has for them.
	used map[string][]byte
}

func (j *weekJob) run(cmd *cobra.Command, outlines *outlineFlags) error {
	opt, err := outlines.options(cmd)
	if err != nil {
		return err
	}
	if info, err := os.Stat(j.dir); j.dir != "" && err == nil && !info.IsDir() {
		return &usageError{fmt.Sprintf("--out: %s is a file, and a folder is wanted", j.dir), j.try}
	}
	w, days, p, found, err := j.plan(cmd.Context(), opt)
	if err != nil {
		return err
	}
	if err := interrupted(cmd.Context()); err != nil {
		return err
	}
	printProblems(j.err, found)
	if j.dir != "" {
		if err := j.write(w, days, p); err != nil {
			return err
		}
	}
	if j.asJSON {
		return printJSON(j.out, p)
	}
	return printWeek(j.out, p)
}

// plan reads the week and plans it. There is no plan beside an error.
func (j *weekJob) plan(ctx context.Context, opt intake.Options) (*plan.Week, *dayfile.Days, *plan.WeekPlan, problem.List, error) {
	pr := j.progress("planning", 0)
	defer pr.end()
	pr.show()
	w, days, found := dayfile.ParseWeek(j.name, j.data, j.read, opt)
	if err := found.Err(); err != nil {
		return nil, nil, nil, nil, refuse(j.env, err, j.asJSON)
	}
	if err := interrupted(ctx); err != nil {
		return nil, nil, nil, nil, err
	}
	more, err := j.service.ask(ctx, w.Day, j.try)
	if err != nil {
		return nil, nil, nil, nil, err
	}
	found = append(found, more...)
	p, more := plan.MakeWeek(w)
	found = withNew(found, more)
	if err := found.Err(); err != nil {
		return nil, nil, nil, nil, refuse(j.env, err, j.asJSON)
	}
	p.Problems = append(problem.List{}, found...)
	return w, days, p, found, nil
}

// read gives a file by its path as the week file has it, and keeps it.
func (j *weekJob) read(path string) (data []byte, err error) {
	at := path
	switch {
	case j.files != nil:
		data, err = fs.ReadFile(j.files, path)
	default:
		if !filepath.IsAbs(path) {
			at = filepath.Join(filepath.Dir(j.name), path)
		}
		data, err = os.ReadFile(at)
	}
	if err == nil {
		if j.used == nil {
			j.used = map[string][]byte{}
		}
		j.used[path] = data
	}
	return data, err
}

// write writes a day file for each day with work, the files that they name, and the summary.
func (j *weekJob) write(w *plan.Week, days *dayfile.Days, p *plan.WeekPlan) error {
	if err := os.MkdirAll(j.dir, 0o755); err != nil {
		return fmt.Errorf("make folder %s: %w", j.dir, reason(err))
	}
	dir := folder{j.dir, map[string]bool{}}
	for _, path := range slices.Sorted(maps.Keys(j.used)) {
		if err := j.copy(dir, path); err != nil {
			return err
		}
	}
	wrote := 0
	for k := range p.Days {
		if p.Days[k].Plan == nil {
			continue
		}
		if err := dir.write(p.Days[k].Date+".yaml", days.File(w, p, k)); err != nil {
			return err
		}
		wrote++
	}
	b, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		return fmt.Errorf("write the week: %w", err)
	}
	if err := dir.write("week.json", append(b, '\n')); err != nil {
		return err
	}
	var text bytes.Buffer
	if err := printWeek(&text, p); err != nil {
		return err
	}
	if err := dir.write("week.txt", text.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(j.err, "wrote %s, week.txt and week.json in %s\n", plural(wrote, "day file"), j.dir)
	return nil
}

// copy puts a file that the week file names beside the day files. One that lies outside of the week file's folder is not copied: an absolute path holds anyway.
func (j *weekJob) copy(dir folder, path string) error {
	switch {
	case filepath.IsAbs(path):
		return nil
	case !filepath.IsLocal(path):
		fmt.Fprintf(j.err, "tankful: %s lies outside the folder of the week file: the day files will look for it at %s\n", path, filepath.Join(j.dir, path))
		return nil
	}
	to := dir.path(path)
	if a, err := os.Stat(to); err == nil && j.files == nil {
		if b, err := os.Stat(filepath.Join(filepath.Dir(j.name), path)); err == nil && os.SameFile(a, b) {
			return nil // the days go beside the week file
		}
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return fmt.Errorf("make folder %s: %w", filepath.Dir(to), reason(err))
	}
	return dir.write(path, j.used[path])
}

// weekday is a date with its day's name.
func weekday(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return t.Format("Mon ") + date
}

// printWeek is the plan in short, for a terminal.
func printWeek(w io.Writer, p *plan.WeekPlan) error {
	if p.Invented {
		fmt.Fprintln(w, "INVENTED DATA: not for use on turf.")
	}
	fmt.Fprintf(w, "%s, %s to %s\n", p.Outfit, p.Days[0].Date, p.Days[len(p.Days)-1].Date)
	for k := range p.Days {
		printDayOfWeek(w, p, k)
	}
	fmt.Fprintf(w, "\n%s on %s of a truck, %s, %s.\n", plural(countVisits(p), "visit"), plural(p.TruckDays, "day"), plural(p.Loads, "tankful"), plural(p.Rinses, "rinse"))
	for _, c := range p.Carry {
		fmt.Fprintf(w, "  all days %s: %s\n", c.Product, c.Amount.Text(p.Units))
	}
	for _, l := range p.Later {
		word := "LATER"
		if l.Reason == plan.NotDue {
			word = "NOT DUE"
		}
		fmt.Fprintf(w, "%s: %s (%s%s): %s. %s\n", word, l.Name, l.Mix, dueText(l.From, l.Until, false), l.Why, l.Fix)
	}
	_, err := fmt.Fprintln(w, p.Bound)
	return err
}

func countVisits(p *plan.WeekPlan) int {
	n := 0
	for k := range p.Days {
		n += len(p.Days[k].Visits)
	}
	return n
}

// printDayOfWeek is one day: its trucks, their visits in order, and what to carry.
func printDayOfWeek(w io.Writer, p *plan.WeekPlan, k int) {
	d := &p.Days[k]
	fmt.Fprintf(w, "\n%s\n", weekday(d.Date))
	if d.Plan == nil {
		fmt.Fprintln(w, "  no visit")
	}
	for _, t := range d.Trucks {
		fmt.Fprintf(w, "  %s: out %s, back %s: %s, %s, %s, %s\n", t.Truck, plan.Clock(t.Start), plan.Clock(t.Finish), plural(t.Visits, "visit"), plural(t.Loads, "tankful"),
			plural(t.Rinses, "rinse"), unit.Minutes(unit.Time(t.Minutes)*unit.Minute))
		tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, v := range d.Visits {
			if v.Truck == t.Truck {
				fmt.Fprintf(tw, "    %d. %s\t%s%s\n", v.N, v.Name, v.Mix, dueText(v.From, v.Until, v.Overdue))
			}
		}
		tw.Flush()
	}
	var carry []string
	for _, c := range p.Carry {
		if a := c.Days[k]; !a.IsZero() {
			carry = append(carry, c.Product+" "+a.Text(p.Units))
		}
	}
	if len(carry) > 0 {
		fmt.Fprintf(w, "  carry %s\n", strings.Join(carry, ", "))
	}
}

// dueText says when a visit is due, behind a comma.
func dueText(from, until string, overdue bool) string {
	switch {
	case overdue:
		return ", OVERDUE since " + until
	case from != "" && from == until:
		return ", due on " + from
	case from != "" && until != "":
		return ", due " + from + " to " + until
	case from != "":
		return ", due from " + from
	case until != "":
		return ", due until " + until
	}
	return ""
}
