package main

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/plan"
)

// sink is where the answer goes, by the flags.
func (to *measureFlags) sink(e *env) (sink, error) {
	w, done := e.out, func() error { return nil }
	been := places{}
	fresh := true
	if to.out != "" {
		f, err := openAnswer(to.out, to.resume)
		if err != nil {
			return nil, err
		}
		if to.resume {
			if fresh, err = been.read(f, to); err != nil {
				return nil, errors.Join(err, f.Close())
			}
			been.tell(e, to.out)
		}
		buffered := bufio.NewWriterSize(f, 1<<16)
		w, done = buffered, func() error { return errors.Join(buffered.Flush(), f.Close()) }
	}
	switch {
	case to.csv:
		return newCSVSink(w, done, been, fresh)
	case to.ndjson:
		return &lines{places: been, enc: encoder(w), done: done}, nil
	case to.json:
		return &whole{w: w, done: done}, nil
	}
	return &table{measureFlags: to, w: w, done: done}, nil
}

func openAnswer(path string, resume bool) (*os.File, error) {
	flags := os.O_RDWR | os.O_CREATE
	if !resume {
		flags |= os.O_TRUNC
	}
	f, err := os.OpenFile(path, flags, 0o644)
	if err != nil {
		return nil, fmt.Errorf("write answer: %w", err)
	}
	return f, nil
}

// places are the properties that an answer holds already, by file and id, and whether they were measured.
type places map[[2]string]bool

func (p places) skip(file, id string) bool {
	_, there := p[[2]string{file, plainCell(id)}]
	return there
}

func (p places) add(file, id string, measured bool) { p[[2]string{file, id}] = measured }

// tell says what an answer holds that is gone on with.
func (p places) tell(e *env, name string) {
	refused := 0
	for _, measured := range p {
		if !measured {
			refused++
		}
	}
	fmt.Fprintf(e.err, "%s: %s there already", name, propertiesDone(len(p)))
	if refused > 0 {
		fmt.Fprintf(e.err, "; %d of them were not measured: take their lines out to have them measured again", refused)
	}
	fmt.Fprintln(e.err)
}

// read takes in an earlier answer and cuts off a last line that was not finished. fresh is true when there was none.
func (p places) read(f *os.File, to *measureFlags) (fresh bool, err error) {
	end := int64(0)
	if to.csv {
		end, err = p.readCSV(f, to.out)
	} else {
		end, err = p.readLines(f, to.out)
	}
	if err != nil {
		return false, err
	}
	if err := f.Truncate(end); err != nil {
		return false, fmt.Errorf("resume %s: %w", to.out, err)
	}
	if _, err := f.Seek(end, io.SeekStart); err != nil {
		return false, fmt.Errorf("resume %s: %w", to.out, err)
	}
	return end == 0, nil
}

func (p places) readCSV(f *os.File, name string) (end int64, err error) {
	r := csv.NewReader(f)
	head, err := r.Read()
	if errors.Is(err, io.EOF) {
		return 0, nil
	}
	if err != nil || !slices.Equal(head, csvHead()) {
		return 0, fmt.Errorf("resume %s: its first line is not that of an answer of this command", name)
	}
	file, net := len(head)-1, slices.Index(head, "net_m2")
	for end = r.InputOffset(); ; end = r.InputOffset() {
		row, err := r.Read()
		if err != nil || len(row) != len(head) || !endsLine(f, r.InputOffset()) {
			return end, nil // what follows was not finished
		}
		p.add(row[file], row[0], row[net] != "")
	}
}

// endsLine reports whether the byte before an offset ends a line.
func endsLine(f io.ReaderAt, offset int64) bool {
	var b [1]byte
	_, err := f.ReadAt(b[:], offset-1)
	return err == nil && b[0] == '\n'
}

func (p places) readLines(f *os.File, name string) (end int64, err error) {
	r := bufio.NewReader(f)
	for {
		line, err := r.ReadBytes('\n')
		if err != nil {
			return end, nil // what follows was not finished
		}
		var m struct {
			ID, File *string
			Net      *float64 `json:"net_m2"`
		}
		if json.Unmarshal(line, &m) != nil || m.ID == nil || m.File == nil {
			return end, fmt.Errorf("resume %s: the line at byte %d is not one of this command", name, end)
		}
		p.add(*m.File, plainCell(*m.ID), m.Net != nil)
		end += int64(len(line))
	}
}

// csvSink writes a row a property.
type csvSink struct {
	places
	w    *csv.Writer
	done func() error
}

func newCSVSink(w io.Writer, done func() error, been places, fresh bool) (sink, error) {
	s := &csvSink{places: been, w: csv.NewWriter(w), done: done}
	if !fresh {
		return s, nil
	}
	return s, s.w.Write(csvHead())
}

