package plan

import (
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
)

// Change is what became of a property between two measurings, as every command prints it:
// old + gained - lost = new. Old or New is nil when the property is in one file only, both when
// it could not be compared.
type Change struct {
	ID     string     `json:"id"`
	Name   string     `json:"name"`
	Old    *unit.Area `json:"old_net_m2"`
	New    *unit.Area `json:"net_m2"`
	Gained unit.Area  `json:"gained_m2"`
	Lost   unit.Area  `json:"lost_m2"`
	// PlusMinus is the larger of the two measurings' corner ranges: a smaller change may be the drawing.
	PlusMinus unit.Area    `json:"plus_minus_m2"`
	Zones     []ZoneChange `json:"zones"`
	Problems  problem.List `json:"problems"`
}

// ZoneChange is the same for one zone; turf that went to another zone is neither gained nor lost.
type ZoneChange struct {
	Zone   string    `json:"zone"`
	Old    unit.Area `json:"old_net_m2"`
	New    unit.Area `json:"net_m2"`
	Gained unit.Area `json:"gained_m2"`
	Lost   unit.Area `json:"lost_m2"`
}

// ChangeOf is a comparison as every command prints it.
func ChangeOf(c *geo.Change) Change {
	out := Change{ID: c.ID(), Name: c.Name(), Zones: make([]ZoneChange, len(c.Zones)), Problems: append(problem.List{}, c.Problems...)}
	if c.Problems.HasErrors() {
		return out
	}
	out.Gained, out.Lost = c.Gained, c.Lost
	if c.Was != nil {
		out.Old, out.PlusMinus = &c.Old, c.Was.PlusMinus
	}
	if c.Is != nil {
		out.New, out.PlusMinus = &c.New, max(out.PlusMinus, c.Is.PlusMinus)
	}
	for i, z := range c.Zones {
		out.Zones[i] = ZoneChange{z.Name, z.Old, z.New, z.Gained, z.Lost}
	}
	return out
}
