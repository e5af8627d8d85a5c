package geo

import (
	"cmp"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/local"
	"tankful/geo/overlay"
)

// Change is what became of a property's net turf between two measurings.
//
// Old + Gained - Lost = New, to the last bit of the sums; Gained and Lost are ground, not a balance: a bed moved
// from one place to another gains and loses its area.
type Change struct {
	// Was and Is are the two measurings; one is nil when the property is in one file only.
	Was, Is          *Site
	Old, New         unit.Area
	Gained, Lost     unit.Area
	GainedIn, LostIn *geom.MultiPolygon // in Frame
	Frame            *local.Frame
	// Zones are the same by zone: ground gained lies in a zone of the new measuring, ground lost in one of the old.
	Zones []ZoneChange
	// Problems is why the two can not be compared; the figures are then of no use.
	Problems problem.List
}

// ZoneChange is what became of one zone. Turf that went from one zone to another is in Old and New, and
// neither gained nor lost.
type ZoneChange struct {
	Name         string
	Old, New     unit.Area
	Gained, Lost unit.Area
	newIn, oldIn *geom.MultiPolygon
}

// ID is that of the property.
func (c *Change) ID() string { return c.either().Property.ID }

// Name is that of the property, as the newer file has it.
func (c *Change) Name() string { return c.either().Property.Name }

func (c *Change) either() *Site {
	if c.Is != nil {
		return c.Is
	}
	return c.Was
}

// Compare holds two measurings of a property against each other; either may be nil, but not both. Edges
// that lie within 0.2 mm of each other are the same edge.
func Compare(was, is *Site) *Change {
	c := &Change{Was: was, Is: is}
	c.Frame = c.either().Frame
	empty := geom.NewMultiPolygon(geom.XY)
	oldNet, newNet := empty, empty
	for _, s := range []*Site{was, is} {
		if s != nil && s.Problems.HasErrors() {
			c.Problems.Errorf("not-comparable", s.Property.Where, "Mend the outlines that could not be measured.", "the property could not be measured, so nothing is known of what changed")
		}
	}
	if c.Problems.HasErrors() {
		return c
	}
	if was != nil {
		c.Old, oldNet = was.NetArea, c.moved(was.Frame, was.Net)
	}
	if is != nil {
		c.New, newNet = is.NetArea, is.Net
	}
	var ok bool
	if c.GainedIn, ok = c.less(newNet, oldNet); !ok {
		return c
	}
	if c.LostIn, ok = c.less(oldNet, newNet); !ok {
		return c
	}
	// One of the two differences is taken from the figures, so that the balance holds.
	c.Gained = overlay.Area(c.GainedIn)
	if c.Lost = c.Old + c.Gained - c.New; c.Lost < 0 {
		c.Gained, c.Lost = c.Gained-c.Lost, 0
	}
	c.zones()
	return c
}

// moved takes a shape from another frame to that of the change.
func (c *Change) moved(from *local.Frame, mp *geom.MultiPolygon) *geom.MultiPolygon {
	if from == c.Frame {
		return mp
	}
	return c.Frame.MultiPolygon(from.InverseMultiPolygon(mp))
}

func (c *Change) less(a, b *geom.MultiPolygon) (*geom.MultiPolygon, bool) {
	d, err := overlay.Difference(a, b)
	if err != nil {
		c.unsure(err)
		return nil, false
	}
	return overlay.DropSlivers(d, sliver), true
}

func (c *Change) unsure(err error) {
	c.Problems.Errorf("overlay-unsure", c.either().Property.Where, "Simplify the outlines that share an edge, or draw them again.", "what changed can not be told for sure: %v", err)
}

// zones shares out what was gained and lost.
func (c *Change) zones() {
	add := func(name string) *ZoneChange {
		i := slices.IndexFunc(c.Zones, func(z ZoneChange) bool { return z.Name == name })
		if i < 0 {
			c.Zones = append(c.Zones, ZoneChange{Name: name})
			i = len(c.Zones) - 1
		}
		return &c.Zones[i]
	}
	if c.Is != nil {
		for _, z := range c.Is.Zones {
			zone := add(z.Name)
			zone.New, zone.newIn = z.Net, z.Shape
		}
	}
	if c.Was != nil {
		for _, z := range c.Was.Zones {
			zone := add(z.Name)
			zone.Old, zone.oldIn = z.Net, c.moved(c.Was.Frame, z.Shape)
		}
	}
	c.share(c.GainedIn, c.Gained, func(z *ZoneChange) (*geom.MultiPolygon, *unit.Area) { return z.newIn, &z.Gained })
	c.share(c.LostIn, c.Lost, func(z *ZoneChange) (*geom.MultiPolygon, *unit.Area) { return z.oldIn, &z.Lost })
	slices.SortStableFunc(c.Zones, func(a, b ZoneChange) int { return cmp.Compare(a.Name, b.Name) })
}

// share divides ground among the zones it lies in; the last of them gets what rounding leaves.
func (c *Change) share(ground *geom.MultiPolygon, all unit.Area, of func(*ZoneChange) (*geom.MultiPolygon, *unit.Area)) {
	left, last := all, (*unit.Area)(nil)
	for i := range c.Zones {
		in, figure := of(&c.Zones[i])
		if in == nil {
			continue
		}
		common, err := overlay.Intersection(ground, in)
		if err != nil {
			c.unsure(err)
			return
		}
		*figure = min(overlay.Area(common), left)
		left -= *figure
		if *figure > 0 || last == nil {
			last = figure
		}
	}
	if last != nil {
		*last += left
	}
}
