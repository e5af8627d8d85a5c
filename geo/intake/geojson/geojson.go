// Package geojson reads GeoJSON (RFC 7946, The GeoJSON Format, 2016): a collection, one feature, one geometry, or
// a sequence of them, one a line or parted by record separators (RFC 8142, GeoJSON Text Sequences, 2017).
//
// It knows the text and its faults, place by place, the crs member of files older than RFC 7946,
// and where each feature lies in the file, so that files of any size are read feature by feature.
// It leaves out what the members mean and whether rings are sound.
package geojson

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// Largest bounds the memory of one feature, one text of a sequence: 256 MB.
const Largest = 256 << 20

const (
	notGeoJSON = "Export the outlines as a GeoJSON FeatureCollection."
	damaged    = "Export the file again; it is damaged or cut short at that place."
)

var geometryTypes = []string{"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon", "GeometryCollection"}

// source is an opened file. It keeps of a feature where it lies.
type source struct {
	in     raw.Input
	to     *crs.CRS // nil: the coordinates are degrees
	places []place
	lone   bool // the file is one feature and needs no number
}

// place is where a feature lies in the file, in bytes.
type place struct{ offset, size int64 }

// Open starts reading a file; what is wrong with it, Scan says.
func Open(in raw.Input) (raw.Source, problem.List) {
	return &source{in: in}, nil
}

// Load reads one feature.
func (s *source) Load(handle int64) *raw.Feature {
	p := s.places[handle]
	b := make([]byte, p.size)
	n, err := s.in.Data.ReadAt(b, p.offset)
	where := s.where(handle)
	if int64(n) < p.size {
		f := &raw.Feature{Where: where, Ground: true, Broken: true}
		f.Problems.Errorf("file-changed", where, "Run it again when nothing else writes to the file.", "the file can not be read there any more: %v", err)
		return f
	}
	f := &raw.Feature{Where: where}
	geometry := featureOf(b, f, s.in.Name)
	if geometry != nil {
		s.readGeometry(geometry, f)
	}
	return f
}

func (s *source) where(handle int64) string {
	if s.lone {
		return s.in.Name
	}
	return fmt.Sprintf("%s: feature %d", s.in.Name, handle+1)
}

// featureOf reads what a feature says into f and gives its geometry, nil when it has none. b is well formed.
func featureOf(b []byte, f *raw.Feature, name string) (geometry []byte) {
	o := objectOf(b)
	if slices.Contains(geometryTypes, o.typeOf()) {
		if f.Where != name {
			f.Problems.Notef("bare-geometry", f.Where, "Nothing needs doing.", "a %s stands where a Feature belongs; it is read as a feature without members", o.typeOf())
		}
		return b
	}
	f.ID = scalar(o.id)
	properties := membersOf(o.properties, f)
	// The names read best with what people call the thing.
	if label := f.Members.Text("name"); f.Where != name {
		if label == "" {
			label = f.ID
		}
		if label != "" {
			f.Where += " (" + raw.Clip(label) + ")"
		}
	}
	warnRepeated(&f.Problems, o.repeated, f.Where)
	warnRepeated(&f.Problems, properties, f.Where)
	if t := bytes.TrimSpace(o.properties); len(t) > 0 && t[0] != '{' && string(t) != "null" {
		f.Problems.Warnf("members-not-an-object", f.Where, "Write the feature's properties as an object.", "the properties are %s and can not be used", raw.Clip(string(t)))
	}
	if len(o.geometry) == 0 || string(o.geometry) == "null" {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the feature has no geometry and counts for nothing")
		return nil
	}
	return o.geometry
}

// membersOf takes the properties over, and those of an object "tags" within after them. It gives the names written twice.
func membersOf(properties []byte, f *raw.Feature) (repeated []string) {
	var seen keys
	var tags []byte
	eachMember(properties, func(key string, value []byte) {
		if len(value) > 0 && value[0] == '{' && key == "tags" {
			tags = value
		}
		v := scalar(value)
		if seen.add(key) {
			repeated = append(repeated, key)
			f.Members = slices.DeleteFunc(f.Members, func(m raw.Member) bool { return m.Key == key })
		}
		f.Members = append(f.Members, raw.Member{Key: key, Value: v})
	})
	eachMember(tags, func(key string, value []byte) {
		if v := scalar(value); v != "" {
			f.Members = append(f.Members, raw.Member{Key: key, Value: v})
		}
	})
	return repeated
}

// knownCRS reads the crs member of files older than RFC 7946. What the user named goes before it.
func (c *scan) knownCRS(value []byte) {
	o := objectOf(value)
	var name string
	eachMember(o.properties, func(key string, v []byte) {
		if key == "name" {
			name = scalar(v)
		}
	})
	t := strings.TrimSpace(string(value))
	switch {
	case t == "" || t == "null":
		return
	case c.in.CRS != nil:
		c.found.Notef("crs-overridden", c.in.Name, "Nothing needs doing.", "the file says %s; %s is taken, as you said", raw.Clip(t), c.in.CRS.Name())
		return
	case name == "":
		c.found.Warnf("unnamed-crs", c.in.Name, "Check that the coordinates are longitude and latitude on WGS 84.",
			"the crs member names no coordinate system; longitude and latitude are taken")
		return
	}
	system, err := crs.Parse(name)
	if err != nil {
		c.found.Errorf("other-crs", c.in.Name, "Name the system with --crs, or export the outlines again in longitude and latitude, WGS 84.",
			"the crs member says %s: %v", raw.Clip(name), err)
		return
	}
	if system.Geographic() {
		c.found.Notef("old-crs-member", c.in.Name, "Nothing needs doing.", "the crs member says %s, which is longitude and latitude anyway", raw.Clip(name))
	} else {
		c.found.Notef("projected", c.in.Name, "Check that the map shows the right place.", "the coordinates are read as %s", system.Name())
	}
	c.use(system)
}

// use takes coordinates as those of the system.
func (c *scan) use(system *crs.CRS) {
	if c.to = system; system.Geographic() {
		c.to = nil
	}
	if note := system.Note(); note != "" {
		c.found.Notef("datum-note", c.in.Name, "Nothing needs doing for areas.", "%s", note)
	}
}

func quoteType(b []byte) string {
	if len(b) == 0 {
		return "missing"
	}
	return raw.Clip(string(b))
}

// section is the file from an offset on.
func (s *source) section(offset int64) *io.SectionReader {
	return io.NewSectionReader(s.in.Data, offset, s.in.Size-offset)
}
