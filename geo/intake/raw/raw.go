// Package raw is a feature as its file has it, whatever the format: what the file says of it,
// and its shapes in lon/lat degrees.
//
// It knows what a reader of one format hands to geo/intake and what it gets from it. It leaves out what the
// members mean (surfaces, properties) and whether rings are sound: geo/intake judges those.
package raw

import (
	"io"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
)

// Input is one file that somebody brings.
type Input struct {
	// Name is what the user calls it; every Where begins with it.
	Name string
	// Data is the file, Size its length in bytes. Several goroutines may read it at once.
	Data io.ReaderAt
	Size int64
	// Beside reads the file of the same name with another ending, such as ".prj", whole; its error is
	// fs.ErrNotExist when there is none. nil when nothing lies beside it.
	Beside func(ending string) ([]byte, error)
	// CRS is the coordinate reference system that the user names; nil takes what the file says.
	CRS *crs.CRS
}

// Source is a file of one format, opened. Its handles are numbers of its own that grow in the order of the file.
type Source interface {
	// Scan visits every feature in the order of the file. Shapes may be left out of f, which is good
	// during the call only; visit returns false to stop. The list holds what is wrong with the file as a
	// whole and features that could not even be told apart; an error in it means that the file is not to be used.
	Scan(visit func(handle int64, f *Feature) bool) problem.List
	// Load reads one feature with its shapes; it is the caller's. Several goroutines may call it at once.
	Load(handle int64) *Feature
}

// Feature is one feature of a file.
type Feature struct {
	// ID is the feature's own id, or "".
	ID      string
	Members Members
	// Areas, Lines and Points are its shapes, lon/lat degrees as the file has them: rings may be open,
	// wound either way and cross themselves.
	Areas  orb.MultiPolygon
	Lines  orb.MultiLineString
	Points []orb.Point
	// Ground says that the feature is an area or should be one. Scan sets it too.
	Ground bool
	// Broken says that ground stands here which could not be read; Problems says why.
	Broken bool
	// Decimals is the largest number of decimals of a coordinate as written, 0 when the format does not tell;
	// Step is the rounding step of coordinates that were written in metres or feet, in metres, 0 for degrees.
	Decimals int
	Step     float64
	// Walked says that the shape is the track of somebody who walked round it.
	Walked bool
	// Heights are the third coordinates.
	Heights Heights
	// Where is the place for problems: "lots.geojson: feature 3 (back bed)".
	Where string
	// Problems is what is wrong with this feature.
	Problems problem.List
}

// Members are what a file says of a feature, by name, in the order of the file.
type Members []Member

// Member is one of them, as text.
type Member struct{ Key, Value string }

// Text is a member without blanks round it, "" when it is absent. The first of that name counts; one written in
// other letters, as tables have "NAME", when there is none.
func (m Members) Text(key string) string {
	other := -1
	for i, x := range m {
		if x.Key == key {
			return strings.TrimSpace(x.Value)
		}
		if other < 0 && len(x.Key) == len(key) && strings.EqualFold(x.Key, key) {
			other = i
		}
	}
	if other >= 0 {
		return strings.TrimSpace(m[other].Value)
	}
	return ""
}

// Heights sums the heights of corners, metres.
type Heights struct {
	Sum   float64
	Count int
}

// Add takes in one more corner.
func (h *Heights) Add(z float64) { h.Sum, h.Count = h.Sum+z, h.Count+1 }

// List is a Source whose features were all read at once; handles are indices.
type List struct {
	Features []*Feature
	// Problems is what Scan returns.
	Problems problem.List
}

// Scan visits the features.
func (l *List) Scan(visit func(handle int64, f *Feature) bool) problem.List {
	for i, f := range l.Features {
		if !visit(int64(i), f) {
			break
		}
	}
	return l.Problems
}

// Load is a copy of the feature; the shapes are the list's own.
func (l *List) Load(handle int64) *Feature {
	f := *l.Features[handle]
	return &f
}

// Clip shortens a text from a file for a message, to about 40 bytes of sound UTF-8.
func Clip(s string) string {
	s = strings.ToValidUTF8(s, "?")
	if len(s) <= 40 {
		return s
	}
	n := 40
	for n > 0 && s[n]&0xC0 == 0x80 { // not the first byte of a character
		n--
	}
	return s[:n] + "..."
}
