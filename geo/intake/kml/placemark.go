package kml

import (
	"encoding/xml"
	"fmt"
	"slices"

	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

// placemark reads one placemark.
func (r *reader) placemark(e xml.StartElement, in *folder) error {
	d := &draft{x: r.x, corners: markup.Corners{CRS: r.crs}, left: &r.left}
	var m markup.Members
	r.seen++
	place := r.seen // others may stand inside
	err := r.x.Children(func(e xml.StartElement) error {
		if r.placemarks[e.Name.Local] {
			return r.placemark(e, in)
		}
		return r.part(d, &m, e)
	})
	if err != nil {
		return err
	}
	if d.models > 0 {
		r.unread["Model"] += d.models
	}
	if len(r.list.Features) == MaxFeatures || r.left < 0 {
		r.refuse()
		return nil
	}
	where := fmt.Sprintf("%s: placemark %d", r.name, place)
	if name := m.List.Text("name"); name != "" {
		where += " (" + raw.Clip(name) + ")"
	}
	f := &raw.Feature{ID: markup.Attr(e, "id"), Members: m.List, Where: where}
	m.Warn(f)
	d.finish(f)
	r.list.Features = append(r.list.Features, f)
	r.folders = append(r.folders, in)
	return nil
}

// refuse says once that the file has too much.
func (r *reader) refuse() {
	switch {
	case r.full:
	case r.left < 0:
		r.list.Problems.Errorf("file-too-large", r.name, "Export fewer outlines at once.", "the outlines have more than %d corners together", r.most)
	default:
		r.list.Problems.Errorf("too-many-features", r.name, "Export fewer outlines at once.", "the file has more than %d placemarks", MaxFeatures)
	}
	r.full = true
}

// quiet are the elements of a placemark that say nothing of the ground: how it looks, when, and from where.
var quiet = []string{"styleUrl", "Style", "StyleMap", "visibility", "open", "Snippet", "snippet", "LookAt", "Camera", "AbstractView",
	"TimeStamp", "TimeSpan", "Region", "Metadata", "balloonVisibility", "link", "author", "phoneNumber", "AddressDetails"}

// part reads one element of a placemark.
func (r *reader) part(d *draft, m *markup.Members, e xml.StartElement) error {
	switch name := e.Name.Local; {
	case name == "ExtendedData":
		return r.x.Children(func(e xml.StartElement) error { return r.data(m, e) })
	case name == "Model":
		d.models++
		return nil
	case isShape(name):
		return d.shape(e, 0)
	case slices.Contains(quiet, name):
		return nil
	default: // name, description, address and the fields of old schemas
		return d.astray(e, m.Add)
	}
}

// data reads a Data, a SchemaData or an element of somebody's own.
func (r *reader) data(m *markup.Members, e xml.StartElement) error {
	switch e.Name.Local {
	case "Data":
		return r.x.Children(func(v xml.StartElement) error {
			if v.Name.Local != "value" {
				return nil
			}
			text, err := r.x.Text()
			m.Add(markup.Attr(e, "name"), text)
			return err
		})
	case "SchemaData":
		return r.x.Children(func(v xml.StartElement) error {
			if v.Name.Local != "SimpleData" {
				return nil
			}
			text, err := r.x.Text()
			m.Add(markup.Attr(v, "name"), text)
			return err
		})
	}
	return r.x.Leaves(e, m.Add)
}
