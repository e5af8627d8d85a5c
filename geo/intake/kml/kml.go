// Package kml reads KML 2.0 to 2.3 (OGC 07-147r2, OGC 12-007r2) and KMZ archives.
//
// It knows placemarks in any nesting of documents and folders, their shapes, and what is said of them. It leaves out
// how things look, and everything that lies elsewhere: links are counted, never fetched.
package kml

import (
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

// MaxBytes bounds the text that is read, of a file or out of an archive.
const MaxBytes = 256 << 20

// MaxFeatures bounds the number of placemarks of a file.
const MaxFeatures = 500_000

// MaxCorners bounds the corners of all placemarks together.
const MaxCorners = 12_000_000

// Open reads all placemarks of a KML file or a KMZ archive. Its list has an error, and the source is nil, when the
// file is neither.
func Open(in raw.Input) (raw.Source, problem.List) { return read(in, MaxCorners) }

// read is Open with a bound of its own on corners.
func read(in raw.Input, corners int) (raw.Source, problem.List) {
	text, ps := open(in)
	if text == nil {
		return nil, ps
	}
	x, more := markup.NewReader(in.Name, text, MaxBytes)
	if ps = append(ps, more...); x == nil {
		return nil, ps
	}
	r := &reader{name: in.Name, x: x, crs: in.CRS, most: corners, left: corners, unread: map[string]int{}, placemarks: map[string]bool{"Placemark": true}}
	r.list.Problems = ps
	if err := x.Children(r.root); err != nil {
		x.Fault(&r.list.Problems, err)
	} else if !r.found && !r.list.Problems.HasErrors() {
		r.list.Problems.Errorf("not-kml", in.Name, "Export the outlines as KML.", "the file holds no element kml")
	}
	if r.list.Problems.HasErrors() {
		return nil, r.list.Problems
	}
	r.finish()
	x.Stray(&r.list.Problems)
	markup.DatumNote(&r.list.Problems, in)
	return &r.list, nil
}

// open is the text of the file, unpacked when it is an archive; nil when there is none.
func open(in raw.Input) (io.Reader, problem.List) {
	var ps problem.List
	head := make([]byte, 4)
	if n, _ := in.Data.ReadAt(head, 0); string(head[:n]) == "PK\x03\x04" || string(head[:n]) == "PK\x05\x06" {
		return unpack(in)
	}
	if in.Size > MaxBytes {
		ps.Errorf("file-too-large", in.Name, "Export fewer outlines at once.", "the file has %d MB; at most %d MB are read", in.Size>>20, MaxBytes>>20)
		return nil, ps
	}
	return io.NewSectionReader(in.Data, 0, in.Size), nil
}

// folder is where a placemark lies. Its name may stand behind what it holds.
type folder struct {
	up   *folder
	name string
	// nameless folders, such as the file's own document, have no part in the path.
	nameless bool
	members  raw.Members // made once, for all placemarks inside
	made     bool
}

// reader is one file being read.
type reader struct {
	name       string
	x          *markup.Reader
	crs        *crs.CRS
	found      bool
	full       bool
	seen       int
	most, left int             // corners
	unread     map[string]int  // elements that are no placemarks, by name
	placemarks map[string]bool // what placemarks are called: KML 2.0 has schemas with names of their own
	folders    []*folder       // of each feature
	list       raw.List
}

func (r *reader) root(e xml.StartElement) error {
	switch e.Name.Local {
	case "kml":
		r.found = true
		return r.inside(&folder{nameless: true}, true)
	case "Document", "Folder", "Placemark": // a fragment without its root
		r.found = true
		return r.element(e, &folder{nameless: true}, true)
	}
	if !r.found {
		r.list.Problems.Errorf("not-kml", r.name, "Export the outlines as KML.", "the file's root is %s, not kml", raw.Clip(e.Name.Local))
	}
	return nil
}

// inside reads what a container holds.
func (r *reader) inside(f *folder, outermost bool) error {
	return r.x.Children(func(e xml.StartElement) error { return r.element(e, f, outermost) })
}

func (r *reader) element(e xml.StartElement, f *folder, outermost bool) error {
	switch name := e.Name.Local; {
	case name == "Folder":
		return r.inside(&folder{up: f}, false)
	case name == "Document": // the outermost is the file itself, not a folder of it
		return r.inside(&folder{up: f, nameless: outermost}, false)
	case r.placemarks[name]:
		return r.placemark(e, f)
	case name == "name":
		text, err := r.x.Text()
		f.name = strings.TrimSpace(text)
		return err
	case name == "Schema":
		if markup.Attr(e, "parent") == "Placemark" && len(r.placemarks) < 100 {
			if own := markup.Attr(e, "name"); !slices.Contains(structure, own) {
				r.placemarks[own] = true
			}
		}
	case slices.Contains(elsewhere, name):
		r.unread[name]++
	case slices.Contains(looks, name):
	default: // somebody's own element may hold placemarks
		return r.inside(&folder{up: f, nameless: true}, outermost)
	}
	return nil
}

// looks are the elements of documents and folders that hold none.
var looks = []string{"Style", "StyleMap", "styleUrl", "ExtendedData", "Metadata", "Region", "LookAt", "Camera", "description", "Snippet"}

// structure are names that a schema can not take for its placemarks.
var structure = []string{"", "kml", "Document", "Folder", "name", "Schema", "NetworkLink", "GroundOverlay"}

// elsewhere are the elements that may stand for ground and are not read.
var elsewhere = []string{"NetworkLink", "GroundOverlay", "ScreenOverlay", "PhotoOverlay", "Tour", "NetworkLinkControl"}

// finish gives every feature the names of its folders and says what was not read.
func (r *reader) finish() {
	for i, f := range r.list.Features {
		f.Members = append(f.Members, r.folders[i].path()...)
	}
	if len(r.unread) == 0 {
		return
	}
	var parts []string
	for name, n := range r.unread {
		parts = append(parts, fmt.Sprintf("%s: %d", name, n))
	}
	slices.Sort(parts)
	r.list.Problems.Notef("not-read", r.name, "Save what they show in this file if outlines are missing.",
		"the file has parts that are not outlines or lie elsewhere; they are not read and nothing is fetched (%s)", strings.Join(parts, ", "))
}

const (
	// maxFolders bounds how many enclosing folders are members, from the innermost out; maxName the length of a name in them.
	maxFolders = 6
	maxName    = 120
)

// path is the member "folder" with the names of the enclosing folders, outermost first and joined by "/", and
// "folder-1" for the outermost by itself, "folder-2" for the next.
func (f *folder) path() raw.Members {
	if f.made {
		return f.members
	}
	f.made = true
	var names []string
	for g := f; g != nil; g = g.up {
		if g.name != "" && !g.nameless {
			names = append(names, cut(g.name))
		}
	}
	if len(names) == 0 {
		return nil
	}
	names = names[:min(len(names), maxFolders)] // the innermost say most
	slices.Reverse(names)
	f.members = raw.Members{{Key: "folder", Value: strings.Join(names, "/")}}
	for i, name := range names {
		f.members = append(f.members, raw.Member{Key: fmt.Sprintf("folder-%d", i+1), Value: name})
	}
	return f.members
}

// cut keeps a name short, so that a thousand folders with long names stay small.
func cut(s string) string {
	s = strings.ToValidUTF8(s, "?")
	if len(s) > maxName {
		s = strings.ToValidUTF8(s[:maxName], "")
	}
	return s
}
