package osm

import (
	"encoding/xml"

	"tankful/geo/intake/markup"
)

// writtenOut reads the corners of a way that stand in the relation itself.
func (r *reader) writtenOut(id int64) error {
	w := &way{id: id}
	err := r.x.Children(func(e xml.StartElement) error {
		if e.Name.Local != "nd" {
			return nil
		}
		if len(w.refs) == 0 {
			if err := r.hold(wayCost); err != nil {
				return err
			}
		}
		w.refs = append(w.refs, r.madeUp(e))
		return r.hold(refCost + 2*nodeCost) // the node, and where it is
	})
	if len(w.refs) > 0 && id != none {
		r.inline[id] = w
	}
	return err
}

// madeUp is the id of a corner that is written without one: the same place has the same id.
func (r *reader) madeUp(e xml.StartElement) int64 {
	c := markup.Corners{CRS: r.crs}
	p, ok := c.Point(markup.Attr(e, "lon"), markup.Attr(e, "lat"))
	if !ok {
		return none
	}
	id, known := r.places[p]
	if !known {
		id = none + 1 + int64(len(r.places))
		r.places[p] = id
		r.nodes[id] = node{p: p, decimals: uint8(c.Decimals())}
	}
	return id
}
