// Package intake reads outlines that people bring, as GeoJSON, and finds everything that
// is wrong with them.
//
// It knows GeoJSON (RFC 7946, and files older than it), the words that say what an outline
// is, plain OpenStreetMap tags, and how features belong to properties. It leaves out areas
// and validity of shapes: geo.Measure repairs and measures what comes out of here. It opens
// no files: the caller hands over the bytes.
package intake

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo"
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
}

// Read reads one file. name is what the user calls it: it appears in every Where, and its
// base without extension names the property of a file that has only one.
//
// The properties come in the order in which the file first names them. What cannot be read
// is in the list, feature by feature, sorted by place. An outline that is known to exist
// and cannot be used stays in its property without corners, so that geo.Measure refuses
// the property rather than measure it without its bed.
func Read(name string, data []byte, opt Options) ([]*geo.Property, problem.List) {
	r := &reader{name: name, opt: opt, words: newWords(opt.SurfaceMap)}
	r.features = r.decode(data)
	for _, f := range r.features {
		r.readGeometry(f)
	}
	r.key = r.groupKey()
	r.judgeSurfaces()
	props := r.group()
	if len(props) == 0 && !r.problems.HasErrors() {
		r.problems.Errorf("no-outlines", name, "Add the outlines as Polygon features.",
			"none of the features of the file (%d) is an area", len(r.features))
	}
	r.problems.Sort()
	return props, r.problems
}

// reader is one file being read.
type reader struct {
	name     string
	opt      Options
	words    words
	features []*feature
	key      string // the member that groups this file, "" for none
	guessed  bool   // words that say no surface were reported
	problems problem.List
}

// feature is one feature of the file, or its one bare geometry.
type feature struct {
	id      string
	members members
	raw     []byte // the geometry, nil when there is none
	where   string

	areas    orb.MultiPolygon
	points   []orb.Point
	lines    int
	broken   bool // an area that could not be read
	decimals int

	surface geo.Surface
	truck   bool
}

// isArea reports whether the feature stands for ground, readable or not.
func (f *feature) isArea() bool { return len(f.areas) > 0 || f.broken }

// group sorts features into properties.
func (r *reader) group() []*geo.Property {
	byID := map[string]*geo.Property{}
	var props []*geo.Property
	names := map[*geo.Property]*naming{}
	for _, f := range r.features {
		if !f.isArea() && !(f.truck && len(f.points) > 0) {
			continue
		}
		id, ok := r.propertyID(f)
		if !ok {
			r.problems.Errorf("no-group", f.where, fmt.Sprintf("Give this feature a member %q.", r.key),
				"the feature has no %q, which says to which property it belongs", r.key)
			continue
		}
		p := byID[id]
		if p == nil {
			p = &geo.Property{ID: id, Where: fmt.Sprintf("%s: property %s", r.name, id)}
			byID[id], names[p] = p, &naming{}
			props = append(props, p)
		}
		names[p].see(f)
		r.put(p, f)
	}
	for _, p := range props {
		p.Name = names[p].choose(p.ID)
	}
	return props
}

// put adds a feature to its property.
func (r *reader) put(p *geo.Property, f *feature) {
	if f.truck && len(f.points) > 0 {
		if p.Truck != nil {
			r.problems.Warnf("second-truck", f.where, "Keep one truck point for each property.",
				"property %s has a truck point already; this one is not used", p.ID)
		} else {
			p.Truck = &f.points[0]
		}
	}
	if f.isArea() {
		o := geo.Outline{ID: f.id, Name: f.members.text("name"), Surface: f.surface, Where: f.where, Decimals: f.decimals}
		if !f.broken {
			o.Polygon = f.areas
		}
		p.Outlines = append(p.Outlines, o)
	}
}

var groupKeys = []string{"property", "site", "account", "parcel", "lot"}

// groupKey is the member that groups this file, "" for none.
func (r *reader) groupKey() string {
	has := func(key string) bool {
		return slices.ContainsFunc(r.features, func(f *feature) bool { _, ok := f.groupID(key); return ok })
	}
	if r.opt.GroupKey == "" {
		for _, k := range groupKeys {
			if has(k) {
				return k
			}
		}
		return ""
	}
	if len(r.features) > 0 && !has(r.opt.GroupKey) {
		r.problems.Errorf("no-group-key", r.name, "Name a member that the features have with --group-key.",
			"no feature has a member %q; they have: %s", r.opt.GroupKey, r.memberNames())
	}
	return r.opt.GroupKey
}

// propertyID is the property that the feature belongs to, if it says so.
func (r *reader) propertyID(f *feature) (string, bool) {
	if r.key == "" {
		return r.baseName(), true
	}
	return f.groupID(r.key)
}

func (f *feature) groupID(key string) (string, bool) {
	if key == "id" && f.id != "" {
		return f.id, true
	}
	s := f.members.text(key)
	return s, s != ""
}

// memberNames lists the members of all features, for the message that one is missing.
func (r *reader) memberNames() string {
	seen := map[string]bool{}
	for _, f := range r.features {
		for k := range f.members {
			seen[k] = true
		}
	}
	names := make([]string, 0, len(seen))
	for k := range seen {
		names = append(names, k)
	}
	slices.Sort(names)
	if len(names) == 0 {
		return "none"
	}
	if len(names) > 12 {
		names = append(names[:12], "...")
	}
	return strings.Join(names, ", ")
}

// baseName is the file's name without folders and extension.
func (r *reader) baseName() string {
	base := path.Base(strings.ReplaceAll(r.name, `\`, "/"))
	if cut := strings.TrimSuffix(base, path.Ext(base)); cut != "" {
		return cut
	}
	return base
}

// naming finds what people call a property: property_name when all features agree on it, or the
// name of its turf when that is one name only.
type naming struct{ property, turf []string }

func (n *naming) see(f *feature) {
	add := func(list *[]string, s string) {
		if s != "" && !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	add(&n.property, f.members.text("property_name"))
	if f.surface == geo.Turf {
		add(&n.turf, f.members.text("name"))
	}
}

func (n *naming) choose(id string) string {
	switch {
	case len(n.property) == 1:
		return n.property[0]
	case len(n.property) == 0 && len(n.turf) == 1:
		return n.turf[0]
	}
	return id
}
