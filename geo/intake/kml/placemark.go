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
	d := &draft{x: r.x, corners: markup.Corners{CRS: r.crs}}
	var m markup.Members
	err := r.x.Children(func(e xml.StartElement) error { return r.part(d, &m, e) })
	if err != nil {
		return err
	}
	r.seen++
	if len(r.list.Features) == MaxFeatures {
		if !r.full {
			r.full = true
			r.list.Problems.Errorf("too-many-features", r.name, "Export fewer outlines at once.", "the file has more than %d placemarks", MaxFeatures)
		}
		return nil
	}
	where := fmt.Sprintf("%s: placemark %d", r.name, r.seen)
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

// quiet are the elements of a placemark that say nothing of the ground: how it looks, when, and from where.
var quiet = []string{"styleUrl", "Style", "StyleMap", "visibility", "open", "Snippet", "snippet", "LookAt", "Camera", "AbstractView",
	"TimeStamp", "TimeSpan", "Region", "Metadata", "balloonVisibility", "link", "author", "phoneNumber", "AddressDetails"}

// part reads one element of a placemark.
func (r *reader) part(d *draft, m *markup.Members, e xml.StartElement) error {
	switch name := e.Name.Local; {
	case name == "ExtendedData":
		return r.x.Children(func(e xml.StartElement) error { return r.data(m, e) })
	case name == "Model":
		r.unread[name]++
		return nil
	case isShape(name):
		return d.shape(e, 0)
	case slices.Contains(quiet, name):
		return nil
	default: // name, description, address and the fields of old schemas
		return r.x.Leaves(e, m.Add)
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
