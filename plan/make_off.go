package plan

import "slices"

// Without is the day without the trucks and operators of these names. A truck none of whose crew is left does not go out; of one without a crew, where
// an operator is off, the others are the crew. A fill point for trucks that are all off is none.
func (d *Day) Without(off []string) *Day {
	out := *d
	if len(off) == 0 {
		return &out
	}
	isOff := func(name string) bool { return slices.Contains(off, name) }
	all, some := []string{}, false
	for _, o := range d.Operators {
		if isOff(o.Name) {
			some = true
			continue
		}
		all = append(all, o.Name)
	}
	out.Trucks = []Truck{}
	for _, t := range d.Trucks {
		switch {
		case isOff(t.Name):
			continue
		case len(t.Crew) > 0:
			t.Crew = slices.DeleteFunc(slices.Clone(t.Crew), isOff)
		case some:
			t.Crew = all
		}
		if len(t.Crew) > 0 || !some {
			out.Trucks = append(out.Trucks, t)
		}
	}
	out.FillPoints = []FillPoint{}
	for _, f := range d.FillPoints {
		of := slices.DeleteFunc(slices.Clone(f.Trucks), func(name string) bool {
			return !slices.ContainsFunc(out.Trucks, func(t Truck) bool { return t.Name == name })
		})
		if len(f.Trucks) == 0 || len(of) > 0 {
			f.Trucks = of
			out.FillPoints = append(out.FillPoints, f)
		}
	}
	return &out
}
