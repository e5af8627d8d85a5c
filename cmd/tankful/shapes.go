package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/local"
)

// shapeFile is a GeoJSON file (RFC 7946) that is written feature by feature, whole or not at all. The nil one
// takes everything and writes nothing.
type shapeFile struct {
	path string
	f    *os.File
	w    *bufio.Writer
	n    int
}

func newShapeFile(path string) (*shapeFile, error) {
	if path == "" {
		return nil, nil
	}
	f, err := createBeside(path)
	if err != nil {
		return nil, err
	}
	s := &shapeFile{path: path, f: f, w: bufio.NewWriterSize(f, 1<<16)}
	_, err = s.w.WriteString(`{"type":"FeatureCollection","features":[`)
	return s, err
}

// shapeFeature is a GeoJSON Feature. orb's own encoder would link a database driver for this.
type shapeFeature struct {
	Type       string        `json:"type"`
	Geometry   shapeGeometry `json:"geometry"`
	Properties any           `json:"properties"`
}

type shapeGeometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

// ground adds polygons in metres of a frame.
func (s *shapeFile) ground(frame *local.Frame, mp *geom.MultiPolygon, properties any) error {
	return s.add("MultiPolygon", frame.InverseMultiPolygon(mp), properties)
}

// add adds a shape in lon/lat degrees.
func (s *shapeFile) add(kind string, coordinates, properties any) error {
	b, err := json.Marshal(shapeFeature{"Feature", shapeGeometry{kind, coordinates}, properties})
	if err != nil {
		return err
	}
	between := ",\n"
	if s.n == 0 {
		between = "\n"
	}
	s.n++
	_, err = s.w.WriteString(between + string(b))
	return err
}

// turfShape is what is said of a piece of net turf; read back, it is measured as turf of the same property and zone.
type turfShape struct {
	Surface  geo.Surface `json:"surface"`
	Property string      `json:"property"`
	Name     string      `json:"property_name"`
	Zone     string      `json:"zone,omitempty"`
	Net      unit.Area   `json:"net_m2"`
	Edge     unit.Length `json:"perimeter_m"`
}

// net adds the net turf of a property, zone by zone.
func (s *shapeFile) net(site *geo.Site) error {
	if s == nil || site.Problems.HasErrors() {
		return nil
	}
	for _, z := range site.Zones {
		if z.Pieces == 0 {
			continue
		}
		if err := s.ground(site.Frame, z.Shape, turfShape{geo.Turf, site.Property.ID, site.Property.Name, z.Name, z.Net, z.Perimeter}); err != nil {
			return err
		}
	}
	return nil
}

// close finishes the file.
func (s *shapeFile) close() error {
	if s == nil {
		return nil
	}
	_, err := s.w.WriteString("\n]}\n")
	err = errors.Join(err, s.w.Flush(), s.f.Chmod(0o644), s.f.Close())
	if err == nil {
		err = os.Rename(s.f.Name(), s.path)
	}
	if err != nil {
		_ = os.Remove(s.f.Name())
		return fmt.Errorf("write %s: %w", s.path, reason(err))
	}
	return nil
}

// discard gives the file up.
func (s *shapeFile) discard() {
	if s != nil {
		_ = s.f.Close()
		_ = os.Remove(s.f.Name())
	}
}
