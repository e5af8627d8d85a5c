// Package intake turns files that people bring into properties with outlines, and finds
// everything that is wrong with them.
//
// It knows which format a file is in, the words that say what an outline is, plain OpenStreetMap
// tags, how features belong to properties, and rings that can not be right. The formats
// themselves are read by the packages below it. It leaves out areas and validity of shapes: geo.Measure
// repairs and measures what comes out of here. It opens no files: the caller hands over the bytes.
package intake

import (
	"bytes"
	"io"
	"path"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/crs"
	"tankful/geo/intake/geojson"
	"tankful/geo/intake/raw"
)

// Options say what the members of the features mean. The zero value guesses.
type Options struct {
	// SurfaceKey is the member that says what an outline is; "" tries surface, kind, role,
	// class, use and type, and then OpenStreetMap tags.
	SurfaceKey string
	// GroupKey is the member that says to which property a feature belongs, "id" the feature's
	// own id; "" tries property, site, account, parcel and lot, and else takes the file as one.
	GroupKey string
	// SurfaceMap adds words to the built-in ones and overrides them. Case does not matter. A
	// key may be a word or a tag such as "landuse=orchard".
	SurfaceMap map[string]geo.Surface
	// LineWidth is the width of paths drawn as lines that say none of their own; 0 leaves those lines out,
	// with a warning.
	LineWidth unit.Length
	// CRS is the system of the coordinates when the file is not to be asked; nil asks it.
	CRS *crs.CRS
}

// Read reads one file whole. name is what the user calls it: it appears in every Where, and its
// base without extension names the property of a file that has only one.
//
// The properties come in the order in which the file first names them. What cannot be read
// is in the list, feature by feature, sorted by place. An outline that is known to exist
// and cannot be used stays in its property without corners, so that geo.Measure refuses
// the property rather than measure it without its bed.
func Read(name string, data []byte, opt Options) ([]*geo.Property, problem.List) {
	return ReadInput(raw.Input{Name: name, Data: bytes.NewReader(data), Size: int64(len(data))}, opt)
}

// ReadInput is Read for a file that other files belong to, such as a shapefile.
func ReadInput(in raw.Input, opt Options) ([]*geo.Property, problem.List) {
	f, list := Open(in, opt)
	if f == nil {
		return nil, list
	}
	defer f.Close()
	var props []*geo.Property
	for i := range f.Len() {
		p, found := f.Property(i)
		if p != nil {
			props = append(props, p)
		}
		list = append(list, found...)
	}
	if len(props) == 0 && !list.HasErrors() {
		list = append(list, f.NoOutlines())
	}
	list.Sort()
	return props, list
}

// open finds the format of a file by its first bytes, and by its name where they do not tell.
func open(in raw.Input) (raw.Source, problem.List) {
	return formatOf(in)(in)
}

// opener opens a file of one format.
type opener func(raw.Input) (raw.Source, problem.List)

func formatOf(in raw.Input) opener {
	head := make([]byte, min(in.Size, 1024))
	n, _ := in.Data.ReadAt(head, 0) // what can not be read, the reader will say
	head = head[:n]
	ending := strings.ToLower(path.Ext(in.Name))
	for _, f := range formats {
		// An archive whose first entry does not tell is what its name says.
		named := slices.Contains(f.endings, ending) && ending == ".kmz"
		if named || f.starts != nil && f.starts(head) {
			return f.open
		}
	}
	if bytes.IndexByte(head, 0) >= 0 && !raw.IsUTF16(head) || bytes.HasPrefix(head, []byte("%PDF")) {
		return unknownFile
	}
	for _, f := range formats {
		if slices.Contains(f.endings, ending) || slices.Contains(f.others, ending) {
			return f.open
		}
	}
	return geojson.Open
}

// FolderEndings are the endings of file names that a folder is searched for.
func FolderEndings() []string {
	var out []string
	for _, f := range formats {
		out = append(out, f.endings...)
	}
	return out
}

// closer closes what a source holds open.
func closer(s raw.Source) error {
	if c, ok := s.(io.Closer); ok {
		return c.Close()
	}
	return nil
}
