package mix

import (
	"fmt"
	"math"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

const (
	// TripleRinse is how often a tank or a container is rinsed unless the label says otherwise (50 Ways, no. 30,
	// University of Illinois Extension).
	TripleRinse = 3
	// CleanFactor is by how much cleaning cuts the strength of what is left (ISO 16119-4:2014, fixed and semi-mobile
	// sprayers, an excerpt: a factor of 300).
	CleanFactor = 300.0
	// CleanShare is the other way to the same end: what is drained is at most this share of the mix's strength (the
	// same excerpt).
	CleanShare = 0.02
	// mostRinses and mostFactor are more than any practice; over them is a slip of the pen (common practice, no source).
	mostRinses = 12
	mostFactor = 1e6
)

// Rinse is rinsing a tank of the heel that the pump leaves: Times fills of Each, every one sprayed out.
type Rinse struct {
	Recipe Recipe
	Heel   unit.Volume
	Each   unit.Volume
	Times  int
	// Wanted is the factor that was asked for, 0 when the volume was given.
	Wanted float64
	// Factor is by how much the heel is weaker in the end, Remains the share of the mix's strength that is left: 1 / Factor.
	Factor, Remains float64
	// Water is all rinses together, Covers the turf that they take at the carrier rate.
	Water  unit.Volume
	Covers unit.Area
	// First is the first rinsate's share of the mix's strength: at the carrier rate it puts on that share of the rate.
	First float64
	// Again says that ground already treated has room for the rinsate by the labels' most.
	Again bool
}

// Rinse works out times rinses of each over a heel: the strength left is (heel / (heel + each)) ^ times. The recipe is the
// mix that was in the tank.
func (r Recipe) Rinse(heel, each unit.Volume, times int, s unit.System, where string) (Rinse, problem.List) {
	ps := r.rinsed(heel, times, s, where)
	sized(&ps, float64(each), "volume-zero", where, "Give the water of each rinse with its unit, such as 10 gal.", "each rinse is %s", s.Volume(each))
	if ps.HasErrors() {
		return Rinse{}, ps
	}
	x := Rinse{Recipe: r, Heel: heel, Each: each, Times: times}
	x.work(s)
	return x, append(ps, x.problems(s, where)...)
}

// RinseTo works out the water of each of times rinses that cuts the strength by factor (CleanFactor, or 1 / CleanShare):
// heel x (factor ^ (1 / times) - 1), rounded up as the gauge is read.
func (r Recipe) RinseTo(heel unit.Volume, times int, factor float64, s unit.System, where string) (Rinse, problem.List) {
	ps := r.rinsed(heel, times, s, where)
	if !(factor > 1 && factor <= mostFactor) {
		ps.Errorf("factor-absurd", where, "Give by how much the heel is to be weaker, such as 50 or 300.", "a dilution by %s is asked for", working.Figures(factor))
	}
	if ps.HasErrors() {
		return Rinse{}, ps
	}
	x := Rinse{Recipe: r, Heel: heel, Times: times, Wanted: factor}
	exact := unit.Volume(float64(heel) * (math.Pow(factor, 1/float64(times)) - 1))
	x.Each = upToStep(exact, s)
	x.work(s)
	return x, append(ps, x.problems(s, where)...)
}

func (r Recipe) rinsed(heel unit.Volume, times int, s unit.System, where string) (ps problem.List) {
	sized(&ps, float64(r.Carrier), "carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	sized(&ps, float64(heel), "heel-zero", where, "Enter what the pump leaves in tank, pump and hose, such as 2 gal.", "the heel to be rinsed is %s", s.Volume(heel))
	if times < 1 || times > mostRinses {
		ps.Errorf("rinses-absurd", where, "Rinse three times, unless the label says otherwise.", "%d rinses are asked for", times)
	}
	return ps
}

func (x *Rinse) work(s unit.System) {
	x.First = float64(x.Heel / (x.Heel + x.Each))
	x.Factor = math.Pow(float64((x.Heel+x.Each)/x.Heel), float64(x.Times))
	x.Remains = 1 / x.Factor
	x.Water = unit.Volume(x.Times) * x.Each
	x.Covers = x.Water.At(x.Recipe.Carrier)
	x.Again = true
	for _, p := range x.Recipe.Parts {
		if unit.Exceeds(x.First, again(p).Room) {
			x.Again = false
		}
	}
}

func (x Rinse) problems(s unit.System, where string) (ps problem.List) {
	if !x.Again {
		ps.Warnf("rinsate-over-label", where, "Put the rinsate on turf that has had none of the mix.",
			"the first rinsate has %s of the mix's strength, and the labels leave less room than that on ground already treated", unit.Percent(x.First, 1))
	}
	return ps
}

// Facts are the rinses and where the rinsate goes.
func (x Rinse) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{
		fact("rinse", fmt.Sprintf("%d times with %s, spraying out each", x.Times, mixText(x.Each, s))),
		fact("weaker by", "a factor of "+working.Figures(unit.Round(x.Factor, 0.1))),
		fact("left of the mix's strength", unit.Short(100*x.Remains)+" %"),
		fact("rinse water", mixText(x.Water, s)),
		fact("turf for the rinsate", s.Area(x.Covers)),
	}
	if x.Again {
		fs = append(fs, fact("where", "turf that the labels allow; by the entered most, ground already treated has room for it"))
	} else {
		fs = append(fs, fact("where", "turf that the labels allow and that has had none of the mix"))
	}
	return append(fs, fact("rule", "The label overrides these lines. Rinsate is product: never into a drain."))
}

// Working shows the dilution, rinse by rinse.
func (x Rinse) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	heel, each := working.Of("heel", x.Heel, u.Mix), working.Of("rinse", x.Each, u.Mix)
	one := heel.Plus(each).Over(heel)
	e := one
	for range x.Times - 1 {
		e = e.Times(heel.Plus(each)).Over(heel)
	}
	notes := []string{"Each rinse spreads what is left through heel and rinse; spraying out leaves the heel."}
	if x.Wanted > 0 {
		notes = append(notes, fmt.Sprintf("Wanted: a factor of %s. Each rinse is heel x (%s ^ (1/%d) - 1), rounded up to a step of the gauge.", working.Figures(x.Wanted), working.Figures(x.Wanted), x.Times))
	}
	w.AddNumber("weaker by a factor of", e, x.Factor, working.Figures(unit.Round(x.Factor, 0.1)), notes...)
	w.AddPercent("left of the mix's strength", working.Number("", 1).Over(working.Number("factor", x.Factor)), x.Remains, unit.Short(100*x.Remains)+" %")
	w.Add("rinse water", working.Number("rinses", float64(x.Times)).Times(each), x.Water, u.Mix, mixText(x.Water, s))
	w.Add("turf for the rinsate", working.Of("rinse water", x.Water, u.Mix).Over(working.Of("carrier rate", x.Recipe.Carrier, u.Carrier)), x.Covers, u.Area, s.Area(x.Covers))
	w.AddPercent("first rinsate, of the mix's strength", heel.Over(heel.Plus(each)), x.First, unit.Percent(x.First, 1),
		"At the carrier rate it puts that share of the rate on; the rinses after it are weaker.")
	return w
}

