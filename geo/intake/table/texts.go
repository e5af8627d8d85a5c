package table

import (
	"errors"
	"io"
	"strings"
	"sync"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
	"tankful/geo/intake/wkt"
)

// maxSystems is how many SRIDs one file may name.
const maxSystems = 64

// texts is a table with a column of well-known text. A handle holds the line and the offset of a row, so that
// a row is found, and named, without those before it.
type texts struct {
	*table
	column, id int

	mu      sync.Mutex
	systems map[int]*crs.CRS // by SRID; nil for one that is not to be used
}

// offsetBits of a handle are the offset of its row, 64 GB at most; the rest is its line.
const offsetBits = 36

// maxLines is as many lines as fit beside it.
const maxLines = 1 << (63 - offsetBits)

func handleOf(r row) int64 { return int64(r.line)<<offsetBits | r.offset }

// Scan visits the rows.
func (s *texts) Scan(visit func(handle int64, f *raw.Feature) bool) problem.List {
	found := append(problem.List(nil), s.found...)
	t := *s.table // for what this scan finds
	t.found = nil
	if s.size >= 1<<offsetBits {
		t.found.Errorf("file-too-large", s.in.Name, "Split the file.", "the file has %d GB; at most %d GB are read", s.size>>30, 1<<(offsetBits-30))
		return append(found, t.found...)
	}
	seen := map[int]bool{}
	rs := newRows(s.data, s.size, s.start, s.line, s.sep)
	for {
		r, err := rs.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.cut(r, err)
			break
		}
		if r.line >= maxLines {
			t.found.Errorf("file-too-large", s.in.Name, "Split the file.", "the file has more than %d lines", maxLines)
			break
		}
		fs, ok := fields(r.text, s.sep)
		if !ok {
			t.tooWide(r)
			break
		}
		if blank(fs) {
			continue
		}
		f, srid := s.feature(r, fs)
		if srid != 0 && !seen[srid] && len(seen) < maxSystems {
			seen[srid] = true
			_, ps := wkt.System(srid, s.in, f.Where)
			t.found = append(t.found, ps...)
		}
		if !visit(handleOf(r), f) {
			break
		}
	}
	return append(found, t.found...)
}

// Load reads one row.
func (s *texts) Load(handle int64) *raw.Feature {
	offset, line := handle&(1<<offsetBits-1), int(handle>>offsetBits)
	r, err := newRows(s.data, s.size, offset, line, s.sep).next()
	fs, ok := fields(r.text, s.sep)
	if err != nil || !ok {
		f := &raw.Feature{Where: s.where(line), Ground: true, Broken: true}
		f.Problems.Errorf("file-changed", f.Where, "Run it again when nothing else writes to the file.", "the row can not be read any more")
		return f
	}
	f, _ := s.feature(r, fs)
	return f
}

// feature is a row, and the SRID that its text names.
func (s *texts) feature(r row, fs []string) (*raw.Feature, int) {
	fs = s.sewn(fs)
	f := &raw.Feature{Where: s.labelled(r.line, fs), Members: s.members(fs, s.column)}
	if s.id >= 0 && s.id < len(fs) {
		f.ID = fs[s.id]
	}
	if len(fs) > len(s.header) && !blank(fs[len(s.header):]) {
		f.Ground, f.Broken = true, true
		f.Problems.Errorf("row-too-long", f.Where, "Put quotes round values in which the separator stands.", "the row has %d values and the header %d", len(fs), len(s.header))
		return f, 0
	}
	if s.column >= len(fs) || fs[s.column] == "" {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the column %q is empty, so that the row counts for nothing", s.header[s.column])
		return f, 0
	}
	g, fault := wkt.Parse(fs[s.column])
	f.Ground = g.Ground
	if fault != nil {
		f.Broken = g.Ground
		f.Problems.Errorf(fault.Code, f.Where, fault.Fix, "column %q, character %d: %s", s.header[s.column], 1+len([]rune(fs[s.column][:fault.At])), fault.What)
		return f, g.SRID
	}
	system := s.in.CRS
	if system == nil && g.SRID != 0 {
		if system = s.system(g.SRID); system == nil {
			f.Broken = g.Ground
			f.Problems.Errorf("other-crs", f.Where, "Name the system with --crs, or export the outlines again in longitude and latitude, WGS 84.", "the system of SRID=%d is not known or is one too many", g.SRID)
			return f, g.SRID
		}
	}
	g.Into(f, system)
	return f, g.SRID
}

// system looks an SRID up, once.
func (s *texts) system(srid int) *crs.CRS {
	s.mu.Lock()
	defer s.mu.Unlock()
	c, ok := s.systems[srid]
	if !ok && len(s.systems) < maxSystems {
		c, _ = wkt.System(srid, s.in, "")
		if s.systems == nil {
			s.systems = map[int]*crs.CRS{}
		}
		s.systems[srid] = c
	}
	return c
}

// sewn joins the pieces of a text that nobody put quotes round, so that the separator has cut it: as long as
// its brackets are open, what follows belongs to it.
func (s *texts) sewn(fs []string) []string {
	if len(fs) <= len(s.header) || s.sep == 0 || s.column >= len(fs) {
		return fs
	}
	depth, brackets := 0, false
	for i := s.column; i < len(fs); i++ {
		depth += strings.Count(fs[i], "(") - strings.Count(fs[i], ")")
		brackets = brackets || strings.Contains(fs[i], "(")
		if brackets && depth == 0 && i > s.column {
			text := strings.Join(fs[s.column:i+1], string(s.sep))
			if !wkt.Begins(text) {
				return fs
			}
			return append(append(append([]string{}, fs[:s.column]...), text), fs[i+1:]...)
		}
		if brackets && depth <= 0 {
			return fs
		}
	}
	return fs
}