func csvHead() []string {
	head := []string{"id", "name", "turf_m2", "excluded_m2", "net_m2", "perimeter_m", "plus_minus_m2", "pieces"}
	for _, s := range geo.LeftOut {
		head = append(head, "excluded_"+strings.ReplaceAll(string(s), "-", "_")+"_m2")
	}
	return append(head, "problems", "plus_minus_bias_m2", "ground_m2", "zones", "file")
}

func (s *csvSink) write(file string, m *plan.Measure) error {
	figure := func(x float64) string {
		if m.Problems.HasErrors() {
			return ""
		}
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	row := []string{plainCell(m.ID), plainCell(m.Name), figure(float64(m.Turf)), figure(float64(m.ExcludedSum)), figure(float64(m.Net)),
		figure(float64(m.Perimeter)), figure(float64(m.PlusMinus)), figure(float64(m.Pieces))}
	for _, k := range geo.LeftOut {
		row = append(row, figure(float64(m.Excluded[k])))
	}
	var codes, zones []string
	for _, p := range m.Problems {
		codes = append(codes, p.Code)
	}
	for _, z := range m.Zones {
		if z.Zone != "" && !m.Problems.HasErrors() {
			zones = append(zones, fmt.Sprintf("%s=%s", z.Zone, figure(float64(z.Net))))
		}
	}
	return s.w.Write(append(row, strings.Join(codes, " "), figure(float64(m.PlusMinusBias)), figure(float64(m.Ground)), plainCell(strings.Join(zones, "; ")), file))
}

func (s *csvSink) end(problem.List) error {
	s.w.Flush()
	return s.w.Error()
}

func (s *csvSink) close() error { return s.done() }

// plainCell keeps a spreadsheet from taking a name for a formula.
func plainCell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// lines writes a JSON line a property.
type lines struct {
	places
	enc  *json.Encoder
	done func() error
}

func encoder(w io.Writer) *json.Encoder {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc
}

func (s *lines) write(file string, m *plan.Measure) error {
	b, err := json.Marshal(m)
	if err != nil {
		return err
	}
	// The file's name goes in as one more member at the end.
	name, err := json.Marshal(file)
	if err != nil {
		return err
	}
	return s.enc.Encode(json.RawMessage(append(append(append(b[:len(b)-1], `,"file":`...), name...), '}')))
}

func (s *lines) end(problem.List) error { return nil }
func (s *lines) close() error           { return s.done() }

// whole writes one JSON object.
type whole struct {
	w    io.Writer
	done func() error
	n    int
}

func (s *whole) skip(string, string) bool { return false }

func (s *whole) write(_ string, m *plan.Measure) error {
	between := ",\n    "
	if s.n == 0 {
		between = "{\n  \"properties\": [\n    "
	}
	s.n++
	b, err := json.MarshalIndent(m, "    ", "  ")
	if err == nil {
		_, err = fmt.Fprintf(s.w, "%s%s", between, b)
	}
	return err
}

func (s *whole) end(found problem.List) error {
	after := "\n  ],"
	if s.n == 0 {
		after = "{\n  \"properties\": [],"
	}
	b, err := json.MarshalIndent(append(problem.List{}, found...), "  ", "  ")
	if err == nil {
		_, err = fmt.Fprintf(s.w, "%s\n  \"problems\": %s\n}\n", after, b)
	}
	return err
}

func (s *whole) close() error { return s.done() }

// telling says what is wrong as it comes, or at the end all of it in the order of places.
type telling struct {
	e      *env
	bulk   bool
	all    problem.List
	counts map[string]int
	errors bool
}

// mostOfOneCode is how many problems of one code are printed in a bulk answer, whose rows name the codes anyway.
const mostOfOneCode = 200

func newTelling(e *env, bulk bool) *telling {
	return &telling{e: e, bulk: bulk, counts: map[string]int{}}
}

func (t *telling) add(list problem.List) {
	t.errors = t.errors || list.HasErrors()
	for _, p := range list {
		if t.bulk {
			if t.counts[p.Code]++; t.counts[p.Code] > mostOfOneCode {
				continue
			}
		}
		t.all = append(t.all, p)
	}
}

// end prints the problems; its error is theirs.
func (t *telling) end() error {
	t.all.Sort()
	var more []string
	for code, n := range t.counts {
		if n > mostOfOneCode {
			more = append(more, fmt.Sprintf("%d more %s", n-mostOfOneCode, code))
		}
	}
	if slices.Sort(more); len(more) > 0 {
		defer fmt.Fprintf(t.e.err, "and %s: the answer names them by property.\n", strings.Join(more, ", "))
	}
	return endProblems(t.e, t.all)
}