// ContainerRinse is the triple rinse of emptied liquid containers; its water goes into the tank and is part of the load's.
type ContainerRinse struct {
	Container label.Container
	Count     int
	// Part is how full it is filled each time: a quarter, a fifth from 5 gal up.
	Part  float64
	Water unit.Volume
}

// largeContainer is the size from which a container is filled to a fifth (50 Ways, no. 30, University of Illinois
// Extension).
const largeContainer = 5 * unit.Gallon

// RinseContainers works out the water of rinsing n emptied containers three times. Only containers of a liquid are
// rinsed into the tank.
func RinseContainers(c label.Container, n int, where string) (ContainerRinse, problem.List) {
	var ps problem.List
	if !unit.Positive(c.Holds.Liquid) || c.Holds.Dry != 0 {
		ps.Errorf("container-not-liquid", where, "Give a container of a liquid with what it holds, such as 2.5 gal.", "a %s of %s is not rinsed into the tank", c.Name, c.Holds.Text(unit.US))
	}
	if n < 1 {
		ps.Errorf("count-zero", where, "Give how many containers are emptied.", "%d containers are to be rinsed", n)
	}
	if ps.HasErrors() {
		return ContainerRinse{}, ps
	}
	x := ContainerRinse{Container: c, Count: n, Part: 1.0 / 4}
	if c.Holds.Liquid >= largeContainer*(1-1e-9) {
		x.Part = 1.0 / 5
	}
	x.Water = unit.Volume(float64(n*TripleRinse)*x.Part) * c.Holds.Liquid
	return x, nil
}

// Lines say how it is done (50 Ways, no. 30, University of Illinois Extension; a copy of the EPA's text).
func (x ContainerRinse) Lines() []string {
	part := "a quarter"
	if x.Part < 1.0/4 {
		part = "a fifth"
	}
	return []string{
		"Empty it into the tank and let it drain for 30 seconds.",
		"Fill it " + part + " full with clean water, close it, and shake for 30 seconds.",
		"Pour the rinsate into the tank and let it drain for 30 seconds.",
		"Do this twice more, then puncture the container.",
		"Rinse while the tank is being filled: the rinsate is part of the load's water.",
	}
}

// Facts are the water and how it is done.
func (x ContainerRinse) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{fact("rinse water", fmt.Sprintf("%s of the load's water, for %s", mixText(x.Water, s), count(x.Count, x.Container.Name)))}
	for i, l := range x.Lines() {
		fs = append(fs, fact(fmt.Sprintf("step %d", i+1), l))
	}
	return fs
}

// Working shows the water of the rinses.
func (x ContainerRinse) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	e := working.Number("containers", float64(x.Count)).Times(working.Number("rinses", TripleRinse)).Times(working.Of("container", x.Container.Holds.Liquid, u.Mix)).Times(working.Number("part filled", x.Part))
	w.Add("rinse water of the containers", e, x.Water, u.Mix, mixText(x.Water, s), "A quarter full each time, a fifth from 5 gal up.", "It is part of the load's water.")
	return w
}
